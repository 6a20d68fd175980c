"""Repeated readings of a characteristic, as found, as set and as left kept apart."""

from __future__ import annotations

from handsfree.guide.session import Turn
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.statistics import statistics_of
from handsfree.phrases.intents import Intent
from handsfree.text.prose import counted, sentences
from handsfree.wording.repeated import figures_of, series, standing_readings


def tell_readings(turn: Turn, intent: Intent) -> None:
    """How many readings, their mean, range and standard deviation."""
    name = intent.characteristic
    if name is None:
        here = turn.step.characteristics
        if len(here) != 1:
            turn.say("Readings of what?" if here else "Nothing is measured at this step.")
            return
        name = here[0].name
    groups = series(turn.state, name)
    pairs = sum(event.upper is not None for event in standing_readings(turn.state, name))
    said = [f"{name}, {occasion}, {_words(figures)}" for occasion, figures in groups.items()]
    if not groups:
        said = [f"No {'single ' * bool(pairs)}readings of {name}"]
    if pairs:
        said.append(f"{counted(pairs, 'reading')} between two figures {'is' if pairs == 1 else 'are'} left out")
    turn.say(sentences(said))


def _words(figures: list[Figure]) -> str:
    if len(figures) == 1:
        return f"one reading, {spoken(figures[0])}"
    summary = statistics_of([figure.value for figure in figures])
    mean, range_, deviation = figures_of(summary, figures)
    words = f"{counted(summary.count, 'reading')}, mean {spoken(mean)}, range {spoken(range_)}"
    if deviation is not None:
        words += f", standard deviation {'about ' if deviation[1] else ''}{spoken(deviation[0])}"
    return words
