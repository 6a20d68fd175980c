"""Repeated readings and decisions, against certified and independently computed values."""

from __future__ import annotations

import statistics
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.limits import Decision, Limits, judge, judge_between
from handsfree.measure.statistics import statistics_of


def _alternating(middle: str, low: str, high: str) -> list[Fraction]:
    return [Fraction(middle), *(Fraction(text) for _ in range(500) for text in (low, high))]


@pytest.mark.parametrize(
    ("values", "mean", "deviation"),
    # NIST StRD, univariate summary statistics, certified values: sets NumAcc1, NumAcc3, NumAcc4.
    [
        ([Fraction(10000001), Fraction(10000003), Fraction(10000002)], "10000002", "1"),
        (_alternating("1000000.2", "1000000.1", "1000000.3"), "1000000.2", "0.1"),
        (_alternating("10000000.2", "10000000.1", "10000000.3"), "10000000.2", "0.1"),
    ],
    ids=["NumAcc1", "NumAcc3", "NumAcc4"],
)
def test_certified_statistics_of_nist(values: list[Fraction], mean: str, deviation: str) -> None:
    summary = statistics_of(values)
    assert (summary.mean, summary.deviation) == (Fraction(mean), Fraction(deviation))


@given(st.lists(st.integers(-(10**6), 10**6).map(lambda n: Fraction(n, 1000)), min_size=2, max_size=30))
def test_mean_and_deviation_are_those_of_the_standard_library(values: list[Fraction]) -> None:
    summary = statistics_of(values)
    assert summary.mean == statistics.mean(values)
    assert summary.deviation is not None
    assert float(summary.deviation) == pytest.approx(statistics.stdev(map(float, values)), rel=1e-9, abs=1e-9)
    assert summary.range == max(values) - min(values)


def test_a_single_reading_has_no_deviation_and_none_have_nothing() -> None:
    assert statistics_of([Fraction(4)]).deviation is None
    with pytest.raises(ValueError, match="no readings"):
        statistics_of([])


def test_the_example_of_jcgm_106_is_undecided_at_95_percent() -> None:
    # JCGM 106 (from memory): y = -5.47 V, u = 0.05 V, upper limit -5.40 V: it conforms with probability 0.92.
    probability = statistics.NormalDist(-5.47, 0.05).cdf(-5.40)
    assert probability == pytest.approx(0.92, abs=0.005)
    # Under 95 % neither is proved. U is taken as 2u (about 95 %).
    verdict = judge(Fraction("-5.47"), Limits(high=Fraction("-5.40"), uncertainty=Fraction("0.10")))
    assert verdict.decision is Decision.UNDECIDED


@given(st.integers(-300, 300))
def test_what_is_decided_is_so_with_the_probability_that_the_normal_distribution_gives(hundredths: int) -> None:
    # With U = 2u a decision at one limit is right with at least 97.7 % (one side of two standard deviations).
    value, u = Fraction(hundredths, 100), 0.5
    decision = judge(value, Limits(high=Fraction(0), uncertainty=Fraction(1))).decision
    conforms = statistics.NormalDist(float(value), u).cdf(0)
    if decision is Decision.IN:
        assert conforms >= 0.977
    elif decision is Decision.OUT:
        assert conforms <= 0.023


_TENTHS = st.integers(-60, 60).map(lambda n: Fraction(n, 10))


@given(_TENTHS, _TENTHS, st.integers(0, 10).map(lambda n: Fraction(n, 10)))
def test_between_two_blades_is_decided_only_where_every_size_between_is(a: Fraction, b: Fraction, u: Fraction) -> None:
    low, high = sorted((a, b))
    limits = Limits(Fraction(-2), Fraction(2), None, u)
    inside = {judge(low + (high - low) * part / 10, limits).decision for part in range(11)}
    decision = judge_between(low, high, limits).decision
    if decision in (Decision.IN, Decision.OUT):
        assert inside == {decision}
    if inside == {Decision.IN}:
        assert decision is Decision.IN


@pytest.mark.parametrize(
    ("low", "high", "decision", "side", "beyond"),
    [
        # Between the blades of 6 and 7 thou at limits of 3 to 5: out by one thou at least.
        (6, 7, Decision.OUT, "high", 1),
        (1, 2, Decision.OUT, "low", 1),
        # Out at one end, in at the other: told with the end that is farther out.
        (4, 7, Decision.UNDECIDED, "high", 2),
        (1, 4, Decision.UNDECIDED, "low", 2),
        # Out below and out above at once is not known to be out on either side.
        (1, 6, Decision.UNDECIDED, "low", 2),
        (2, 8, Decision.UNDECIDED, "high", 3),
    ],
)
def test_between_two_blades_the_limit_is_named_and_how_far_beyond(
    low: int, high: int, decision: Decision, side: str, beyond: int
) -> None:
    verdict = judge_between(Fraction(low), Fraction(high), Limits(Fraction(3), Fraction(5)))
    assert (verdict.decision, verdict.side, verdict.beyond) == (decision, side, beyond)


def test_between_two_blades_near_a_limit_the_nearer_one_is_told() -> None:
    limits = Limits(Fraction(3), Fraction(5), None, Fraction(1))
    verdict = judge_between(Fraction(9, 2), Fraction(11, 2), limits)
    assert (verdict.decision, verdict.side, verdict.beyond) == (Decision.UNDECIDED, "high", Fraction(1, 2))


def test_without_limits_nothing_is_decided() -> None:
    assert judge(Fraction(4), Limits()).decision is Decision.NO_LIMITS
    assert judge_between(Fraction(4), Fraction(5), Limits()).decision is Decision.NO_LIMITS


@pytest.mark.parametrize(
    ("value", "decision", "side", "beyond"),
    [("2.5", Decision.OUT, "low", "0.5"), ("3.1", Decision.UNDECIDED, "low", "-0.1"), ("4", Decision.IN, None, None),
     ("5.1", Decision.UNDECIDED, "high", "0.1"), ("5", Decision.UNDECIDED, "high", "0")],
)  # fmt: skip
def test_a_reading_too_near_a_limit_names_it(value: str, decision: Decision, side: str, beyond: str | None) -> None:
    verdict = judge(Fraction(value), Limits(Fraction(3), Fraction(5), None, Fraction(1, 4)))
    expected = None if beyond is None else Fraction(beyond)
    assert (verdict.decision, verdict.side, verdict.beyond) == (decision, side, expected)
