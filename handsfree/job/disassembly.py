"""What a job took apart, from its state."""

from __future__ import annotations

from handsfree.job.events import (
    PartsRemoved,
    ReadingLogged,
)
from handsfree.job.readings import standing_readings
from handsfree.job.state import JobState


def removals(state: JobState) -> list[PartsRemoved]:
    """Everything that came off and was not taken back, in the order in which it came off."""
    return [entry.event for entry in state.entries.values() if isinstance(entry.event, PartsRemoved) and entry.stands]


def figures_as_found(state: JobState) -> list[ReadingLogged]:
    """The figures that stand, in the order in which they were taken."""
    return [reading.event for reading in standing_readings(state)]
