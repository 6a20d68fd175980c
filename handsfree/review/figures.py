"""Logged figures and what became of them, in words for the eye and for the ear."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handsfree.job.events import ReadingLogged
from handsfree.job.state import Entry, JobState
from handsfree.job.stated import parsed, stated
from handsfree.measure.formatting import spoken
from handsfree.measure.limits import Decision


@dataclass(frozen=True)
class LoggedReading:
    """A reading with its entry, so that the event's own slots can be asked for."""

    event: ReadingLogged
    entry: Entry

    @property
    def decision(self) -> Decision:
        return Decision(self.event.decision)


def logged_readings(state: JobState) -> Iterator[LoggedReading]:
    """Every reading that was ever logged, oldest first."""
    for entry in state.entries.values():
        if isinstance(entry.event, ReadingLogged):
            yield LoggedReading(entry.event, entry)


def standing_readings(state: JobState) -> Iterator[LoggedReading]:
    """The readings that count now."""
    return (reading for reading in logged_readings(state) if reading.entry.stands)


def name(event: ReadingLogged) -> str:
    """What was measured, where and when: "end float, as set"."""
    return ", ".join(filter(None, (event.characteristic, event.place, event.occasion)))


def decision_words(event: ReadingLogged) -> str:
    """What the figure proves, with how far it is beyond the limit: "out of limits, 2 thou over"."""
    decision, beyond = Decision(event.decision), event.beyond
    if decision is Decision.OUT and beyond:
        return f"{decision.value}, {beyond} {'over' if event.side == 'high' else 'under'}"
    if decision is Decision.UNDECIDED:
        edge = "upper" if event.side == "high" else "lower"
        return f"{decision.value}, {_from_limit(event)} the {edge} limit: nearer than the tool can tell"
    return str(decision.value)


def _from_limit(event: ReadingLogged) -> str:
    beyond = event.beyond
    figure = parsed(beyond) if beyond else None
    if beyond is None or figure is None:
        return "too near"
    if figure.value == 0:
        return "on"
    return f"{beyond.lstrip('-')} {'inside' if figure.value < 0 else 'beyond'}"


def outcome_words(entry: Entry) -> str:
    """What was done about it, or nothing: "accepted: owner agrees"."""
    if entry.outcome is None:
        return ""
    return f"{entry.outcome}: {entry.reason}" if entry.reason else entry.outcome


def stated_figure(event: ReadingLogged) -> str:
    """The figure for the ear, as it was stated; what was more than a single figure as it is shown."""
    figure = stated(event)
    return spoken(figure) if figure is not None else event.as_said
