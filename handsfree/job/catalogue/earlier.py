"""Which jobs of the log are about an item, a serial number, a procedure or a characteristic."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.job.catalogue.summaries import JobSummary, Sought
from handsfree.job.events import Event
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
    sought = Sought(
        item=item, serial=serial, procedure=procedure, characteristic=characteristic, finished=finished,
        rehearsals=False,
    )  # fmt: skip
    return store.jobs(sought)


def with_events(store: Store, jobs: list[JobSummary], most: int) -> Iterator[tuple[JobSummary, list[Event]]]:
    """The first ``most`` of ``jobs``, each with its events."""
    for job in jobs[:most]:
        yield job, store.events(job.id)
