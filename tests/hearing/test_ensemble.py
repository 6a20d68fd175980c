"""Two ears: what they agree on is clear, and what they differ on is asked back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from handsfree.hearing.ear import Mode
from handsfree.hearing.ensemble import TwoEars, combined
from handsfree.hearing.listening.endpoints import Segment
from handsfree.hearing.recogniser import Recogniser
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance
from tests.support.made_up_hearing import MadeUpRecogniser

NEXT, BACK, AGAIN, HELP = (Intent(kind) for kind in (Kind.NEXT, Kind.LOOK_BACK, Kind.REPEAT, Kind.HELP))
SEGMENT = Segment(np.zeros(1600, np.float32), 0.0, 0.1)


def said(
    hearing: Hearing,
    *intents: Intent,
    others: tuple[Intent, ...] = (),
    by: str = "first",
    then: tuple[Intent, ...] = (),
) -> Utterance:
    return Utterance((by,), hearing, intents, others, recogniser=by, then=then, seconds=1.0, start=2.0, end=3.0)


CLEAR, DOUBTFUL, NEAR, NONE = Hearing.CLEAR, Hearing.DOUBTFUL, Hearing.NEAR, Hearing.NONE


@pytest.mark.parametrize(
    ("first", "second", "hearing"),
    [
        (CLEAR, CLEAR, CLEAR),
        (DOUBTFUL, CLEAR, CLEAR),
        (CLEAR, DOUBTFUL, CLEAR),
        (DOUBTFUL, DOUBTFUL, CLEAR),
    ],
)
def test_what_both_heard_is_clear_however_sure_each_was(first: Hearing, second: Hearing, hearing: Hearing) -> None:
    both = combined(said(first, NEXT), said(second, NEXT, others=(BACK,), by="second"))
    assert (both.hearing, both.intents, both.alternatives) == (hearing, (NEXT,), ())
    assert (both.words, both.start, both.end) == (("first",), 2.0, 3.0)


@pytest.mark.parametrize("first", [CLEAR, DOUBTFUL])
@pytest.mark.parametrize("second", [CLEAR, DOUBTFUL])
def test_what_they_differ_on_is_asked_back_with_the_meaning_of_the_other_first(first: Hearing, second: Hearing) -> None:
    both = combined(
        said(first, NEXT, others=(AGAIN, BACK)), said(second, BACK, others=(NEXT, HELP, AGAIN), by="second")
    )
    assert (both.hearing, both.intents, both.alternatives) == (DOUBTFUL, (NEXT,), (BACK, AGAIN, HELP))


def test_words_of_several_meanings_agree_where_one_of_them_is_the_same() -> None:
    assert combined(said(CLEAR, NEXT, AGAIN), said(CLEAR, AGAIN, BACK)).hearing is CLEAR


def test_two_commands_in_one_breath_agree_only_as_a_whole() -> None:
    assert combined(said(CLEAR, NEXT, then=(AGAIN,)), said(CLEAR, NEXT, then=(AGAIN,))).hearing is CLEAR
    differing = combined(said(CLEAR, NEXT, then=(AGAIN,)), said(CLEAR, NEXT))
    assert (differing.hearing, differing.alternatives) == (DOUBTFUL, ())


@pytest.mark.parametrize("second", [NEAR, NONE])
def test_what_the_first_alone_heard_is_doubtful(second: Hearing) -> None:
    both = combined(said(CLEAR, NEXT, others=(BACK,)), said(second, by="second"))
    assert (both.hearing, both.intents, both.alternatives) == (DOUBTFUL, (NEXT,), (BACK,))


def test_what_the_first_took_for_no_command_is_none_whatever_the_second_says() -> None:
    both = combined(said(NEAR), said(CLEAR, NEXT, by="second"))
    assert (both.hearing, both.intents) == (NEAR, ())


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (said(CLEAR, NEXT), said(CLEAR, NEXT, by="second")),
        (said(CLEAR, NEXT), said(CLEAR, BACK, by="second")),
        (said(CLEAR, NEXT), said(NONE, by="second")),
        (said(NEAR), said(CLEAR, NEXT, by="second")),
    ],
)
def test_both_are_named_and_the_time_of_both_counts(first: Utterance, second: Utterance) -> None:
    both = combined(first, replace(second, seconds=0.5))
    assert (both.recogniser, both.seconds) == ("first and second", 1.5)


class Says:
    """An ear that has always heard the same."""

    def __init__(self, utterance: Utterance) -> None:
        self.recogniser: Recogniser = MadeUpRecogniser()
        self.utterance = utterance
        self.asked: list[Mode] = []
        self.languages: list[Language] = []

    def hear(self, segment: Segment, mode: Mode = "commands") -> Utterance:
        self.asked.append(mode)
        return self.utterance

    def learn(self, language: Language) -> None:
        self.languages.append(language)


def test_the_second_is_asked_of_commands_alone_and_not_of_talk() -> None:
    first, second = Says(said(CLEAR, NEXT)), Says(said(CLEAR, BACK, by="second"))
    both = TwoEars(first, second)
    assert both.hear(SEGMENT).hearing is DOUBTFUL
    assert both.hear(SEGMENT, "dictation") is first.utterance
    first.utterance = said(NEAR)
    assert both.hear(SEGMENT).hearing is NEAR
    first.utterance = said(NONE)
    assert both.hear(SEGMENT) is first.utterance
    assert second.asked == ["commands", "commands"]
    assert first.asked == ["commands", "dictation", "commands", "commands"]


def test_both_learn_another_language_and_the_first_tells_what_it_can_hear() -> None:
    first, second, language = Says(said(NONE)), Says(said(NONE)), Language()
    both = TwoEars(first, second)
    both.learn(language)
    assert first.languages == second.languages == [language]
    assert both.recogniser is first.recogniser
