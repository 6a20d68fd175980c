"""Repeated readings of a characteristic, as found, as set and as left kept apart."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from handsfree.guide import wording
from handsfree.guide.turn import Turn
from handsfree.job.events import ReadingLogged
from handsfree.job.state import JobState
from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.spread import Spread, spread
from handsfree.measure.wording import rounded, spoken
from handsfree.phrases.intents import Intent
from handsfree.procedure.model import OCCASIONS


def series(state: JobState, characteristic: str) -> dict[str, list[Figure]]:
    """The single figures of a characteristic that stand, by occasion, oldest first; a gap between two blades is no
    figure of its own."""
    found: dict[str, list[Figure]] = {occasion: [] for occasion in OCCASIONS}
    for event in _standing(state, characteristic):
        if event.upper is None:
            found.setdefault(event.occasion, []).append(figure_from_text(event.value, event.unit))
    return {occasion: figures for occasion, figures in found.items() if figures}


def _standing(state: JobState, characteristic: str) -> Iterator[ReadingLogged]:
    for entry in state.entries.values():
        event = entry.event
        if isinstance(event, ReadingLogged) and event.characteristic == characteristic and entry.stands:
            yield event


def figures_of(summary: Spread, stated: list[Figure]) -> tuple[Figure, Figure, tuple[Figure, bool] | None]:
    """Mean (with one decimal more than was stated), range, and standard deviation with whether it is rounded."""
    unit = stated[0].unit or ""
    places = max(len(each.text.partition(".")[2]) if "/" not in each.text else 3 for each in stated)
    mean = Figure(Fraction(round(summary.mean * 10 ** (places + 1)), 10 ** (places + 1)), places + 1, unit)
    if mean.value == summary.mean and (mean.value * 10**places).denominator == 1:
        mean = Figure(mean.value, places, unit)
    range_ = Figure(summary.range, places if (summary.range * 10**places).denominator == 1 else None, unit)
    return mean, range_, None if summary.deviation is None else rounded(summary.deviation, unit, 0)


def readings(turn: Turn, intent: Intent) -> None:
    """How many readings, their mean, range and standard deviation."""
    name = intent.characteristic
    if name is None:
        here = turn.step.characteristics
        if len(here) != 1:
            turn.say("Readings of what?" if here else "Nothing is measured at this step.")
            return
        name = here[0].name
    groups = series(turn.state, name)
    pairs = sum(event.upper is not None for event in _standing(turn.state, name))
    said = [f"{name}, {occasion}, {_words(figures)}" for occasion, figures in groups.items()]
    if not groups:
        said = [f"No {'single ' * bool(pairs)}readings of {name}"]
    if pairs:
        said.append(f"{wording.counted(pairs, 'reading')} between two figures {'is' if pairs == 1 else 'are'} left out")
    turn.say(wording.sentences(said))


def _words(figures: list[Figure]) -> str:
    if len(figures) == 1:
        return f"one reading, {spoken(figures[0])}"
    summary = spread([figure.value for figure in figures])
    mean, range_, deviation = figures_of(summary, figures)
    words = f"{wording.counted(summary.count, 'reading')}, mean {spoken(mean)}, range {spoken(range_)}"
    if deviation is not None:
        words += f", standard deviation {'about ' if deviation[1] else ''}{spoken(deviation[0])}"
    return words
