"""Repeated readings: count, mean, range, and the standard deviation of the sample.

Everything is computed exactly, as fractions, and rounded once at the end: no cancellation, however close together
large readings lie.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction


@dataclass(frozen=True)
class Statistics:
    """A summary of readings, all in their unit; ``deviation`` is None for a single one."""

    count: int
    mean: Fraction
    low: Fraction
    high: Fraction
    deviation: Fraction | None
    """Sample standard deviation (divided by one less than the count), to 30 digits."""

    @property
    def range(self) -> Fraction:
        return self.high - self.low


def statistics_of(values: Sequence[Fraction]) -> Statistics:
    """The summary of ``values``; ValueError where there are none."""
    if not values:
        raise ValueError("there are no readings")
    count = len(values)
    mean = sum(values, Fraction(0)) / count
    deviation = None
    if count > 1:
        deviation = _root(sum(((value - mean) ** 2 for value in values), Fraction(0)) / (count - 1))
    return Statistics(count, mean, min(values), max(values), deviation)


def _root(value: Fraction) -> Fraction:
    with localcontext() as context:
        context.prec = 30
        return Fraction((Decimal(value.numerator) / Decimal(value.denominator)).sqrt())
