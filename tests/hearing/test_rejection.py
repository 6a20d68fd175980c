"""What is clear, doubtful, near or none; and what an utterance then says."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.samples import Samples
from handsfree.hearing.ear import UNEXPECTED, Ear
from handsfree.hearing.listening.endpoints import Segment
from handsfree.hearing.recogniser import Bias, Meaning
from handsfree.hearing.rejection import (
    DEFAULT,
    Likeness,
    certainty,
    command_likelihood,
    decide,
    likeness,
    with_noughts,
)
from handsfree.measure.figure import Figure
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.expectation import Expectation
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Alternative, Hearing, RecognitionResult

FIFTEEN = Intent(Kind.FIGURE, figure=Figure(Fraction(15)))
FIFTY = Intent(Kind.FIGURE, figure=Figure(Fraction(50)))
MEANINGS = {
    ("next",): (Intent(Kind.NEXT),),
    ("fifteen",): (FIFTEEN,),
    ("fifty",): (FIFTY,),
    ("end", "of", "note"): (Intent(Kind.END_NOTE),),
    ("a", "millimetre"): (Intent(Kind.FIGURE, figure=Figure(Fraction(1), unit="mm")),),
}


def interpret(words: tuple[str, ...]) -> tuple[Intent, ...]:
    return MEANINGS.get(words, ())


TALK = "What it sounded like."


def heard(
    *phrases: str,
    free: str | None = None,
    gap: float | None = 0.5,
    margin: float | None = 2.0,
    log_odds: float | None = 6.0,
) -> RecognitionResult:
    """``free``: what it would have written without the grammar, None for the first phrase itself."""
    alternatives = tuple(Alternative(tuple(phrase.split()), -0.5 - i * 0.4) for i, phrase in enumerate(phrases))
    return RecognitionResult(
        "test", alternatives, free or (phrases or (TALK,))[0].capitalize() + ".", gap, margin, log_odds
    )


class FixedRecogniser:
    """Has always heard the same, as far as it may."""

    name = "test"

    def __init__(self, result: RecognitionResult) -> None:
        self.result = result

    def set_grammar(self, automaton: WordAutomaton) -> None: ...

    def missing_words(self, words: Iterable[str]) -> list[str]:
        return []

    def recognise(
        self, sound: Samples, meaning: Meaning, *, commands: bool = True, bias: Bias | None = None
    ) -> RecognitionResult:
        kept = tuple(a for a in self.result.alternatives if commands and meaning(a.words) is not None)
        return replace(self.result, alternatives=kept)


SEGMENT = Segment(np.zeros(8000, np.float32), 3.0, 3.5)


@pytest.mark.parametrize(
    ("what", "hearing"),
    [
        (heard("next"), Hearing.CLEAR),
        (heard("fifteen", "fifty", margin=6.0, log_odds=10.0), Hearing.CLEAR),
        (heard("fifteen", "fifty", log_odds=4.0), Hearing.DOUBTFUL),
        (heard("fifteen", "fifty", margin=0.0), Hearing.DOUBTFUL),
        (heard("fifteen", "fifty", log_odds=-0.1), Hearing.DOUBTFUL),
        (heard("next", log_odds=-0.1), Hearing.DOUBTFUL),
        (heard("next", free=TALK, gap=0.3), Hearing.NEAR),
        (heard("next", free=TALK, gap=5.0), Hearing.NONE),
        # A single word has to be nearer to what was read than a phrase: so do "a" and a unit.
        (heard("next", free="Necks.", gap=1.0), Hearing.CLEAR),
        (heard("next", free="Necks.", gap=2.0), Hearing.DOUBTFUL),
        (heard("end of note", free="And of no.", gap=2.0), Hearing.CLEAR),
        (heard("a millimetre", free="A million.", gap=1.15, margin=6.0, log_odds=10.0), Hearing.DOUBTFUL),
        (heard("a millimetre", margin=6.0, log_odds=10.0), Hearing.CLEAR),
        (heard(), Hearing.NONE),
        (heard("something else"), Hearing.NONE),
        (heard("next", gap=None, margin=None, log_odds=None), Hearing.CLEAR),
        # A recogniser that can't give a number is not doubted for it.
        (heard("fifteen", margin=None), Hearing.CLEAR),
        (heard("fifteen", log_odds=None), Hearing.CLEAR),
    ],
)
def test_how_far_it_is_trusted(what: RecognitionResult, hearing: Hearing) -> None:
    assert decide(what, interpret) is hearing


@given(st.floats(-5, 20), st.floats(0, 5), st.floats(-20, 10), st.sampled_from((TALK, "Fifteen.", "Fifty two.")))
def test_clear_needs_odds_in_its_favour_and_a_likeness_to_speech(
    gap: float, margin: float, log_odds: float, free: str
) -> None:
    said = heard("fifteen", free=free, gap=gap, margin=margin, log_odds=log_odds)
    if decide(said, interpret) is Hearing.CLEAR:
        assert log_odds >= 0
        assert command_likelihood(gap, likeness(free, ("fifteen",))) >= DEFAULT.command


@given(st.floats(-5, 20), st.floats(-5, 20))
def test_the_nearer_the_free_reading_is_the_likelier_it_was_a_command(one: float, other: float) -> None:
    lower, higher = sorted((one, other))
    for free in (TALK, "Necks.", "Next."):
        assert command_likelihood(higher, likeness(free, ("next",))) <= command_likelihood(
            lower, likeness(free, ("next",))
        )
    by_sound = [command_likelihood(one, likeness(free, ("next",))) for free in (TALK, "Necks.", "Next.")]
    assert by_sound == sorted(by_sound)


@given(st.floats(-5, 20), st.floats(0, 5), st.floats(-20, 10))
def test_a_figure_is_never_trusted_more_easily_than_another_command(gap: float, margin: float, odds: float) -> None:
    numbers = {"gap": gap, "margin": margin, "log_odds": odds}
    if decide(heard("fifteen", **numbers), interpret) is Hearing.CLEAR:
        assert decide(heard("next", **numbers), interpret) is Hearing.CLEAR


def test_only_what_the_best_phrase_means_is_decided_on() -> None:
    assert decide(heard("next", "something else"), interpret) is Hearing.CLEAR
    assert decide(heard("something else", "next"), interpret) is Hearing.NONE


def test_what_may_be_a_figure_is_taken_for_one() -> None:
    either = {("half",): (Intent(Kind.NEXT), FIFTEEN)}
    said = heard("half", margin=0.2, log_odds=1.0)
    assert decide(said, lambda words: either[words]) is Hearing.DOUBTFUL


@pytest.mark.parametrize("words", ["next", "fifteen"])
def test_certainty_alone_parts_what_is_clear_from_what_is_asked_back(words: str) -> None:
    sure = certainty(2.0, 6.0, 0.5, likeness(words, (words,)))
    enough = replace(DEFAULT, certainty=sure, figure_certainty=sure)
    assert decide(heard(words), interpret, enough) is Hearing.CLEAR
    more = replace(DEFAULT, certainty=sure + 0.01, figure_certainty=sure + 0.01)
    assert decide(heard(words), interpret, more) is Hearing.DOUBTFUL
    assert decide(heard(words, free="Necks fifty.", gap=0.5), interpret, enough) is not Hearing.CLEAR


@given(st.floats(0, 5), st.floats(-5, 10), st.floats(0, 8), st.floats(0, 2))
def test_better_numbers_never_make_it_less_certain(margin: float, odds: float, gap: float, by: float) -> None:
    near = likeness("Next.", ("next",))
    sure = certainty(margin, odds, gap, near)
    assert certainty(margin + by, odds, gap, near) >= sure
    assert certainty(margin, odds + by, gap, near) >= sure
    assert certainty(margin, odds, gap + by, near) <= sure
    assert certainty(margin, odds, gap, likeness("Necks.", ("next",))) < sure


def test_with_thresholds_of_its_own_it_never_takes_what_is_less_likely_than_another() -> None:
    generous = replace(DEFAULT, certainty=-9.0)
    assert decide(heard("next", log_odds=0.0), interpret, generous) is Hearing.CLEAR
    assert decide(heard("next", log_odds=-0.1), interpret, generous) is Hearing.DOUBTFUL


def test_between_talk_and_command_lies_what_gets_the_soft_tone() -> None:
    likelihood = command_likelihood(0.7, likeness(TALK, ("next",)))
    command = replace(DEFAULT, command=likelihood, brief_command=likelihood)
    assert decide(heard("next", free=TALK, gap=0.7), interpret, command) is Hearing.CLEAR
    brief = replace(DEFAULT, command=likelihood, brief_command=likelihood + 0.01)
    assert decide(heard("next", free=TALK, gap=0.7), interpret, brief) is Hearing.DOUBTFUL
    near = replace(DEFAULT, command=likelihood + 0.01, noise=likelihood)
    assert decide(heard("next", free=TALK, gap=0.7), interpret, near) is Hearing.NEAR
    talk = replace(DEFAULT, command=likelihood + 0.01, noise=likelihood + 0.01)
    assert decide(heard("next", free=TALK, gap=0.7), interpret, talk) is Hearing.NONE


def test_a_word_said_four_times_is_noise_and_three_times_a_figure() -> None:
    said = {("one",) * count: (Intent(Kind.FIGURE, figure=Figure(Fraction("1" * count))),) for count in (3, 4)}
    for count, hearing in ((3, Hearing.CLEAR), (4, Hearing.NONE)):
        words = " ".join(["one"] * count)
        assert decide(heard(words, gap=None), lambda words: said.get(words, ())) is hearing


EXACT = Likeness(unlike=0.0, more=0)


# The borders below follow from what ``tests.tools.calibrate_hearing`` derived from voices and talk: a number that is
# mistyped moves them, and strangers are heard worse.
@pytest.mark.parametrize(
    ("gap", "near", "hearing"),
    [
        (4.9, EXACT, Hearing.CLEAR),
        (5.1, EXACT, Hearing.NEAR),
        (5.9, EXACT, Hearing.NEAR),
        (6.0, EXACT, Hearing.NONE),
        # Another phrase altogether, by its sound.
        (0.2, Likeness(1.0, 0), Hearing.CLEAR),
        (0.4, Likeness(1.0, 0), Hearing.NEAR),
        # Right words with three others after them.
        (4.0, Likeness(0.0, 3), Hearing.CLEAR),
        (4.3, Likeness(0.0, 3), Hearing.NEAR),
    ],
)
def test_where_the_line_is_between_command_near_miss_and_talk(gap: float, near: Likeness, hearing: Hearing) -> None:
    odds = command_likelihood(gap, near)
    assert odds < DEFAULT.noise if hearing is Hearing.NONE else odds >= DEFAULT.noise
    assert (odds >= DEFAULT.command) is (hearing is Hearing.CLEAR)


def test_beyond_some_gap_talk_does_not_become_likelier_still() -> None:
    assert command_likelihood(8.0, EXACT) == command_likelihood(30.0, EXACT) < command_likelihood(7.9, EXACT)
    # A phrase that is likelier than the free reading is no better than one that is it.
    assert command_likelihood(-3.0, EXACT) == command_likelihood(0.0, EXACT)


@pytest.mark.parametrize(
    ("words", "margin", "odds", "gap", "clear"),
    [
        # A command is clear with hardly any lead; a figure wants a lead, and all readings of it together on its side.
        ("next", 0.1, 0.0, 0.0, True),
        ("next", 0.0, 0.0, 0.0, False),
        ("fifteen", 4.2, 0.0, 0.0, True),
        ("fifteen", 4.1, 0.0, 0.0, False),
        ("fifteen", 2.0, 4.1, 0.0, True),
        ("fifteen", 2.0, 4.0, 0.0, False),
        # Beyond some lead more of it says no more: what is missing must come from the other number.
        ("fifteen", 20.0, 0.0, 1.6, True),
        ("fifteen", 20.0, 0.0, 1.7, False),
        ("fifteen", 0.0, 20.0, 1.0, True),
        ("fifteen", 0.0, 20.0, 1.1, False),
        # The free reading against it weighs, up to a point.
        ("fifteen", 3.3, 10.0, 4.9, True),
        ("fifteen", 3.2, 10.0, 4.9, False),
    ],
)
def test_where_the_line_is_between_clear_and_doubtful(
    words: str, margin: float, odds: float, gap: float, clear: bool
) -> None:
    said = heard(words, margin=margin, log_odds=odds, gap=gap)
    # What is asked of single words beyond this has a test of its own.
    as_a_phrase = replace(DEFAULT, brief_command=DEFAULT.command)
    assert decide(said, interpret, as_a_phrase) is (Hearing.CLEAR if clear else Hearing.DOUBTFUL)


LANGUAGE = Language(Vocabulary({"end play": "end play"}))


def just(words: str, sure: float) -> RecognitionResult:
    """Heard with this certainty."""
    odds = 10.0 if sure > 4 else 0.0
    nothing, one = (certainty(margin, odds, 0.0, EXACT) for margin in (0.0, 1.0))
    margin = (sure - nothing) / (one - nothing)
    assert certainty(margin, odds, 0.0, EXACT) == pytest.approx(sure)
    return heard(words, margin=margin, log_odds=odds, gap=0.0)


@pytest.mark.parametrize(
    ("words", "fits", "least"),
    [
        ("go to step two", None, 1.5),
        ("log fifteen", None, 3.75),
        ("log point oh five", None, 4.5),
        ("log fifteen", True, 2.75),
        ("log fifteen", False, 4.75),
        ("log point oh five", True, 3.5),
        ("log point oh five", False, 5.5),
    ],
)
def test_how_certain_it_must_be(words: str, fits: bool | None, least: float) -> None:
    # A command may be less certain than a figure; noughts beside the point and what is out of limits want more.
    def hearing(sure: float) -> Hearing:
        return decide(just(words, sure), LANGUAGE.interpret, fits=lambda _: fits)

    assert [hearing(least + beyond) for beyond in (0.01, -0.01)] == [Hearing.CLEAR, Hearing.DOUBTFUL]


class HearsAnew(FixedRecogniser):
    """Hears one thing, and the same sound heard again another."""

    def __init__(self, first: RecognitionResult, again: RecognitionResult) -> None:
        super().__init__(first)
        self.results, self.lengths = [first, again], list[int]()

    def recognise(
        self, sound: Samples, meaning: Meaning, *, commands: bool = True, bias: Bias | None = None
    ) -> RecognitionResult:
        self.result = self.results[len(self.lengths)]
        self.lengths.append(len(sound))
        return super().recognise(sound, meaning, commands=commands, bias=bias)


@pytest.mark.parametrize(
    ("first", "again", "hearing", "times"),
    [
        (heard("next", free="Worse.", gap=1.6), heard("next", gap=0.0), Hearing.CLEAR, 2),
        (heard("next", margin=0.0, log_odds=0.0), heard("next", gap=0.0), Hearing.CLEAR, 2),
        (heard("next", free="Worse.", gap=1.6), heard("next", free="Worse.", gap=1.5), Hearing.DOUBTFUL, 2),
        (heard("next", free="Worse.", gap=1.6), heard("back", gap=0.0), Hearing.DOUBTFUL, 2),
        (heard("next", free="Worse.", gap=1.6), heard(), Hearing.DOUBTFUL, 2),
        # Surely heard, no command at all, a figure or a phrase: once is enough.
        (heard("next", gap=0.0), heard(), Hearing.CLEAR, 1),
        (heard("next", free=TALK, gap=5.0), heard("next", gap=0.0), Hearing.NONE, 1),
        (just("fifteen", 3.0), just("fifteen", 5.0), Hearing.DOUBTFUL, 1),
        (just("go to step two", 1.0), just("go to step two", 5.0), Hearing.DOUBTFUL, 1),
    ],
)
def test_a_command_of_one_word_that_is_in_doubt_is_heard_a_second_time(
    first: RecognitionResult, again: RecognitionResult, hearing: Hearing, times: int
) -> None:
    recogniser = HearsAnew(first, again)
    ear = Ear(recogniser, LANGUAGE.interpret, denoise=False)
    utterance = ear.hear(SEGMENT)
    assert (utterance.hearing, utterance.words) == (
        hearing,
        first.alternatives[0].words if times > 1 or hearing is not Hearing.NONE else (),
    )
    assert len(recogniser.lengths) == times
    # The second time a little faster.
    assert all(length < recogniser.lengths[0] for length in recogniser.lengths[1:])


@pytest.mark.parametrize(
    ("said", "noughts"),
    [
        ("log point oh four", True),
        ("nought point zero zero two inches", True),
        ("one point five oh volts", True),
        ("log point four five", False),
        ("oh four", False),
        ("one point five volts", False),
        ("twenty two", False),
    ],
)
def test_noughts_beside_the_point_need_more_certainty_than_other_figures(said: str, noughts: bool) -> None:
    assert with_noughts(tuple(said.split())) is noughts
    wanted = Hearing.DOUBTFUL if noughts else Hearing.CLEAR
    assert decide(just(said, DEFAULT.figure_certainty + 0.01), LANGUAGE.interpret) is wanted


def test_one_word_after_a_stammer_does_not_make_it_a_figure() -> None:
    stammer = ("point", "oh", "oh", "oh", "oh", "five")
    figure = (Intent(Kind.FIGURE, figure=Figure(Fraction("0.00005"), 5)),)
    assert decide(heard(" ".join(stammer), gap=None), lambda _: figure) is Hearing.NONE


@pytest.mark.parametrize(
    ("reading", "words", "unlike", "more"),
    [
        ("Next.", "next", 0.0, 0),
        ("Read that back, please.", "read back", None, 2),
        ("Back.", "read back", None, 0),
        (" ".join(["well"] * 30), "next", None, 10),
        ("", "next", 1.0, 0),
    ],
)
def test_how_near_a_reading_is_to_a_phrase(reading: str, words: str, unlike: float | None, more: int) -> None:
    near = likeness(reading, tuple(words.split()))
    assert near.more == more
    assert 0.0 <= near.unlike <= 1.0
    if unlike is not None:
        assert near.unlike == unlike


def test_each_word_too_many_makes_a_command_less_likely_up_to_a_point() -> None:
    plain = command_likelihood(0.5, likeness("Next.", ("next",)))
    with_more = [command_likelihood(0.5, replace(likeness("Next.", ("next",)), more=more)) for more in (0, 1, 2)]
    assert with_more[0] == plain > with_more[1] > with_more[2]


def test_a_doubtful_figure_names_the_other_one() -> None:
    utterance = Ear(FixedRecogniser(heard("fifteen", "fifty", margin=0.01)), interpret).hear(SEGMENT)
    assert utterance.hearing is Hearing.DOUBTFUL
    assert utterance.intents == (FIFTEEN,)
    assert utterance.alternatives == (FIFTY,)
    assert (utterance.start, utterance.end, utterance.recogniser) == (3.0, 3.5, "test")
    assert utterance.sound is SEGMENT.samples


def test_talk_has_no_words_and_no_meaning() -> None:
    utterance = Ear(FixedRecogniser(heard("next", free=TALK, gap=9.0)), interpret).hear(SEGMENT)
    assert (utterance.hearing, utterance.words, utterance.intents) == (Hearing.NONE, (), ())
    assert utterance.free_text == TALK


def test_a_near_miss_has_no_meaning() -> None:
    utterance = Ear(FixedRecogniser(heard("next", free=TALK, gap=0.3)), interpret).hear(SEGMENT)
    assert (utterance.hearing, utterance.intents) == (Hearing.NEAR, ())


def test_a_piece_of_endless_talk_is_never_a_command() -> None:
    utterance = Ear(FixedRecogniser(heard("next")), interpret).hear(replace(SEGMENT, part=True))
    assert utterance.hearing is Hearing.NONE


def test_while_a_note_is_taken_only_its_end_is_a_command() -> None:
    command = Ear(FixedRecogniser(heard("next", free=TALK)), interpret).hear(SEGMENT, "dictation")
    assert (command.hearing, command.intents, command.free_text) == (Hearing.NONE, (), TALK)
    end = Ear(FixedRecogniser(heard("end of note")), interpret).hear(SEGMENT, "dictation")
    assert (end.hearing, end.intents) == (Hearing.CLEAR, (Intent(Kind.END_NOTE),))
    unsure = Ear(FixedRecogniser(heard("end of note", log_odds=-1.0)), interpret).hear(SEGMENT, "dictation")
    assert (unsure.hearing, unsure.intents) == (Hearing.NONE, ())


def test_a_figure_with_and_without_its_unit_is_the_same_where_the_step_has_one_unit() -> None:
    language = Language(Vocabulary({"end play": "end play"}, {"end play": "thou"}))
    recogniser = FixedRecogniser(heard("log four thou", "log four", "log five thou"))
    ear = Ear(recogniser, language.interpret, meaning=language.meaning)
    assert len(ear.hear(SEGMENT).alternatives) == 2
    expecting = Ear(
        recogniser, language.interpret, meaning=language.meaning, expects=lambda: Expectation({"end play": "thou"})
    )
    (other,) = expecting.hear(SEGMENT).alternatives
    assert other.figure == Figure(Fraction(5), unit="thou")


def test_what_the_step_does_not_make_likely_is_weighed_down_and_not_hidden() -> None:
    language = Language(Vocabulary({"end play": "end play"}, {"end play": "thou"}))
    recogniser = FixedRecogniser(heard("log four grams"))
    weighed: list[float] = []

    def recognise(*given: Any, bias: Bias | None = None, **also: Any) -> RecognitionResult:
        assert bias is not None
        weighed.extend(bias(tuple(text.split())) for text in ("log four thou", "log four grams", "next"))
        return recogniser.result

    recogniser.recognise = recognise  # type: ignore[method-assign, assignment]
    ear = Ear(recogniser, language.interpret, expects=lambda: Expectation({"end play": "thou"}))
    assert ear.hear(SEGMENT).text == "log four grams"
    assert weighed == [0.0, UNEXPECTED, 0.0]
