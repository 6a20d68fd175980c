"""Limits and the decision at a limit.

The rule is that of ISO 14253-1: with the tool's expanded uncertainty U, a reading proves conformity only inside the
limits reduced by U and non-conformity only beyond the limits enlarged by U; between the two neither is proved. Where no
uncertainty is stated, half the tool's resolution is the least that is assumed; where neither is, U is nought.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction


@dataclass(frozen=True)
class Limits:
    """What a characteristic may measure, all in its own unit; None where there is no such bound."""

    low: Fraction | None = None
    high: Fraction | None = None
    target: Fraction | None = None
    uncertainty: Fraction = Fraction(0)
    """Expanded uncertainty U of the tool."""


class Decision(str, Enum):
    """What a reading proves."""

    IN = "in limits"
    OUT = "out of limits"
    UNDECIDED = "undecided"
    NO_LIMITS = "no limits"


@dataclass(frozen=True)
class Verdict:
    """The decision; for OUT and UNDECIDED also the limit concerned and how far beyond it (negative: inside it)."""

    decision: Decision
    side: str | None = None
    """"low" or "high": the limit that was passed or is too near."""
    beyond: Fraction | None = None


def judge(value: Fraction, limits: Limits) -> Verdict:
    """Decide ``value`` (in the characteristic's unit) against ``limits``."""
    if limits.low is None and limits.high is None:
        return Verdict(Decision.NO_LIMITS)
    beyond = [
        (past, side)
        for past, side in (
            (None if limits.low is None else limits.low - value, "low"),
            (None if limits.high is None else value - limits.high, "high"),
        )
        if past is not None
    ]
    worst, side = max(beyond)
    u = limits.uncertainty
    # With U nought a reading on the limit is inside: the limits belong to the permitted zone.
    if worst > u:
        return Verdict(Decision.OUT, side, worst)
    if worst <= -u:
        return Verdict(Decision.IN)
    return Verdict(Decision.UNDECIDED, side, worst)


def judge_between(low: Fraction, high: Fraction, limits: Limits) -> Verdict:
    """Decide a value that lies somewhere from ``low`` to ``high``: both ends are judged, and where they differ it is
    undecided.
    """
    ends = judge(low, limits), judge(high, limits)
    if (
        ends[0].decision == ends[1].decision
        and ends[0].side == ends[1].side
        and ends[0].decision is not Decision.UNDECIDED
    ):
        # Out of limits it is so by as much as the nearer end.
        return min(ends, key=lambda end: end.beyond or 0)
    worst = max((end for end in ends if end.beyond is not None), key=lambda end: end.beyond or 0)
    return Verdict(Decision.UNDECIDED, worst.side, worst.beyond)


def judge_blades(low: Fraction, high: Fraction, limits: Limits) -> Verdict:
    """Decide a gap into which a blade of ``low`` goes and one of ``high`` won't.

    Two blades prove a limit as limit gauges do: one of the limit's own size counts as the limit, whatever lies between
    it and the next blade. Its own tolerance, a few microns (common practice), is the gauge's and not the part's.
    """
    inside = (limits.low is None or low >= limits.low) and (limits.high is None or high <= limits.high)
    if limits.low is None and limits.high is None:
        return Verdict(Decision.NO_LIMITS)
    if inside:
        return Verdict(Decision.IN)
    if limits.low is not None and high <= limits.low:
        return Verdict(Decision.OUT, "low", limits.low - high or None)
    if limits.high is not None and low > limits.high:
        return Verdict(Decision.OUT, "high", low - limits.high)
    past_low = None if limits.low is None else limits.low - low
    past_high = None if limits.high is None else high - limits.high
    if past_high is not None and (past_low is None or past_high >= past_low):
        return Verdict(Decision.UNDECIDED, "high", past_high)
    return Verdict(Decision.UNDECIDED, "low", past_low)
