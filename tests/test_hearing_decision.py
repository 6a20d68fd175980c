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

from handsfree.hearing.decision import DEFAULT, decide
from handsfree.hearing.ear import UNEXPECTED, Ear
from handsfree.hearing.endpoints import Segment
from handsfree.hearing.recogniser import Favour, Meaning, Sound
from handsfree.measure.figure import Figure
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.commands import Vocabulary
from handsfree.phrases.expectation import Expectation
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Alternative, Heard, Hearing

FIFTEEN = Intent(Kind.FIGURE, figure=Figure(Fraction(15)))
FIFTY = Intent(Kind.FIGURE, figure=Figure(Fraction(50)))
MEANINGS = {
    ("next",): (Intent(Kind.NEXT),),
    ("fifteen",): (FIFTEEN,),
    ("fifty",): (FIFTY,),
    ("end", "of", "note"): (Intent(Kind.END_NOTE),),
}


def interpret(words: tuple[str, ...]) -> tuple[Intent, ...]:
    return MEANINGS.get(words, ())


def heard(*phrases: str, gap: float | None = 0.5, margin: float | None = 2.0, log_odds: float | None = 6.0) -> Heard:
    alternatives = tuple(Alternative(tuple(phrase.split()), -0.5 - i * 0.4) for i, phrase in enumerate(phrases))
    return Heard("test", alternatives, "What it sounded like.", gap, margin, log_odds)


class FixedRecogniser:
    """Has always heard the same, as far as it may."""

    name = "test"

    def __init__(self, result: Heard) -> None:
        self.result = result

    def set_grammar(self, automaton: WordAutomaton) -> None: ...

    def missing_words(self, words: Iterable[str]) -> list[str]:
        return []

    def recognise(
        self, sound: Sound, meaning: Meaning, *, commands: bool = True, favour: Favour | None = None
    ) -> Heard:
        kept = tuple(a for a in self.result.alternatives if commands and meaning(a.words) is not None)
        return replace(self.result, alternatives=kept)


SEGMENT = Segment(np.zeros(8000, np.float32), 3.0, 3.5)


@pytest.mark.parametrize(
    ("what", "hearing"),
    [
        (heard("next"), Hearing.CLEAR),
        (heard("fifteen", "fifty"), Hearing.CLEAR),
        (heard("fifteen", "fifty", margin=0.0), Hearing.DOUBTFUL),
        (heard("fifteen", "fifty", log_odds=-0.1), Hearing.DOUBTFUL),
        (heard("next", log_odds=-0.1), Hearing.DOUBTFUL),
        (heard("next", gap=(DEFAULT.accept_gap + DEFAULT.reject_gap) / 2), Hearing.NEAR),
        (heard("next", gap=DEFAULT.reject_gap + 0.1), Hearing.NONE),
        (heard(), Hearing.NONE),
        (heard("something else"), Hearing.NONE),
        (heard("next", gap=None, margin=None, log_odds=None), Hearing.CLEAR),
    ],
)
def test_how_far_it_is_trusted(what: Heard, hearing: Hearing) -> None:
    assert decide(what, interpret) is hearing


@given(st.floats(-5, 20), st.floats(0, 5), st.floats(-20, 10))
def test_clear_needs_odds_in_its_favour_and_a_small_gap(gap: float, margin: float, log_odds: float) -> None:
    if decide(heard("fifteen", gap=gap, margin=margin, log_odds=log_odds), interpret) is Hearing.CLEAR:
        assert log_odds >= 0
        assert gap <= DEFAULT.accept_gap


@given(st.floats(-5, 20), st.floats(0, 5), st.floats(-20, 10))
def test_a_figure_is_never_trusted_more_easily_than_another_command(gap: float, margin: float, odds: float) -> None:
    numbers = {"gap": gap, "margin": margin, "log_odds": odds}
    if decide(heard("fifteen", **numbers), interpret) is Hearing.CLEAR:
        assert decide(heard("next", **numbers), interpret) is Hearing.CLEAR


def test_a_doubtful_figure_names_the_other_one() -> None:
    utterance = Ear(FixedRecogniser(heard("fifteen", "fifty", margin=0.01)), interpret).hear(SEGMENT)
    assert utterance.hearing is Hearing.DOUBTFUL
    assert utterance.intents == (FIFTEEN,)
    assert utterance.alternatives == (FIFTY,)
    assert (utterance.start, utterance.end, utterance.recogniser) == (3.0, 3.5, "test")
    assert utterance.sound is SEGMENT.samples


def test_talk_has_no_words_and_no_meaning() -> None:
    utterance = Ear(FixedRecogniser(heard("next", gap=9.0)), interpret).hear(SEGMENT)
    assert (utterance.hearing, utterance.words, utterance.intents) == (Hearing.NONE, (), ())
    assert utterance.free_text == "What it sounded like."


def test_a_near_miss_has_no_meaning() -> None:
    near = (DEFAULT.accept_gap + DEFAULT.reject_gap) / 2
    utterance = Ear(FixedRecogniser(heard("next", gap=near)), interpret).hear(SEGMENT)
    assert (utterance.hearing, utterance.intents) == (Hearing.NEAR, ())


def test_a_piece_of_endless_talk_is_never_a_command() -> None:
    utterance = Ear(FixedRecogniser(heard("next")), interpret).hear(replace(SEGMENT, part=True))
    assert utterance.hearing is Hearing.NONE


def test_while_a_note_is_taken_only_its_end_is_a_command() -> None:
    command = Ear(FixedRecogniser(heard("next")), interpret).hear(SEGMENT, "dictation")
    assert (command.hearing, command.intents, command.free_text) == (Hearing.NONE, (), "What it sounded like.")
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

    def recognise(*given: Any, favour: Favour | None = None, **also: Any) -> Heard:
        assert favour is not None
        weighed.extend(favour(tuple(text.split())) for text in ("log four thou", "log four grams", "next"))
        return recogniser.result

    recogniser.recognise = recognise  # type: ignore[method-assign, assignment]
    ear = Ear(recogniser, language.interpret, expects=lambda: Expectation({"end play": "thou"}))
    assert ear.hear(SEGMENT).text == "log four grams"
    assert weighed == [0.0, UNEXPECTED, 0.0]
