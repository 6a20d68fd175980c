"""Who is at the bench, who did what, and which state of the job was signed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from handsfree.job.events import (
    CheckAnswered,
    EntryWithdrawn,
    Event,
    FactNoted,
    JobFinished,
    JobPaused,
    JobReopened,
    JobResumed,
    MarkMade,
    NoteKept,
    OutcomeGiven,
    PartsCounted,
    PartsRemoved,
    QuestionAnswered,
    ReadingLogged,
    StepDone,
    StepRedone,
    StepSkipped,
    WorkerChanged,
)
from handsfree.job.facts import FACTS

_WORK = (
    CheckAnswered, EntryWithdrawn, JobReopened, MarkMade, NoteKept, OutcomeGiven, PartsCounted, PartsRemoved,
    QuestionAnswered, ReadingLogged, StepDone, StepRedone, StepSkipped,
)  # fmt: skip
SIGNED_OFF = "signed off"
"""The fact by which a job is signed."""


def at_the_bench_after(worker: str | None, event: Event) -> str | None:
    """Who is at the bench after an event, where ``worker`` was before; None: nobody who is named."""
    if isinstance(event, WorkerChanged):
        return event.name
    # Whoever takes it up again has to be named again: it may be another.
    return None if isinstance(event, (JobPaused, JobResumed, JobFinished)) else worker


def named_at_each(events: Iterable[Event]) -> Iterator[str | None]:
    """Who is at the bench after each of a job's events."""
    worker: str | None = None
    for event in events:
        worker = at_the_bench_after(worker, event)
        yield worker


def alters_the_work(event: Event) -> bool:
    """Whether a signature that was given before this no longer is one of the job as it stands."""
    if isinstance(event, FactNoted):
        return event.about != SIGNED_OFF and not FACTS[event.about].at_the_counter
    return isinstance(event, _WORK)


def workers_of(events: Iterable[Event]) -> list[str]:
    """Everybody who was named in a job, in the order of their coming."""
    names = (event.name for event in events if isinstance(event, WorkerChanged))
    return list(dict.fromkeys(name for name in names if name))


@dataclass(frozen=True)
class Signature:
    """The newest sign-off that was not taken back."""

    entry: str
    number: int
    """Its running number in the log: it is of the state that all events before it make."""
    name: str
    stands: bool
    """Whether nothing of the work was altered since."""
