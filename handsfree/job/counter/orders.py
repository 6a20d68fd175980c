"""Parts that are to be ordered, are ordered, or have arrived."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from handsfree.job.events import PartWanted
from handsfree.job.state import JobState
from handsfree.measure.formatting import size_written
from handsfree.text.prose import plural

Stage = Literal["to order", "ordered", "arrived"]


@dataclass(frozen=True, kw_only=True)
class PartOrder:
    """One part, or several alike, for one job."""

    id: str
    """Of its entry."""
    what: str
    """In the singular: "gib screw"."""
    count: int
    size: str | None
    stage: Stage
    at: datetime
    """When it was wanted."""

    @property
    def text(self) -> str:
        """ "2 gib screws, M2 × 5"."""
        return part_text(self.what, self.count, self.size)

    @property
    def is_waited_for(self) -> bool:
        return self.stage != "arrived"


def part_text(what: str, count: int, size: str | None) -> str:
    """Parts for the eye: "2 gib screws, M2 × 5"."""
    return ", ".join(filter(None, (f"{count} {what if count == 1 else plural(what)}", size and size_written(size))))


def orders_of(state: JobState) -> list[PartOrder]:
    """The parts of a job that were to be ordered and were not taken back, oldest first."""
    return [
        PartOrder(
            id=event.id,
            what=event.what,
            count=event.count,
            size=event.size,
            stage=entry.stage or "to order",
            at=event.at,
        )
        for entry in state.every_entry.values()
        if isinstance(event := entry.event, PartWanted) and entry.stands
    ]


def waited_for(state: JobState) -> list[PartOrder]:
    """Those that have not arrived."""
    return [order for order in orders_of(state) if order.is_waited_for]
