"""Which jobs of the log are about an item, a serial number, a procedure or a characteristic."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.job.database import open_to_read, translated
from handsfree.job.events import Event
from handsfree.job.store import Store
from handsfree.job.summaries import JobSummary

_WITH_READING = """
SELECT DISTINCT job FROM events
WHERE kind = 'reading logged' AND json_extract(body, '$.characteristic') = ?
"""


def jobs_with(
    store: Store,
    *,
    item: str | None = None,
    serial: str | None = None,
    procedure: str | None = None,
    characteristic: str | None = None,
) -> list[JobSummary]:
    """The real jobs that fit everything that is given, the newest first; case does not count."""
    measured = None if characteristic is None else _measured(store, characteristic)
    return [
        job
        for job in store.jobs()
        if job.purpose != "rehearsal"
        and _same(item, job.item)
        and _same(serial, job.serial)
        and _same(procedure, job.procedure, job.title)
        and (measured is None or job.id in measured)
    ]


def _same(wanted: str | None, *have: str | None) -> bool:
    return wanted is None or wanted.casefold() in {value.casefold() for value in have if value}


def _measured(store: Store, characteristic: str) -> set[str]:
    with open_to_read(store.folder) as db, translated(store.file):
        if db is None:
            return set()
        # Names of characteristics are small letters in every procedure.
        return {job for (job,) in db.execute(_WITH_READING, (characteristic.lower(),))}


def with_events(store: Store, jobs: list[JobSummary], most: int) -> Iterator[tuple[JobSummary, list[Event]]]:
    """The first ``most`` of ``jobs``, each with its events."""
    for job in jobs[:most]:
        yield job, store.events(job.id)
