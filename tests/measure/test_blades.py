"""A gap between two blades is decided as limit gauges decide: a blade of the limit's own size is the limit.

That a part is inside when the gauge of one limit goes in and that of the other won't is the principle of ISO 1938-1
(plain limit gauges), told here from memory.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.limits import Decision, Limits, Verdict, judge_blades

TWO_TO_FIVE = Limits(Fraction(2), Fraction(5))
NONE = None


@pytest.mark.parametrize(
    ("goes", "wont_go", "verdict"),
    [
        ("2", "5", Verdict(Decision.IN)),
        ("3", "4", Verdict(Decision.IN)),
        ("1", "2", Verdict(Decision.OUT, "low", None)),
        ("1", "1.5", Verdict(Decision.OUT, "low", Fraction(1, 2))),
        ("6", "7", Verdict(Decision.OUT, "high", Fraction(1))),
        # The upper limit's own blade goes in, and the next won't: how much wider it is, nobody knows.
        ("5", "6", Verdict(Decision.UNDECIDED, "high", Fraction(1))),
        ("4", "5.5", Verdict(Decision.UNDECIDED, "high", Fraction(1, 2))),
        ("1.5", "3", Verdict(Decision.UNDECIDED, "low", Fraction(1, 2))),
        # Over both limits: the side where it may be further out.
        ("0.5", "6", Verdict(Decision.UNDECIDED, "low", Fraction(3, 2))),
        ("1", "6.5", Verdict(Decision.UNDECIDED, "high", Fraction(3, 2))),
        ("1", "6", Verdict(Decision.UNDECIDED, "high", Fraction(1))),
    ],
)
def test_what_two_blades_prove_of_a_gap_with_two_limits(goes: str, wont_go: str, verdict: Verdict) -> None:
    assert judge_blades(Fraction(goes), Fraction(wont_go), TWO_TO_FIVE) == verdict


@pytest.mark.parametrize(
    ("low", "high", "goes", "wont_go", "decision"),
    [
        (NONE, NONE, 3, 4, Decision.NO_LIMITS),
        (2, NONE, 2, 9, Decision.IN),
        (2, NONE, 1, 2, Decision.OUT),
        (2, NONE, 1, 3, Decision.UNDECIDED),
        (NONE, 5, 1, 5, Decision.IN),
        (NONE, 5, 4, 6, Decision.UNDECIDED),
        (NONE, 5, 6, 7, Decision.OUT),
    ],
)
def test_what_two_blades_prove_where_there_is_one_limit_or_none(
    low: int | None, high: int | None, goes: int, wont_go: int, decision: Decision
) -> None:
    limits = Limits(*(NONE if each is NONE else Fraction(each) for each in (low, high)))
    assert judge_blades(Fraction(goes), Fraction(wont_go), limits).decision is decision


@given(*(st.integers(0, 12) for _ in range(4)))
def test_what_two_blades_prove_holds_for_every_gap_between_them(a: int, b: int, low: int, width: int) -> None:
    goes, wont_go = min(a, b), max(a, b) + 1
    verdict = judge_blades(Fraction(goes), Fraction(wont_go), Limits(Fraction(low), Fraction(low + width)))
    inside = [low <= goes + Fraction(tenths, 10) <= low + width for tenths in range((wont_go - goes) * 10)]
    if verdict.decision is Decision.IN:
        assert all(inside)
    elif verdict.decision is Decision.OUT:
        assert not any(inside)
    else:
        assert len(set(inside)) == 2 or goes == low + width
