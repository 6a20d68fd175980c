"""Figures that are typed, with digits, symbols and clocks: as they would be said, or why they can not be read."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.phrases.typed_figures import typed_meanings, unreadable, words_of_typed


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("4 thou", "four thou"), ("4thou", "four thou"), ("0.10 mm", "nought point one nought millimetres"),
        ("-3 dB", "minus three decibels"), ("+0.5 mm", "plus nought point five millimetres"),
        ("1,234.5 mm", "one two three four point five millimetres"),
        ("3/8 inch", "three eighths of an inch"), ("1 1/2 thou", "one and a half thou"),
        ("½ mm", "half a millimetre"), ("4½ thou", "four and a half thou"), ("4 ½ thou", "four and a half thou"),
        ("2 min 10 s", "two minutes ten seconds"), ("1 lb 3 oz", "one pound three ounces"),
        ("2:10", "two minutes ten seconds"), ("1:02:10", "sixty two minutes ten seconds"),
        ("convert 4 thou to mm", "convert four thou to millimetres"),
        ("what is 2.5 mm in thou", "what is two point five millimetres in thou"),
        ("removed 12 screws", "removed one two screws"), ("4 flubs", "four flubs"),
        ("travel of M3 in 2 turns", "travel of m three in two turns"),
        ("log 5/0 thou", "log five / nought thou"),  # no figure: nothing of it is dropped
    ],
)  # fmt: skip
def test_what_is_typed_is_read_as_it_would_be_said(typed: str, words: str) -> None:
    assert " ".join(words_of_typed(typed)) == words


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("1,5 mm", "1,5 can't be read: write 1.5 with a point, or the figures one by one"),
        (",5 mm", ",5 can't be read: write 0.5 with a point, or the figures one by one"),
        ("1.5.2 mm", "1.5.2 can't be read as a figure: write one figure, such as 2.5, 3/8 or 2:10"),
        ("4-5 mm", "4-5 can't be read as a figure: write one figure, such as 2.5, 3/8 or 2:10"),
        ("3/0 mm", "3/0 can't be read as a figure: write one figure, such as 2.5, 3/8 or 2:10"),
        ("1/2/3 mm", "1/2/3 can't be read as a figure: write one figure, such as 2.5, 3/8 or 2:10"),
    ],
)
def test_a_figure_that_could_become_another_is_refused_with_what_to_write(typed: str, why: str) -> None:
    assert unreadable(typed) == why
    assert typed_meanings(typed) == ([], [])


@pytest.mark.parametrize("typed", ["1,234.5 mm", "2:10", "travel of 6-32 in 2 turns", "M3 x 0.5", "next"])
def test_what_can_be_read_is_not_refused(typed: str) -> None:
    assert unreadable(typed) is None


def test_a_time_of_thirty_seconds_is_a_part_of_an_inch_only_with_its_hyphen() -> None:
    (part,), _ = typed_meanings("five thirty-seconds")
    assert part.value == Fraction(5, 32)
    assert {figure.value for figure in typed_meanings("five thirty seconds")[0]} > {Fraction(5, 32)}


def test_numbers_alone_and_sums_are_figures_too() -> None:
    assert [figure.value for figure in typed_meanings("5000")[0]] == [5000]
    assert [figure.value for figure in typed_meanings("oh")[0]] == [0]
    figures, sums = typed_meanings("convert 4 thou to mm")
    assert (figures, len(sums)) == ([], 1)
    assert typed_meanings("nothing of the kind") == typed_meanings("") == ([], [])


@given(st.integers(0, 99_999), st.integers(0, 3), st.sampled_from(["mm", "thou", "N", "g", "°C"]))
def test_every_decimal_keeps_its_value_and_its_places(digits: int, places: int, unit: str) -> None:
    value = Fraction(digits, 10**places)
    text = f"{digits // 10**places}" + (f".{digits % 10**places:0{places}}" if places else "")
    (figure,), _ = typed_meanings(f"{text} {unit}")
    assert (figure.value, figure.decimals, figure.unit) == (value, places, unit)
