"""Jobs that stand open side by side: which there are, and how each can be called at the bench."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from handsfree.guide.guide import Guide
from handsfree.job.catalogue.earlier import jobs_with
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import ProcedureTakenUp
from handsfree.job.log.store import JobLog, Store
from handsfree.phrases.quantities.spelling import spelled
from handsfree.procedure.words import sayable

MOST_CALLED = 16
"""More names would make every one of them harder to hear; the numbers of the others can be said."""
_SHORTEST = 3
"""Letters of a word by which alone an item is called."""


@dataclass
class JobAtBench:
    """A job with the conversation about it; its log once that is open."""

    guide: Guide
    log: JobLog | None = None
    clips: list[str] = field(default_factory=list)
    """Those of the note that is being taken."""


@dataclass(frozen=True)
class OpenedJob:
    """Another job, ready to be worked at the bench."""

    guide: Guide
    log: JobLog
    taken_up: ProcedureTakenUp | None = None


Opener = Callable[[str, datetime], OpenedJob]
"""Gets the job of this number ready; LogError, ProcedureError."""


def open_jobs(store: Store) -> list[JobSummary]:
    """The jobs that are not finished, the one worked on last first; rehearsals are none."""
    return sorted(jobs_with(store, finished=False), key=lambda job: job.last, reverse=True)


def names_of(jobs: Sequence[JobSummary]) -> dict[str, tuple[str, ...]]:
    """Each way of calling one of the jobs, with all that may be meant by it: its item, a word of that, its owner, its
    serial number spelled."""
    called: dict[str, tuple[str, ...]] = {}
    for job in jobs[:MOST_CALLED]:
        for name in dict.fromkeys(_ways(job)):
            called[name] = (*called.get(name, ()), job.id)
    return called


def _ways(job: JobSummary) -> Iterator[str]:
    item, owner = job.item or "", job.owner or ""
    kind = item.split(",")[0]
    whole = sayable((item.replace(",", " "), kind, owner))
    yield from whole
    yield from sayable(word for word in kind.split() if len(word) >= _SHORTEST)
    yield from (f"job of {name}" for name in sayable((owner,)))
    if job.serial:
        words = spelled(job.serial).lower().replace(",", "").split()
        if all(word.isalpha() for word in words):
            yield f"serial number {' '.join(words)}"
