"""The time that a job was at the bench: by whom, by which procedure, without pauses and all else that lies between."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from handsfree.job.attendance import at_the_bench_after
from handsfree.job.events import (
    Event,
    JobFinished,
    JobOpened,
    JobPaused,
    JobReopened,
    JobResumed,
    ProcedureTakenUp,
    StepEntered,
)


@dataclass(frozen=True)
class Span:
    """A stretch of work between two events."""

    worker: str | None
    """Who was at the bench; None: nobody who is named."""
    procedure: str
    took: timedelta


def spans(events: Iterable[Event]) -> Iterator[Span]:
    """The stretches of work, oldest first. What lies between the counter and the bench, in a pause, in the gap that a
    crash made, or after the end is none; a clock that was set back takes nothing away."""
    before: datetime | None = None
    at_bench, worker, procedure = False, None, ""
    for event in events:
        if before is not None and at_bench and not isinstance(event, JobResumed):
            took = max(event.at - before, timedelta())
            if took:
                yield Span(worker, procedure, took)
        before = event.at
        worker = at_the_bench_after(worker, event)
        if isinstance(event, (JobOpened, ProcedureTakenUp)):
            procedure = event.procedure_name
        at_bench = _at_bench_after(at_bench, event)


def _at_bench_after(at_bench: bool, event: Event) -> bool:
    if isinstance(event, JobOpened):
        # Without a procedure it is only taken in.
        return bool(event.procedure_name) or event.purpose == "stripping"
    if isinstance(event, (JobPaused, JobFinished, JobReopened)):
        return False
    return at_bench or isinstance(event, (JobResumed, StepEntered))


def at_the_bench(events: Iterable[Event]) -> timedelta:
    """All of it together."""
    return sum((span.took for span in spans(events)), timedelta())


def by_person_and_procedure(events: Iterable[Event]) -> dict[tuple[str | None, str], timedelta]:
    """The time of each person with each procedure, in the order of their first work."""
    total: dict[tuple[str | None, str], timedelta] = {}
    for span in spans(events):
        key = span.worker, span.procedure
        total[key] = total.get(key, timedelta()) + span.took
    return total
