"""The card read aloud: what is asked again, and how the reading is steered by voice."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.voices.card_reading import CardReading
from handsfree.hearing.listening.endpoints import Segment
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance

LANGUAGE = Language()
CARD = ("one", "two", "log four thou")


def sound(seconds: float = 0.5, level: float = 0.1) -> Segment:
    samples = (level * np.random.default_rng(1).standard_normal(round(16_000 * seconds))).astype(np.float32)
    return Segment(samples, 2.0, 2.0 + seconds)


def heard(words: str, hearing: Hearing = Hearing.CLEAR) -> Utterance:
    split = tuple(words.split())
    return Utterance(split, hearing, LANGUAGE.interpret(split))


def reading(*said: int) -> CardReading:
    return CardReading(said, LANGUAGE.interpret, CARD)


def test_each_phrase_is_asked_for_in_turn_and_kept() -> None:
    card = reading()
    kept = []
    while not card.over:
        kept.append((card.phrase, card.hear(sound(), heard(card.phrase)).keep))
    assert kept == [("one", 0), ("two", 1), ("log four thou", 2)]


def test_a_reading_is_taken_up_at_what_is_missing() -> None:
    assert (reading(0, 2).phrase, reading(0, 2).place) == ("two", "phrase 3 of 3")
    assert reading(0, 1, 2).over


def test_another_phrase_is_asked_once_more_and_then_taken_as_said() -> None:
    card = reading()
    first = card.hear(sound(), heard("nine"))
    assert (first.says, first.keep) == ("I heard nine. Once more.", None)
    assert card.hear(sound(), heard("nine")).keep == 0


def test_what_is_not_understood_at_all_is_what_is_to_be_learned() -> None:
    assert reading().hear(sound(), Utterance((), Hearing.NONE)).keep == 0


@pytest.mark.parametrize(
    ("segment", "says"),
    [(sound(level=0.0005), "Once more: it is too quiet."), (sound(4.0), "That was long. Only the phrase.")],
)
def test_a_sound_that_is_no_use_is_asked_for_again_and_left_out_the_third_time(segment: Segment, says: str) -> None:
    card = reading()
    assert [card.hear(segment, heard("one")).says for _ in range(3)] == [says, says, "Left out."]
    assert card.phrase == "two"


def test_while_standing_by_nothing_is_kept_until_it_is_called_back() -> None:
    card = reading()
    assert card.hear(sound(), heard("stand by")).says.startswith("Standing by")
    assert (card.phrase, card.over) == ("", False)
    assert card.hear(sound(), heard("one")).keep is None
    assert card.hear(sound(), heard("back at the bench")).says == "Going on."
    assert card.phrase == "one"


def test_it_can_be_left_and_the_last_phrase_taken_back() -> None:
    card = reading()
    card.hear(sound(), heard("one"))
    assert card.hear(sound(), heard("drop it")).says == "Once more."
    assert card.phrase == "one"
    assert card.hear(sound(), heard("say again")).keep is None
    assert card.hear(sound(), heard("pause the job")).says == "What was said is kept."
    assert card.over
    assert card.hear(sound(), heard("one")).keep is None


def test_doubtful_words_steer_nothing() -> None:
    card = reading()
    assert card.hear(sound(), heard("pause the job", Hearing.DOUBTFUL)).keep == 0
    assert not card.over


@given(
    st.lists(st.sampled_from(["one", "nine", "drop it", "stand by", "back at the bench", "say again", ""]), max_size=30)
)
def test_whatever_is_said_only_the_phrase_that_is_asked_for_is_kept(lines: list[str]) -> None:
    card = reading()
    for line in lines:
        number, state = card.number, card.state
        answer = card.hear(sound(), heard(line) if line else Utterance((), Hearing.NONE))
        assert answer.keep in (None, number)
        assert answer.keep is None or state == "reading"
        assert (card.number is None) <= card.over
