"""Which jobs of the log are about an item, a serial number, a procedure or a characteristic."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

from handsfree.job.catalogue.catalogue import consult
from handsfree.job.catalogue.summaries import JobSummary, jobs_listed
from handsfree.job.events import Event
from handsfree.job.log.beside.personal import owners
from handsfree.job.log.store import Store


def jobs_with(
    store: Store,
    *,
    item: str | None = None,
    serial: str | None = None,
    procedure: str | None = None,
    characteristic: str | None = None,
    finished: bool = True,
) -> list[JobSummary]:
    """The real jobs that fit everything that is given, the newest first; case does not count. Without ``finished``,
    finished ones are left out."""

    names = owners(store.folder)

    def wanted(catalogue: sqlite3.Connection) -> list[JobSummary]:
        return jobs_listed(
            catalogue, names, item=item, serial=serial, procedure=procedure, characteristic=characteristic,
            finished=finished,
        )  # fmt: skip

    return [job for job in consult(store.folder, wanted) if job.purpose != "rehearsal"]


def with_events(store: Store, jobs: list[JobSummary], most: int) -> Iterator[tuple[JobSummary, list[Event]]]:
    """The first ``most`` of ``jobs``, each with its events."""
    for job in jobs[:most]:
        yield job, store.events(job.id)
