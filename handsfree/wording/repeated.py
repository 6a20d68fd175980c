"""Repeated readings of a characteristic, as found, as set and as left kept apart, and what they sum up to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from handsfree.job.events import ReadingLogged
from handsfree.job.readings import standing_readings
from handsfree.job.state import JobState
from handsfree.job.stated import stated, step_of_reading, value_of
from handsfree.measure.figure import Figure
from handsfree.measure.rounding import in_series, two_figures
from handsfree.measure.statistics import statistics_of
from handsfree.procedure.model import OCCASIONS


def series(state: JobState, characteristic: str) -> dict[tuple[str | None, str], list[ReadingLogged]]:
    """The single readings of a characteristic that stand, by place and occasion, oldest first; a gap between two blades
    is no figure of its own. Nothing is put together over places."""
    together: dict[tuple[str | None, str], list[ReadingLogged]] = {}
    for event in readings_of(state, characteristic):
        if event.upper is None:
            together.setdefault((event.place, event.occasion), []).append(event)
    places = list(dict.fromkeys(place for place, _ in together))
    return dict(sorted(together.items(), key=lambda each: (places.index(each[0][0]), _rank(each[0][1]))))


def _rank(occasion: str) -> int:
    return OCCASIONS.index(occasion) if occasion in OCCASIONS else len(OCCASIONS)


def readings_of(state: JobState, characteristic: str) -> Iterator[ReadingLogged]:
    """The readings of a characteristic that stand, oldest first."""
    return (each.event for each in standing_readings(state) if each.event.characteristic == characteristic)


@dataclass(frozen=True)
class Summary:
    """What repeated readings sum up to, every figure rounded once; ``about``: the deviation had to be."""

    count: int
    mean: Figure
    range: Figure
    deviation: Figure | None
    about: bool


def summed_up(
    readings: Sequence[ReadingLogged], resolution: Callable[[ReadingLogged], Fraction | None] = lambda _: None
) -> Summary:
    """Repeated readings summed up in the unit of the first; ``resolution`` is that of the tool of each, in that
    unit."""
    unit = readings[0].unit
    exact = statistics_of([value_of(event) for event in readings])
    said = [stated(event) for event in readings]
    steps = [step_of_reading(event, resolution(event)) for event in readings]
    own = [step for step, each in zip(steps, said, strict=True) if each is None or each.unit == unit]
    step = min(own) if own else max(steps)
    rule = all(each is not None and each.decimals is None and each.unit == unit for each in said)
    mean, range_ = (in_series(value, step, unit, rule=rule) for value in (exact.mean, exact.range))
    return Summary(exact.count, mean, range_, *_deviation(exact.deviation, unit))


def _deviation(exact: Fraction | None, unit: str) -> tuple[Figure | None, bool]:
    if exact is None:
        return None, False
    made = two_figures(exact, unit)
    return made, made.value != exact
