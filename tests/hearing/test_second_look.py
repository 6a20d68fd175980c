"""What is said as people say it, by what an ear hears of the whole and of its parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.disfluency import MOST_TRIES, PatientEar
from handsfree.hearing.ear import Ear
from handsfree.hearing.listening.endpoints import PADDING, Segment
from handsfree.hearing.rejection import DEFAULT
from handsfree.phrases.commands.command import Command
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, RecognitionResult, Utterance
from tests.support.made_up_hearing import PAUSE, HearsStretches, heard, spoken

_KINDS = (Kind.NEXT, Kind.LOOK_BACK, Kind.REPEAT, Kind.YES, Kind.GO_TO, Kind.READINGS, Kind.END_NOTE)


class FewCommands(Language):
    """As much of the language as these tests speak."""

    def _commands(self) -> tuple[Command, ...]:
        return tuple(command for command in super()._commands() if command.kind in _KINDS)


LANGUAGE = FewCommands(Vocabulary({"end play": "end play"}))
NEXT, AGAIN, BACK = Intent(Kind.NEXT), Intent(Kind.REPEAT), Intent(Kind.LOOK_BACK)
TWO, THREE = Intent(Kind.GO_TO, step=2), Intent(Kind.GO_TO, step=3)


def clear(words: str, free: str | None = None) -> RecognitionResult:
    return heard(words, free=free, gap=None)


def doubtful(words: str, free: str | None = None) -> RecognitionResult:
    return heard(words, free=free, gap=0.0, margin=0.0, log_odds=-1.0)


def nothing(free: str) -> RecognitionResult:
    return heard(free=free)


def patient(said: Mapping[str, RecognitionResult]) -> tuple[PatientEar, HearsStretches]:
    recogniser = HearsStretches(said)
    likely = replace(DEFAULT, command=-99.0, noise=-99.0, clear_command=-99.0, brief_command=-99.0)
    return PatientEar(Ear(recogniser, LANGUAGE.interpret, likely), LANGUAGE), recogniser


def hear(segment: Segment, **said: RecognitionResult) -> tuple[Utterance, list[str]]:
    """What was heard, and of which parts the recogniser was asked."""
    ear, recogniser = patient(said)
    return ear.hear(segment), recogniser.stretches


def told(utterance: Utterance) -> tuple[Hearing, tuple[Intent, ...], tuple[Intent, ...]]:
    return utterance.hearing, utterance.intents, utterance.then


NEAR, NONE = (Hearing.NEAR, (), ()), (Hearing.NONE, (), ())


# what the first look accounts for
@pytest.mark.parametrize(
    ("words", "free"),
    [
        ("next", "Next."),
        ("next", "Um, next."),
        ("next", "Uh next, er."),
        # A network likes to write a short word twice, an article comes of itself, and a numeral is one word.
        ("next", "Next, next."),
        ("say again", "Say again. Say again."),
        ("next", "The next."),
        ("say again", "Say it again."),
        ("go to step two", "Go to step 2."),
        ("go to step two", "Go to a step of the 2."),
        ("say again", "Hey again."),
        # "Look" begins a command, and is none alone.
        ("next", "Next luck."),
        ("next", ""),
    ],
)
def test_what_is_accounted_for_is_heard_once(words: str, free: str) -> None:
    utterance, asked = hear(spoken("ab"), ab=clear(words, free))
    assert told(utterance) == (Hearing.CLEAR, LANGUAGE.interpret(tuple(words.split())), ())
    assert asked == ["ab"]


def test_a_command_in_doubt_with_nothing_beside_it_stays_in_doubt() -> None:
    utterance, asked = hear(spoken("ab"), ab=doubtful("say again"))
    assert told(utterance) == (Hearing.DOUBTFUL, (AGAIN,), ())
    assert asked == ["ab"]


# two commands in one breath
@pytest.mark.parametrize(
    "whole",
    [
        clear("next", "Next say again."),
        doubtful("next", "Next say again."),
        nothing("Next say again."),
        clear("next", "Um next uh say again."),
    ],
)
def test_two_commands_in_one_breath_are_both_heard(whole: RecognitionResult) -> None:
    utterance, asked = hear(spoken("ab"), ab=whole, a=clear("next"), b=clear("say again"))
    assert told(utterance) == (Hearing.CLEAR, (NEXT,), (AGAIN,))
    assert (utterance.text, utterance.alternatives) == ("next say again", ())
    assert (utterance.free_text, utterance.start) == (whole.free_text, 0.0)
    assert set("ab") <= set(asked)


@pytest.mark.parametrize(
    ("first", "second", "free"),
    [
        ("next", "back", "Next back."),
        ("next", "say again", "Next say again."),
        ("next", "say that again", "Next say that again."),
        ("next", "back", "The next of the back."),
        # Small words of the first are not counted where they were read: the second shows at the end alone.
        ("readings of end play", "say again", "Readings of end play say again."),
        # The last word as it sounds.
        ("say again", "next", "Say again necks."),
    ],
)
def test_a_second_command_is_noticed_at_the_end_of_what_was_read(first: str, second: str, free: str) -> None:
    utterance, _ = hear(spoken("ab"), ab=clear(first, free), a=clear(first), b=clear(second))
    assert utterance.text == f"{first} {second}"
    assert len(utterance.then) == 1


def test_a_beginning_said_twice_is_noticed_where_one_word_is_left_over() -> None:
    # "Go to, go to step three" was taken for another step as a whole.
    said = {"ab": clear("go to step two", "Go to go to step."), "a": nothing("Go to"), "b": clear("go to step three")}
    assert told(hear(spoken("ab"), **said)[0]) == (Hearing.CLEAR, (THREE,), ())


def test_a_second_of_the_same_kind_takes_the_place_of_the_first_and_is_asked_back() -> None:
    whole = nothing("Go to step two go to step three.")
    utterance, _ = hear(spoken("ab"), ab=whole, a=clear("go to step two"), b=clear("go to step three"))
    assert told(utterance) == (Hearing.DOUBTFUL, (THREE,), ())


def test_the_same_said_twice_is_said_once() -> None:
    utterance, _ = hear(spoken("ab"), ab=nothing("Next next."), a=clear("next"), b=clear("next"))
    assert told(utterance) == (Hearing.CLEAR, (NEXT,), ())


@pytest.mark.parametrize("last", ["yes", "end of note"])
def test_what_only_answers_or_ends_something_is_never_the_second_of_two(last: str) -> None:
    whole = clear("next", f"Next {last}.")
    utterance, _ = hear(spoken("ab"), ab=whole, a=clear("next"), b=clear(last))
    assert told(utterance) == NEAR


@pytest.mark.parametrize("unsure", [doubtful("say again"), nothing("Say again.")])
def test_a_part_that_is_in_doubt_is_no_command(unsure: RecognitionResult) -> None:
    whole = clear("next", "Next say again.")
    assert told(hear(spoken("ab"), ab=whole, a=clear("next"), b=unsure)[0]) == NEAR
    assert told(hear(spoken("ab"), ab=whole, a=unsure, b=clear("next"))[0]) == NEAR


@pytest.mark.parametrize(
    ("part", "hearing"),
    [
        (clear("say again", "Say that again."), Hearing.CLEAR),
        (clear("say again", "Please say that again."), Hearing.NEAR),
        (clear("say again", "Um uh say again."), Hearing.CLEAR),
    ],
)
def test_a_part_with_talk_beside_its_command_is_talk(part: RecognitionResult, hearing: Hearing) -> None:
    whole = clear("next", "Next say again.")
    assert hear(spoken("ab"), ab=whole, a=clear("next"), b=part)[0].hearing is hearing
    assert hear(spoken("ab"), ab=whole, a=part, b=clear("next"))[0].hearing is hearing


# begun again
def test_a_command_begun_and_begun_again_is_heard_once() -> None:
    whole = nothing("Go to, go to step two.")
    for begun in ("Go to", "Go to ste", "Go"):
        utterance, _ = hear(spoken("ab"), ab=whole, a=nothing(begun), b=clear("go to step two"))
        assert told(utterance) == (Hearing.CLEAR, (TWO,), ())
        assert utterance.text == "go to step two"


@pytest.mark.parametrize("begun", ["To go", "Tea", "", "Go to te"])
def test_what_begins_no_command_is_not_passed_over(begun: str) -> None:
    whole = nothing("Go to, go to step two.")
    assert told(hear(spoken("ab"), ab=whole, a=nothing(begun), b=clear("go to step two"))[0]) == NONE


@pytest.mark.parametrize(
    ("free", "hearing"),
    [
        ("Go to, go to step 2.", Hearing.CLEAR),
        ("Go to, go to step to.", Hearing.CLEAR),
        ("Go to, go to sleep too.", Hearing.CLEAR),
        ("Go to the end of readings again.", Hearing.NONE),
    ],
)
def test_what_was_begun_again_has_to_stand_at_the_end_of_the_whole_too(free: str, hearing: Hearing) -> None:
    utterance, _ = hear(spoken("ab"), ab=nothing(free), a=nothing("Go to"), b=clear("go to step two"))
    assert utterance.hearing is hearing


# fillers
def test_an_um_in_a_command_is_cut_out() -> None:
    said = {"abc": nothing("Go to um step two."), "b": nothing("Um."), "ac": clear("go to step two")}
    utterance, asked = hear(spoken("abc"), **said)
    assert told(utterance) == (Hearing.CLEAR, (TWO,), ())
    assert utterance.text == "go to step two"
    assert asked == ["abc", "a", "b", "c", "ac"]


def test_no_sound_is_lost_between_the_parts() -> None:
    whole = spoken("abc")
    ear, recogniser = patient({"abc": nothing("Go to um step two."), "b": nothing("Um.")})
    ear.hear(whole)
    quiet = 2 * round(PADDING * SAMPLE_RATE)
    first, *parts = (len(asked.sound) for asked in recogniser.asked)
    assert recogniser.stretches[1:4] == ["a", "b", "c"]
    assert sum(length - quiet for length in parts[:3]) == first == len(whole.samples)


@pytest.mark.parametrize(
    "said",
    [
        # Without it there is no command, one in doubt, or one with talk beside it.
        {"b": nothing("Um.")},
        {"b": nothing("Um."), "ac": doubtful("go to step two")},
        {"b": nothing("Um."), "ac": clear("go to step two", "Please would you go to step two.")},
        # Nothing but that was said; it is no part of its own; it is not that alone.
        {"a": nothing("Um."), "b": nothing("Uh."), "c": nothing("Er."), "": clear("next")},
        {"abc": clear("go to step two", "Um go to step two say again.")},
        {"b": nothing("Um, tea."), "ac": clear("go to step two")},
        {"b": nothing(""), "ac": clear("go to step two")},
    ],
)
def test_an_um_is_cut_out_only_where_a_sure_command_is_left(said: dict[str, RecognitionResult]) -> None:
    utterance, _ = hear(spoken("abc"), **{"abc": nothing("Go to um step two."), **said})
    assert utterance.hearing in (Hearing.NONE, Hearing.NEAR)
    assert utterance.intents == ()


def test_two_commands_with_an_um_between_them_are_both_heard() -> None:
    said = {"abc": nothing("Next um say again."), "b": nothing("Um."), "ab": clear("next"), "c": clear("say again")}
    assert told(hear(spoken("abc"), **said)[0]) == (Hearing.CLEAR, (NEXT,), (AGAIN,))


# where it is parted
def test_where_the_first_pause_parts_nothing_the_second_is_tried_and_no_third() -> None:
    whole = nothing("Go to step two say again.")
    second = {"abc": whole, "ab": clear("go to step two"), "c": clear("say again")}
    assert told(hear(spoken("abc"), **second)[0]) == (Hearing.CLEAR, (TWO,), (AGAIN,))
    assert MOST_TRIES == 2
    third = {"abcd": whole, "abc": clear("go to step two"), "d": clear("say again")}
    utterance, asked = hear(spoken("abcd"), **third)
    assert told(utterance) == NONE
    assert "d" not in asked


def test_what_has_no_pause_is_not_parted() -> None:
    utterance, asked = hear(spoken("ab", pause=0.0), ab=clear("next", "Next say again."), a=clear("next"))
    assert (told(utterance), asked) == (NEAR, ["ab"])


def test_a_part_has_quiet_around_it_as_recognisers_want_it() -> None:
    ear, recogniser = patient({"ab": nothing("Next say again."), "a": clear("next"), "b": clear("say again")})
    ear.hear(spoken("ab"))
    for asked in recogniser.asked[1:]:
        loud = np.flatnonzero(asked.sound) / SAMPLE_RATE
        for quiet in (loud[0], len(asked.sound) / SAMPLE_RATE - loud[-1]):
            assert quiet >= PADDING + PAUSE / 2 - 0.05


# talk
@pytest.mark.parametrize(
    ("words", "more", "hearing"),
    [
        ("next", 2, Hearing.NEAR),
        ("next", 5, Hearing.NEAR),
        ("next", 6, Hearing.NONE),
        ("go to step two", 8, Hearing.NEAR),
        ("go to step two", 9, Hearing.NONE),
    ],
)
def test_a_command_among_a_few_words_is_a_near_miss_and_in_a_long_sentence_talk(
    words: str, more: int, hearing: Hearing
) -> None:
    free = f"{' '.join(['well'] * (more - 1))} {words} please."
    utterance, asked = hear(spoken("ab"), ab=clear(words, free), a=clear("next"), b=clear("say again"))
    assert told(utterance) == (hearing, (), ())
    assert utterance.text == (words if hearing is Hearing.NEAR else "")
    assert (utterance.alternatives, utterance.free_text) == ((), free)
    assert asked == ["ab"], "so much talk is not looked at again"


@pytest.mark.parametrize(
    ("free", "looked"),
    [
        ("Next step go tea pot.", True),
        ("Next step tea pot lid.", False),
        ("Next step go um tea uh pot.", True),
        ("Um uh.", False),
    ],
)
def test_speech_of_other_words_for_the_most_part_is_not_looked_at_again(free: str, looked: bool) -> None:
    said = {"ab": nothing(free), "a": clear("next"), "b": clear("say again")}
    utterance, asked = hear(spoken("ab"), **said)
    assert (len(asked) > 1) is looked
    assert (utterance.hearing is Hearing.CLEAR) is looked


@pytest.mark.parametrize(("seconds", "looked"), [(6.0, True), (6.1, False)])
@pytest.mark.parametrize("start", [0.0, 30.0])
def test_what_went_on_for_long_is_not_looked_at_again(seconds: float, looked: bool, start: float) -> None:
    long = replace(spoken("ab"), start=start, end=start + seconds)
    said = {"ab": nothing("Next say again."), "a": clear("next"), "b": clear("say again")}
    assert (len(hear(long, **said)[1]) > 1) is looked


def test_in_a_note_and_in_a_piece_of_endless_talk_there_is_no_second_look() -> None:
    said = {"ab": clear("next", "Next say again."), "a": clear("next"), "b": clear("say again")}
    ear, recogniser = patient(said)
    assert told(ear.hear(spoken("ab"), "dictation")) == NONE
    assert told(ear.hear(replace(spoken("ab"), part=True))) == NONE
    assert recogniser.stretches == ["ab", "ab"]


def test_what_was_read_as_nothing_is_not_looked_at_again() -> None:
    _, asked = hear(spoken("ab"), ab=nothing(""), a=clear("next"), b=clear("say again"))
    assert asked == ["ab"]


def test_the_time_of_both_looks_counts() -> None:
    said = {"ab": clear("next", "Next say again."), "a": clear("next"), "b": clear("say again")}
    for known in (said, {"ab": said["ab"]}, {"ab": nothing("Next say again.")}):
        ear, _ = patient(known)
        first = Ear(HearsStretches(known), LANGUAGE.interpret).hear(spoken("ab"))
        assert 0.0 < first.seconds < 30.0
        assert 0.0 < ear.hear(spoken("ab")).seconds < 30.0


class OnlyBack(FewCommands):
    def _commands(self) -> tuple[Command, ...]:
        return tuple(command for command in super()._commands() if command.kind in (Kind.LOOK_BACK, Kind.READINGS))


def test_an_ear_that_learns_another_language_looks_a_second_time_by_that_one() -> None:
    said = {"ab": nothing("Readings of float back."), "a": clear("readings of float"), "b": clear("back")}
    ear, recogniser = patient(said)
    assert told(ear.hear(spoken("ab"))) == NONE
    other = OnlyBack(Vocabulary({"float": "float"}))
    ear.learn(other)
    assert recogniser.grammars == [other.automaton]
    assert ear.recogniser is recogniser
    assert told(ear.hear(spoken("ab"))) == (Hearing.CLEAR, (Intent(Kind.READINGS, characteristic="float"),), (BACK,))
