"""Where a reading lies between its limits, as fractions of a scale that can be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from handsfree.measure.limits import Limits

_ROOM = Fraction(1, 2)
"""How much of the width of the limits is drawn beyond each of them."""


@dataclass(frozen=True)
class ScalePlace:
    """Positions on a scale from 0 (its lower end) to 1; None where there is nothing to mark.

    ``at`` is the reading, ``uncertainty`` U as a length on the same scale. A reading beyond the ends stands at the
    end, and ``off`` says so.
    """

    at: float | None
    low: float | None
    high: float | None
    target: float | None
    uncertainty: float
    off: Literal["", "below", "above"]


def place_of(value: Fraction | None, limits: Limits) -> ScalePlace | None:
    """The place of ``value`` (in the unit of ``limits``), or the scale alone; None where there are no limits."""
    if limits.low is not None and limits.high is not None:
        room = _ROOM * (limits.high - limits.low)
        start, end = limits.low - room, limits.high + room
    else:
        bound = limits.low if limits.low is not None else limits.high
        if bound is None:
            return None
        # One limit stands in the middle; the reading decides how far the scale reaches.
        away = abs(value - bound) if value is not None else Fraction(0)
        reach = max(away * Fraction(4, 3), 3 * limits.uncertainty, abs(bound) / 20) or Fraction(1)
        start, end = bound - reach, bound + reach

    def along(position: Fraction | None) -> float | None:
        return None if position is None else round(float((position - start) / (end - start)), 4)

    return ScalePlace(
        at=along(None if value is None else min(max(value, start), end)),
        low=along(limits.low),
        high=along(limits.high),
        target=along(limits.target),
        uncertainty=round(float(limits.uncertainty / (end - start)), 4),
        off="" if value is None or start <= value <= end else "below" if value < start else "above",
    )
