"""How computed figures are rounded: by the resolution of what was read, and once."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.formatting import written
from handsfree.measure.rounding import decimals_for, difference, in_series, step_of, to_figures, to_step, two_figures


@pytest.mark.parametrize(
    ("step", "decimals"),
    # The last decimal is a fifth of the resolution at most.
    [("5", 0), ("4", 1), ("1", 1), ("1/2", 1), ("0.4", 2), ("0.1", 2), ("0.01", 3), ("0.0001", 5), ("1/10000000", 6)],
)
def test_a_computed_figure_has_one_digit_more_than_the_tool_shows(step: str, decimals: int) -> None:
    assert decimals_for(Fraction(step)) == decimals


@given(st.fractions(Fraction(1, 10**4), Fraction(10)), st.fractions(0, 100))
def test_rounding_adds_a_tenth_of_a_division_at_most(step: Fraction, value: Fraction) -> None:
    rounded = to_step(value, step, "mm").value
    assert abs(rounded - value) <= step / 10


@pytest.mark.parametrize(
    ("value", "step", "rounded", "in_a_series"),
    [
        ("1/3", "0.1", "0.33", "0.33"),
        ("4", "0.1", "4", "4.0"),
        ("4", "1/4", "4", "4.00"),
        ("9/2", "1/2", "4.5", "4.5"),
        ("0", "0.1", "0", "0.0"),
        # What would become nought keeps two figures.
        ("1/3000", "0.1", "0.00033", "0.0"),
        ("-1/3000", "0.1", "-0.00033", "0.0"),
        ("-1/3", "0.1", "-0.33", "-0.33"),
    ],
)
def test_figures_are_rounded_by_the_resolution(value: str, step: str, rounded: str, in_a_series: str) -> None:
    assert to_step(Fraction(value), Fraction(step), "mm").text == rounded
    assert in_series(Fraction(value), Fraction(step), "mm").text == in_a_series


@pytest.mark.parametrize(
    ("value", "rule", "shown"),
    [
        ("9/8", True, "1 1/8 in"), ("3", True, "3 in"), ("5/64", True, "5/64 in"), ("5/128", True, "0.04 in"),
        ("1/3", True, "0.33 in"), ("9/8", False, "1.12 in"),
    ],
)  # fmt: skip
def test_what_was_read_from_a_rule_is_told_in_parts_of_a_rule(value: str, rule: bool, shown: str) -> None:
    assert written(in_series(Fraction(value), Fraction(1, 8), "inch", rule=rule)) == shown
    like = Figure(Fraction(1, 8), None, "inch") if rule else figure_from_text("0.125", "inch")
    assert written(difference(Fraction(value), Fraction(1, 8), "inch", like)) == shown
    assert "/" not in written(difference(Fraction(value), Fraction(1, 8), "inch"))


@pytest.mark.parametrize(
    ("value", "figures", "text"),
    [
        ("0.7071", 2, "0.71"), ("0.0004567", 2, "0.00046"), ("1.2345", 2, "1.2"), ("12.345", 2, "12"),
        ("1234.5", 2, "1234"), ("0.50", 2, "0.5"), ("0.996", 2, "1"), ("0", 2, "0"), ("-0.0123", 1, "-0.01"),
        # Halves go to the even digit.
        ("0.125", 2, "0.12"), ("0.135", 2, "0.14"),
    ],
)  # fmt: skip
def test_significant_figures_are_counted_from_the_first_that_is_not_nought(value: str, figures: int, text: str) -> None:
    assert to_figures(Fraction(value), figures, "mm").text == text
    if figures == 2:
        assert two_figures(Fraction(value), "mm").text == text


@pytest.mark.parametrize(
    ("figure", "step"),
    [(figure_from_text("0.10"), "0.01"), (figure_from_text("7"), "1"), (Figure(Fraction(3, 8), None), "1/8"),
     (Figure(Fraction(3), None), "1")],
)  # fmt: skip
def test_the_last_digit_that_was_stated_stands_for_the_resolution(figure: Figure, step: str) -> None:
    assert step_of(figure) == Fraction(step)
