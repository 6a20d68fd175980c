"""Numbers in words against the library num2words, and the numerals of a text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from handsfree.text.numerals import NTHS, PARTS, cardinal, digit_words, numerals_spelled, ungrouped


@given(st.integers(0, 999_999))
def test_cardinals_are_those_of_num2words(number: int) -> None:
    assert cardinal(number) == num2words(number).replace(",", "").replace("-", " ")


def test_a_million_and_more_is_said_digit_by_digit() -> None:
    assert cardinal(1_000_000) == "one zero zero zero zero zero zero"


@pytest.mark.parametrize(("name", "denominator"), [*PARTS.items(), *NTHS.items()])
def test_parts_of_one_are_the_ordinals_of_num2words(name: str, denominator: int) -> None:
    ordinal = num2words(denominator, to="ordinal").replace("-", " ").replace("one hundred", "hundred")
    special = {2: {"half"}, 4: {"quarter", "fourth"}}
    assert name in special.get(denominator, {ordinal})


def test_figures_one_by_one() -> None:
    assert digit_words("-0.50", "nought") == "minus nought point five nought"


@pytest.mark.parametrize(
    ("text", "plain"),
    [("1,200 mm", "1200 mm"), ("12,345,678", "12345678"), ("1,5", "1,5"), ("1,2345", "1,2345"), ("a, 100", "a, 100")],
)
def test_only_commas_between_groups_of_three_are_taken_out(text: str, plain: str) -> None:
    assert ungrouped(text) == plain


def test_numerals_become_words_of_their_own() -> None:
    assert numerals_spelled("log .05mm", "oh").split() == ["log", "point", "oh", "five", "mm"]
    assert numerals_spelled("31.2", "nought").split() == ["three", "one", "point", "two"]
