"""What a job took apart, from its state."""

from __future__ import annotations

from handsfree.job.events import (
    PartsRemoved,
    ReadingLogged,
)
from handsfree.job.readings import standing_readings
from handsfree.job.state import JobState, every_entry


def taken_apart(state: JobState) -> JobState | None:
    """The job as it stands with taking apart; None where nothing was ever taken apart in it."""
    name = next((name for name in state.procedures if state.takes_apart(name)), None)
    return None if name is None else state.of(name)


def removals(state: JobState) -> list[PartsRemoved]:
    """Everything that came off in the job and was not taken back, in the order in which it came off."""
    entries = every_entry(state)
    return [entry.event for entry in entries if isinstance(entry.event, PartsRemoved) and entry.stands]


def figures_as_found(state: JobState) -> list[ReadingLogged]:
    """The figures of taking apart that stand, in the order they were taken; ``state`` as of ``taken_apart``."""
    return [reading.event for reading in standing_readings(state)]
