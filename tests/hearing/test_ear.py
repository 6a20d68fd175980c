"""What an utterance says, by what was heard and how far that may be trusted."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.ear import AGAIN_FASTER, PLAUSIBLE, UNEXPECTED, Ear, Mode
from handsfree.hearing.listening.denoise import cleaned
from handsfree.hearing.listening.endpoints import Segment
from handsfree.hearing.rejection import Likeness, Thresholds, certainty, command_likelihood
from handsfree.measure.figure import Figure
from handsfree.measure.limits import Limits
from handsfree.phrases.commands.command import Command
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.expectation import NOTHING, Expectation
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, RecognitionResult, Utterance
from tests.support.made_up_hearing import TALK, MadeUpRecogniser, heard

LANGUAGE = Language(Vocabulary({"end play": "end play"}, {"end play": "thou"}))
SEGMENT = Segment(np.full(8000, 0.1, np.float32), 3.0, 3.5)

# Limits that part the sure from the doubtful, the near from the far, whatever those in force are.
EXACT = Likeness(0.0, 0)
LIMITS = Thresholds(
    command=command_likelihood(2.0, EXACT),
    noise=command_likelihood(3.0, EXACT),
    clear_command=command_likelihood(1.5, EXACT),
    brief_command=command_likelihood(1.0, EXACT),
    certainty=certainty(1.0, 1.0, 1.0, EXACT),
    figure_certainty=certainty(1.0, 1.0, 1.0, EXACT),
    noughts=0.0,
)


def clear(*phrases: str, free: str | None = None) -> RecognitionResult:
    return heard(*phrases, free=free, gap=0.0, margin=2.0, log_odds=2.0)


def doubtful(*phrases: str, free: str | None = None, apart: float = 0.4) -> RecognitionResult:
    return heard(*phrases, free=free, gap=0.0, margin=0.0, log_odds=0.0, apart=apart)


def near(*phrases: str, free: str | None = None) -> RecognitionResult:
    return heard(*phrases, free=free, gap=2.5, margin=2.0, log_odds=2.0)


def talk(*phrases: str, free: str = TALK) -> RecognitionResult:
    return heard(*phrases, free=free, gap=50.0)


def ear_of(
    *results: RecognitionResult, expecting: Expectation = NOTHING, denoise: bool = False, by: Thresholds = LIMITS
) -> Ear:
    recogniser = MadeUpRecogniser(*results)
    return Ear(recogniser, LANGUAGE.interpret, by, denoise=denoise, meaning=LANGUAGE.meaning, expects=lambda: expecting)


def hear(*results: RecognitionResult, mode: Mode = "commands", segment: Segment = SEGMENT) -> Utterance:
    return ear_of(*results).hear(segment, mode)


def kinds(utterance: Utterance) -> list[Kind]:
    return [intent.kind for intent in utterance.intents]


def asked_of(ear: Ear) -> MadeUpRecogniser:
    assert isinstance(ear.recogniser, MadeUpRecogniser)
    return ear.recogniser


def test_a_clear_command_has_its_words_its_meaning_and_whence_it_came() -> None:
    utterance = hear(clear("say again"))
    assert (utterance.hearing, utterance.words, kinds(utterance)) == (Hearing.CLEAR, ("say", "again"), [Kind.REPEAT])
    assert (utterance.start, utterance.end, utterance.recogniser) == (3.0, 3.5, "test")
    assert (utterance.free_text, utterance.alternatives, utterance.then) == ("Say again.", (), ())
    assert utterance.sound is SEGMENT.samples
    assert utterance.seconds >= 0.0


def test_a_doubtful_figure_names_the_other_one() -> None:
    utterance = hear(doubtful("log fifteen", "log fifty"))
    assert (utterance.hearing, utterance.words) == (Hearing.DOUBTFUL, ("log", "fifteen"))
    assert [intent.figure for intent in utterance.intents] == [Figure(Fraction(15))]
    assert [intent.figure for intent in utterance.alternatives] == [Figure(Fraction(50))]


def test_a_near_miss_has_words_and_no_meaning() -> None:
    utterance = hear(near("log fifteen", "log fifty"))
    assert (utterance.hearing, utterance.words) == (Hearing.NEAR, ("log", "fifteen"))
    assert (utterance.intents, utterance.alternatives) == ((), ())


def test_talk_has_no_words_and_no_meaning() -> None:
    for result in (talk("next", "say again"), heard(free=TALK)):
        utterance = hear(result)
        assert (utterance.hearing, utterance.words, utterance.intents) == (Hearing.NONE, (), ())
        assert (utterance.alternatives, utterance.free_text) == ((), TALK)


def test_a_piece_of_endless_talk_is_never_a_command() -> None:
    ear = ear_of(clear("next"))
    utterance = ear.hear(replace(SEGMENT, part=True))
    assert (utterance.hearing, utterance.intents) == (Hearing.NONE, ())
    assert [asked.commands for asked in asked_of(ear).asked] == [False]
    reasoned = hear(heard(free="Skip because I said so and then"), segment=replace(SEGMENT, part=True))
    assert (reasoned.hearing, reasoned.intents) == (Hearing.NONE, ())


# words in free order
@pytest.mark.parametrize(
    ("result", "free"),
    [(near("skip because"), "Skip because the screw is seized."), (talk(), "Skip because the screw is seized.")],
)
def test_a_reason_in_free_words_is_taken_with_its_command(result: RecognitionResult, free: str) -> None:
    utterance = hear(replace(result, free_text=free))
    assert (utterance.hearing, kinds(utterance)) == (Hearing.CLEAR, [Kind.SKIP])
    assert [intent.reason for intent in utterance.intents] == ["the screw is seized"]
    assert utterance.text == "skip because the screw is seized"
    assert utterance.alternatives == ()


def test_a_command_that_sounds_like_the_one_before_the_reason_is_that_one() -> None:
    utterance = hear(near("accept because", free="Except because it is worn."))
    assert (utterance.hearing, kinds(utterance)) == (Hearing.CLEAR, [Kind.ACCEPT])
    assert utterance.text == "accept because it is worn"


@pytest.mark.parametrize("free", ["Next because I said so.", "Tea because the screw is seized.", "Skip because."])
def test_because_alone_makes_no_command_of_talk(free: str) -> None:
    assert hear(talk(free=free)).hearing is Hearing.NONE


def test_what_was_heard_as_a_command_is_not_read_anew_for_a_reason() -> None:
    for words, kind in (("next", Kind.NEXT), ("say again", Kind.REPEAT)):
        utterance = hear(heard(words, free="Skip because it is worn.", gap=None))
        assert (utterance.hearing, kinds(utterance), utterance.text) == (Hearing.CLEAR, [kind], words)


# dictation
def test_while_a_note_is_taken_only_its_end_is_a_command() -> None:
    command = hear(clear("next", free=TALK), mode="dictation")
    assert (command.hearing, command.words, command.intents) == (Hearing.NONE, (), ())
    assert command.free_text == TALK
    for words in ("end of note", "end note"):
        end = hear(clear(words), mode="dictation")
        assert (end.hearing, kinds(end), end.text) == (Hearing.CLEAR, [Kind.END_NOTE], words)


@pytest.mark.parametrize("result", [doubtful("end of note"), near("end of note"), talk("end of note")])
def test_an_end_of_a_note_that_is_not_sure_stays_in_the_note(result: RecognitionResult) -> None:
    utterance = hear(result, mode="dictation")
    assert (utterance.hearing, utterance.words, utterance.intents, utterance.alternatives) == (Hearing.NONE, (), (), ())


def test_a_note_that_speaks_of_skipping_because_is_no_command() -> None:
    assert hear(talk(free="Skip because it is worn."), mode="dictation").intents == ()


def test_in_a_note_no_command_is_sought_where_none_ends_it_and_none_is_expected() -> None:
    expecting = Expectation({"end play": "thou"})
    recogniser = MadeUpRecogniser(clear("end of note"))
    free = Ear(recogniser, LANGUAGE.interpret, LIMITS, dictation_phrases=(), denoise=False, expects=lambda: expecting)
    assert free.hear(SEGMENT, "dictation").hearing is Hearing.NONE
    ear = ear_of(clear("end of note"), expecting=expecting)
    ear.hear(SEGMENT, "dictation")
    assert [(asked.commands, asked.bias) for asked in (*recogniser.asked, *asked_of(ear).asked)] == [
        (False, None),
        (True, None),
    ]


# one word, heard again
AGAIN_CLEAR = clear("next")


@pytest.mark.parametrize(
    ("first", "again", "hearing", "times"),
    [
        (doubtful("next"), AGAIN_CLEAR, Hearing.CLEAR, 2),
        (doubtful("next"), clear("next step"), Hearing.CLEAR, 2),
        (doubtful("next"), doubtful("next"), Hearing.DOUBTFUL, 2),
        (doubtful("next"), clear("back"), Hearing.DOUBTFUL, 2),
        (doubtful("next"), near("next"), Hearing.DOUBTFUL, 2),
        (doubtful("next"), heard(), Hearing.DOUBTFUL, 2),
        # Surely heard, no command at all, a figure or a phrase: once is enough.
        (clear("next"), heard(), Hearing.CLEAR, 1),
        (near("next"), AGAIN_CLEAR, Hearing.NEAR, 1),
        (talk("next"), AGAIN_CLEAR, Hearing.NONE, 1),
        (heard(), AGAIN_CLEAR, Hearing.NONE, 1),
        (doubtful("fifteen"), clear("fifteen"), Hearing.DOUBTFUL, 1),
        (doubtful("a millimetre"), clear("a millimetre"), Hearing.DOUBTFUL, 1),
        (doubtful("say again"), clear("say again"), Hearing.DOUBTFUL, 1),
    ],
)
def test_a_command_of_one_word_that_is_in_doubt_is_heard_a_second_time(
    first: RecognitionResult, again: RecognitionResult, hearing: Hearing, times: int
) -> None:
    ear = ear_of(first, again)
    utterance = ear.hear(SEGMENT)
    assert utterance.hearing is hearing
    if hearing is Hearing.DOUBTFUL:
        assert utterance.words == first.alternatives[0].words
    lengths = [len(asked.sound) for asked in asked_of(ear).asked]
    assert len(lengths) == times
    # The second time a little faster: the same word still.
    assert all(0.8 * lengths[0] < length < lengths[0] for length in lengths[1:])
    assert 1.0 < AGAIN_FASTER < 1.2


def test_what_was_heard_the_second_time_is_what_is_told() -> None:
    utterance = hear(doubtful("next", free="Necks."), clear("next", free="Next!"))
    assert (utterance.hearing, utterance.free_text) == (Hearing.CLEAR, "Next!")


# other meanings
@pytest.mark.parametrize(
    ("phrases", "apart", "figures"),
    [
        (("log fifteen", "log fifty", "log five"), PLAUSIBLE / 2, [50, 5]),
        (("log fifteen", "log fifty", "log five"), PLAUSIBLE * 0.6, [50]),
        (("log fifteen", "log fifty"), PLAUSIBLE + 0.01, []),
        # The same meaning in other words is no other; nor is any named twice.
        (("log fifteen", "log one five", "log fifty", "log five oh"), 0.1, [50]),
        (("log fifteen", "something else", "log fifty"), 0.1, [50]),
    ],
)
def test_other_meanings_are_named_that_are_nearly_as_likely(
    phrases: tuple[str, ...], apart: float, figures: list[int]
) -> None:
    utterance = hear(doubtful(*phrases, apart=apart))
    assert [intent.figure.value for intent in utterance.alternatives if intent.figure] == figures


def test_what_is_half_as_likely_again_is_named_and_what_is_a_seventh_is_not() -> None:
    assert 0.7 < PLAUSIBLE < 2.0, "in natural logarithms"


def test_a_figure_with_and_without_its_unit_is_the_same_where_the_step_has_one_unit() -> None:
    result = doubtful("log four thou", "log four", "log five thou", "log five")
    assert len(ear_of(result).hear(SEGMENT).alternatives) == 3
    expecting = ear_of(result, expecting=Expectation({"end play": "thou"}))
    (other,) = expecting.hear(SEGMENT).alternatives
    assert other.figure == Figure(Fraction(5), unit="thou")


def test_what_makes_no_difference_by_the_language_casts_no_doubt_and_is_named_only_where_nobody_says_so() -> None:
    result = doubtful("log end play four thou", "log end play four", "log end play five thou")
    (other,) = ear_of(result).hear(SEGMENT).alternatives
    assert other.figure == Figure(Fraction(5), unit="thou")
    plain = Ear(MadeUpRecogniser(result), LANGUAGE.interpret, LIMITS, denoise=False)
    assert [intent.figure and intent.figure.unit for intent in plain.hear(SEGMENT).alternatives] == [None, "thou"]


# what the step expects
def test_what_the_step_does_not_make_likely_is_weighed_down_and_not_hidden() -> None:
    ear = ear_of(clear("log four grams"), expecting=Expectation({"end play": "thou"}))
    assert ear.hear(SEGMENT).text == "log four grams"
    (asked,) = asked_of(ear).asked
    assert asked.bias is not None
    weighed = [asked.bias(tuple(text.split())) for text in ("log four thou", "log four grams", "next", "no command")]
    assert weighed == [0.0, UNEXPECTED, 0.0, UNEXPECTED]
    assert UNEXPECTED < 0


def test_where_nothing_is_expected_nothing_is_weighed() -> None:
    ear = ear_of(clear("log four grams"))
    ear.hear(SEGMENT)
    assert [asked.bias for asked in asked_of(ear).asked] == [None]


def test_what_makes_no_difference_at_the_step_is_one_meaning_for_the_recogniser() -> None:
    alone, expecting = ear_of(clear("next")), ear_of(clear("next"), expecting=Expectation({"end play": "thou"}))
    same = []
    for ear in (alone, expecting):
        ear.hear(SEGMENT)
        meaning = asked_of(ear).asked[0].meaning
        assert meaning(("no", "such", "command")) is None
        same.append(meaning(("log", "four")) == meaning(("log", "four", "thou")))
    assert same == [False, True]


@pytest.mark.parametrize(("value", "hearing"), [("four", Hearing.CLEAR), ("nine", Hearing.DOUBTFUL)])
def test_a_figure_within_the_limits_of_the_step_is_taken_more_easily(value: str, hearing: Hearing) -> None:
    limits = {"end play": Limits(Fraction(2), Fraction(5), None, Fraction(0))}
    assert ear_of(clear(f"log {value} thou")).hear(SEGMENT).hearing is Hearing.CLEAR
    strict = replace(LIMITS, figure_certainty=certainty(2.0, 2.0, 0.0, EXACT) + 0.5, fitting=1.0)
    ear = ear_of(clear(f"log {value} thou"), expecting=Expectation({"end play": "thou"}, limits=limits), by=strict)
    assert ear.hear(SEGMENT).hearing is hearing


# sound
def test_noise_is_taken_down_before_the_recogniser_hears_it_and_not_in_what_is_kept() -> None:
    hiss = np.random.default_rng(1).normal(0, 0.05, SAMPLE_RATE).astype(np.float32)
    noisy = Segment(hiss + 0.05, 0.0, 1.0, before=hiss[: SAMPLE_RATE // 3])
    assert not np.array_equal(cleaned(noisy), noisy.samples)
    for denoise, sound in ((True, cleaned(noisy)), (False, noisy.samples)):
        ear = ear_of(clear("next"), denoise=denoise)
        assert ear.hear(noisy).sound is noisy.samples
        assert np.array_equal(asked_of(ear).asked[0].sound, sound)
    recogniser = MadeUpRecogniser(clear("next"))
    Ear(recogniser, LANGUAGE.interpret).hear(noisy)
    assert np.array_equal(recogniser.asked[0].sound, cleaned(noisy)), "unless it is asked not to"


class Readings(Language):
    """Of one command, which names what is measured."""

    def _commands(self) -> tuple[Command, ...]:
        return tuple(command for command in super()._commands() if command.kind is Kind.READINGS)


def test_an_ear_that_learns_another_language_hears_by_that_one() -> None:
    ear, other = ear_of(clear("readings of hook clearance")), Readings(Vocabulary({"hook clearance": "hook clearance"}))
    assert ear.hear(SEGMENT).hearing is Hearing.NONE
    ear.learn(other)
    assert asked_of(ear).grammars == [other.automaton]
    assert ear.hear(SEGMENT).intents == (Intent(Kind.READINGS, characteristic="hook clearance"),)
