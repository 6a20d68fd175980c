"""Repeated readings of a characteristic, as found, as set and as left kept apart, and what they sum up to."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from handsfree.job.events import ReadingLogged
from handsfree.job.state import JobState
from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.formatting import rounded
from handsfree.measure.statistics import Statistics
from handsfree.procedure.model import OCCASIONS


def series(state: JobState, characteristic: str) -> dict[str, list[Figure]]:
    """The single figures of a characteristic that stand, by occasion, oldest first; a gap between two blades is no
    figure of its own."""
    found: dict[str, list[Figure]] = {occasion: [] for occasion in OCCASIONS}
    for event in standing_readings(state, characteristic):
        if event.upper is None:
            found.setdefault(event.occasion, []).append(figure_from_text(event.value, event.unit))
    return {occasion: figures for occasion, figures in found.items() if figures}


def standing_readings(state: JobState, characteristic: str) -> Iterator[ReadingLogged]:
    for entry in state.entries.values():
        event = entry.event
        if isinstance(event, ReadingLogged) and event.characteristic == characteristic and entry.stands:
            yield event


def figures_of(summary: Statistics, stated: list[Figure]) -> tuple[Figure, Figure, tuple[Figure, bool] | None]:
    """Mean (with one decimal more than was stated), range, and standard deviation with whether it is rounded."""
    unit = stated[0].unit or ""
    places = max(len(each.text.partition(".")[2]) if "/" not in each.text else 3 for each in stated)
    mean = Figure(Fraction(round(summary.mean * 10 ** (places + 1)), 10 ** (places + 1)), places + 1, unit)
    if mean.value == summary.mean and (mean.value * 10**places).denominator == 1:
        mean = Figure(mean.value, places, unit)
    range_ = Figure(summary.range, places if (summary.range * 10**places).denominator == 1 else None, unit)
    return mean, range_, None if summary.deviation is None else rounded(summary.deviation, unit, 0)
