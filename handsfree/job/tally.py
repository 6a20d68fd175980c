"""The parts tally: what came out must go back or be replaced."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.job.events import PartsCounted
from handsfree.job.state import JobState


@dataclass(frozen=True)
class Tally:
    """The counts of one kind of part that stand."""

    part: str
    out: int = 0
    back: int = 0
    replaced: int = 0

    @property
    def still_out(self) -> int:
        """How many have neither gone back nor been replaced; less than nought: more went in than came out."""
        return self.out - self.back - self.replaced


def tally(state: JobState) -> list[Tally]:
    """Each kind of part that was counted, in the order of first counting."""
    counts: dict[str, dict[str, int]] = {}
    for entry in state.entries.values():
        event = entry.event
        if isinstance(event, PartsCounted) and entry.stands:
            of_part = counts.setdefault(event.part, {})
            of_part[event.way] = of_part.get(event.way, 0) + event.count
    return [Tally(part, **ways) for part, ways in counts.items()]


def unreconciled(state: JobState) -> list[Tally]:
    """The kinds of part whose counts do not come out even."""
    return [each for each in tally(state) if each.still_out]
