"""The readings of a job, from its state: all that were ever logged, and those that stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handsfree.job.events import ReadingLogged
from handsfree.job.state import Entry, JobState
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
    """The readings that count now, oldest first."""
    return (reading for reading in logged_readings(state) if reading.entry.stands)
