"""What words may mean where a time is measured: "eleven thirty seconds" is no length on a rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from handsfree.guide.figures.proposed import Proposed
from handsfree.measure.figure import Figure
from handsfree.measure.limits import Decision
from handsfree.measure.units import in_use, unit
from handsfree.text.numerals import TEENS, TENS

_OF_A_RULE = 32
"""Parts of an inch that sound like a time."""
_PAIRED = frozenset((*TEENS, *TENS))
_ROUND = frozenset(("hundred", "thousand"))


def of_a_time(
    proposed: Proposed, meanings: Sequence[Figure], others: Sequence[Figure], words: Sequence[str]
) -> tuple[Proposed, list[Figure]]:
    """The reading as it is likeliest to be meant by ``words``, and what else may have been said.

    ``meanings`` are all that these very words may mean; ``others`` are what else may have been said, those among them
    and sound-alikes, which are never taken for it. Where a time is measured, thirty-seconds are none of a second,
    unless that alone lies in limits; and figures in pairs are minutes and seconds where that lies in limits and the
    seconds do not.
    """
    own = proposed.measured.unit
    if unit(own).kind != "time" or not proposed.single:
        return proposed, [*others]
    said = [proposed, *(replace(proposed, figure=in_use(figure, own)) for figure in meanings)]
    said = [each for each in said if each.fits]
    in_two = [replace(each, figure=both) for each in said if (both := _minutes_and_seconds(each.figure, words))]
    inside = [each for each in (*said, *in_two) if _in_limits(each)]
    likely = inside or [each for each in said if not _is_part_of_rule(each.figure)] or [proposed]
    first = proposed if proposed in likely else likely[0]
    if first == proposed:
        return proposed, [other for other in others if not _is_part_of_rule(other)]
    return first, [other for other in others if other not in meanings]


def _in_limits(proposed: Proposed) -> bool:
    return proposed.verdict.decision is Decision.IN


def _is_part_of_rule(figure: Figure) -> bool:
    return figure.decimals is None and figure.value.denominator == _OF_A_RULE


def _minutes_and_seconds(figure: Figure, words: Sequence[str]) -> Figure | None:
    """ "Eleven thirty" as eleven minutes and thirty seconds; None of what was not said in such pairs."""
    if figure.decimals != 0 or figure.larger is not None or figure.unit not in ("s", "min"):
        return None
    if not _PAIRED & set(words) or _ROUND & set(words):
        return None
    minutes, seconds = divmod(figure.value, 100)
    if not minutes or not 10 <= seconds < 60:
        return None
    return Figure(Fraction(60 * minutes + seconds), 0, "s", larger="min")
