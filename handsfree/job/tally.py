"""The parts tally: what came out must go back or be replaced."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.job.counted_parts import counted_as
from handsfree.job.disassembly import removals
from handsfree.job.events import PartsCounted, PartsRemoved
from handsfree.job.state import JobState, every_entry


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
    """Each kind of part that was counted, or came off while taking apart, in the order of first counting. What a step
    that is done puts back is back."""
    counts: dict[str, dict[str, int]] = {}

    def add(part: str, way: str, count: int) -> None:
        of_part = counts.setdefault(part, {})
        of_part[way] = of_part.get(way, 0) + count

    for entry in every_entry(state):
        event = entry.event
        if isinstance(event, PartsCounted) and entry.stands:
            add(event.part, event.way, event.count)
        elif isinstance(event, PartsRemoved) and entry.stands:
            add(counted_as(event.what), "out", event.count)
    for progress in state.by_procedure.values():
        for part, count in (each for step in progress.put_back.values() for each in step):
            add(part, "back", count)
    return [Tally(part, **ways) for part, ways in counts.items()]


def taken_off(state: JobState) -> list[str]:
    """The kinds of part that came off while taking apart, in the order in which they did."""
    return list(dict.fromkeys(counted_as(event.what) for event in removals(state)))


def unreconciled(state: JobState) -> list[Tally]:
    """The kinds of part whose counts do not come out even; none while a job is only taken apart."""
    if state.purpose == "stripping":
        return []
    return [each for each in tally(state) if each.still_out]
