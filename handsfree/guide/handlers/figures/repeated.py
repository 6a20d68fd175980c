"""Repeated readings of a characteristic, as found, as set and as left kept apart."""

from __future__ import annotations

from handsfree.guide.session import Turn
from handsfree.job.events import ReadingLogged
from handsfree.job.stated import in_own_unit, resolution_of, stated
from handsfree.measure.formatting import spoken
from handsfree.phrases.intents import Intent
from handsfree.text.prose import counted, sentences
from handsfree.wording.readings import figure_name
from handsfree.wording.repeated import readings_of, series, summed_up


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
    pairs = sum(event.upper is not None for event in readings_of(turn.state, name))
    said = [
        f"{figure_name(name, place)}, {occasion}, {_words(turn, events)}"
        for (place, occasion), events in groups.items()
    ]
    if not groups:
        said = [f"No {'single ' * bool(pairs)}readings of {name}"]
    if pairs:
        said.append(f"{counted(pairs, 'reading')} between two figures {'is' if pairs == 1 else 'are'} left out")
    turn.say(sentences(said))


def _words(turn: Turn, events: list[ReadingLogged]) -> str:
    if len(events) == 1:
        resolution = resolution_of(events[0], turn.procedure)
        return f"one reading, {spoken(stated(events[0]) or in_own_unit(events[0], resolution))}"
    summary = summed_up(events, lambda event: resolution_of(event, turn.procedure))
    words = f"{counted(summary.count, 'reading')}, mean {spoken(summary.mean)}, range {spoken(summary.range)}"
    if summary.deviation is not None:
        words += f", standard deviation {'about ' * summary.about}{spoken(summary.deviation)}"
    return words
