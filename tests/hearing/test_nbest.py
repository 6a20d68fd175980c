"""What the phrases of a search mean, whatever their words."""

from __future__ import annotations

import math

import pytest

from handsfree.hearing.builtin.beam import PhraseHypothesis
from handsfree.hearing.builtin.nbest import MeaningHypothesis, by_meaning

MEANINGS = {"next": "next", "next step": "next", "back": "back", "log four": 4, "log five": 5}


def meaning(words: tuple[str, ...]) -> object | None:
    return MEANINGS.get(" ".join(words))


def phrase(words: str, total: float, length: int = 1) -> PhraseHypothesis:
    return PhraseHypothesis(tuple(words.split()), total - 0.5, total, length)


def told(hypotheses: list[MeaningHypothesis]) -> list[tuple[object, str]]:
    return [(each.meaning, " ".join(each.phrase.words)) for each in hypotheses]


def test_each_meaning_comes_once_by_its_likeliest_phrase_and_the_best_comes_first() -> None:
    found = by_meaning(
        [phrase("back", -3.0), phrase("next step", -2.0), phrase("next", -1.0), phrase("log four", -9.0)],
        meaning, None, 0.5,
    )  # fmt: skip
    assert told(found) == [("next", "next"), ("back", "back"), (4, "log four")]
    assert [each.score for each in found] == [-1.0, -3.0, -9.0]
    turned = by_meaning([phrase("next", -1.0), phrase("next step", -2.0)], meaning, None, 0.5)
    assert told(turned) == [("next", "next")]


def test_phrases_of_no_use_here_are_left_out() -> None:
    assert told(by_meaning([phrase("something else", -0.1), phrase("next", -5.0)], meaning, None, 0.5)) == [
        ("next", "next")
    ]
    assert by_meaning([phrase("something else", -0.1)], meaning, None, 0.5) == []
    assert by_meaning([], meaning, None, 0.5) == []


def test_two_phrases_of_one_meaning_make_it_as_likely_as_both_together() -> None:
    (found,) = by_meaning([phrase("next", math.log(0.3)), phrase("next step", math.log(0.2))], meaning, None, 0.5)
    assert found.total == pytest.approx(math.log(0.5))
    assert found.score == pytest.approx(math.log(0.3))
    (turned,) = by_meaning([phrase("next step", math.log(0.2)), phrase("next", math.log(0.3))], meaning, None, 0.5)
    assert (turned.total, turned.score) == (pytest.approx(math.log(0.5)), pytest.approx(math.log(0.3)))


def test_a_long_phrase_is_not_behind_for_its_length_alone() -> None:
    assert by_meaning([phrase("next", -2.0), phrase("log four", -3.0, 9)], meaning, None, 0.5)[0].meaning == 4
    assert by_meaning([phrase("next", -2.0), phrase("log four", -3.0, 9)], meaning, None, 0.0)[0].meaning == "next"
    (long,) = by_meaning([phrase("log four", -3.0, 9)], meaning, None, 0.5)
    assert (long.score, long.total) == (pytest.approx(-1.0), -3.0)


def test_what_is_not_expected_wants_to_be_that_much_likelier() -> None:
    def bias(words: tuple[str, ...]) -> float:
        return 0.0 if words == ("log", "five") else -4.0

    heard = [phrase("log four", -1.0, 4), phrase("log five", -2.0, 4)]
    assert [each.meaning for each in by_meaning(heard, meaning, None, 0.5)] == [4, 5]
    weighed = by_meaning(heard, meaning, bias, 0.5)
    assert [each.meaning for each in weighed] == [5, 4]
    # Of a long phrase it takes as much from the whole, and so less from each part.
    assert [(each.score, each.total) for each in weighed] == [(-1.0, -2.0), (-2.5, -5.0)]
    far_better = [phrase("log four", -1.0, 4), phrase("log five", -6.0, 4)]
    assert [each.meaning for each in by_meaning(far_better, meaning, bias, 0.5)] == [4, 5]
