"""Deleting sounds of a job without breaking its log: the hash of each stays in the event that names it."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime

from handsfree.job.errors import LogWriteError
from handsfree.job.events import ClipsDeleted, NoteStretch
from handsfree.job.log.clips import clip_path
from handsfree.job.log.sounds import sounds_held, sounds_named
from handsfree.job.log.store import Store


def forget(store: Store, job: str, now: datetime, why: str) -> tuple[int, int]:
    """Delete the sounds of a job; how many were deleted, and how many stay because another job has the same.

    The log says so before the first is deleted. JobNotFound, JobBusy, LogWriteError.
    """
    with store.resume(job) as log:
        events = log.events()
        mine = [sha for sha in sounds_named(events) if clip_path(store.folder, sha).exists()]
        shared = store.named_elsewhere(mine, other_than=log.job)
        going = [sha for sha in mine if sha not in shared]
        if going:
            log.append(ClipsDeleted(at=now, clips=tuple(going), why=why))
        for sha in going:
            try:
                clip_path(store.folder, sha).unlink(missing_ok=True)
            except OSError as error:
                raise LogWriteError(store.folder, error.strerror or str(error)) from error
    return len(going), len(shared)


def jobs_older_than(store: Store, moment: datetime) -> list[str]:
    """The jobs of which nothing was written since ``moment``."""
    return [job.id for job in store.jobs() if job.last < moment]


def drop_held(store: Store, job: str) -> None:
    """Delete those sounds of a job that another of its sounds holds: the stretches of its notes, which were kept for
    the case that the program is ended. What another job or another entry names stays, and so does what can't be
    deleted: it is only kept twice. LogCorrupt.
    """
    events = store.events(job)
    others = sounds_named(event for event in events if not isinstance(event, NoteStretch))
    held = [sha for sha in sounds_held(events).difference(others) if clip_path(store.folder, sha).exists()]
    for sha in set(held) - store.named_elsewhere(held, other_than=job) if held else ():
        with suppress(OSError):
            clip_path(store.folder, sha).unlink(missing_ok=True)
