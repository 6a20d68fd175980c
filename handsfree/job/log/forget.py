"""Taking out what must not be kept without breaking the log: sounds, attached files, and what is personal of an owner.

The hash of each stays in the event that names it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from handsfree.job.errors import JobBusy, LogWriteError, NotAttached, told_by_system
from handsfree.job.events import (
    AttachedDeleted,
    ClipsDeleted,
    EntryConfirmed,
    Event,
    FileAttached,
    NoteStretch,
    PersonalForgotten,
    TextTyped,
    from_json,
)
from handsfree.job.log.beside import personal
from handsfree.job.log.beside.attached import attached_path, delete_file
from handsfree.job.log.clips import clip_path
from handsfree.job.log.database import open_to_read
from handsfree.job.log.sounds import sounds_held, sounds_named
from handsfree.job.log.store import JobLog, Store
from handsfree.job.state import fold


def forget(store: Store, job: str, now: datetime, why: str) -> tuple[int, int]:
    """Delete the sounds of a job; how many were deleted, and how many stay because another job has the same.

    The log says so before the first is deleted. JobNotFound, JobBusy, LogWriteError.
    """
    with store.resume(job) as log:
        return _delete_clips(store, log, sounds_named(log.events()), now, why)


def _delete_clips(store: Store, log: JobLog, named: list[str], now: datetime, why: str) -> tuple[int, int]:
    mine = [sha for sha in named if clip_path(store.folder, sha).exists()]
    shared = store.named_elsewhere(mine, other_than=log.job)
    going = [sha for sha in mine if sha not in shared]
    if going:
        log.append(ClipsDeleted(at=now, clips=tuple(going), why=why))
    for sha in going:
        try:
            clip_path(store.folder, sha).unlink(missing_ok=True)
        except OSError as error:
            raise LogWriteError(store.folder, told_by_system(error)) from error
    return len(going), len(shared)


def delete_attached(
    store: Store, job: str, now: datetime, why: str, entries: Collection[str] | None = None
) -> tuple[int, int]:
    """Delete the content of files that were attached to a job, by their entries (None: of all); how many were deleted,
    and how many stay because another entry or another job has the same.

    The log says so before the first is deleted. JobNotFound, JobBusy, LogWriteError; NotAttached for an entry that is
    no attached file.
    """
    with store.resume(job) as log:
        files = [event for event in log.events() if isinstance(event, FileAttached)]
        ids = [file.id for file in files]
        unknown = next((each for each in entries or () if each not in ids), None)
        if unknown is not None:
            raise NotAttached(log.job, unknown, ids)
        meant = [file for file in files if entries is None or file.id in entries]
        return _delete_files(store, log, [file.sha256 for file in meant], {file.id for file in meant}, now, why)


def _delete_files(
    store: Store, log: JobLog, hashes: Iterable[str], meant: Collection[str], now: datetime, why: str
) -> tuple[int, int]:
    mine = [sha for sha in dict.fromkeys(hashes) if attached_path(store.folder, sha).exists()]
    others = {each.sha256 for each in log.events() if isinstance(each, FileAttached) and each.id not in meant}
    shared = store.attached_elsewhere(mine, other_than=log.job) | others.intersection(mine)
    going = [sha for sha in mine if sha not in shared]
    if going:
        log.append(AttachedDeleted(at=now, files=tuple(going), why=why))
    for sha in going:
        delete_file(store.folder, sha)
    return len(going), len(shared)


@dataclass(frozen=True)
class ForgottenOwner:
    """What became of an owner's data."""

    jobs: tuple[str, ...]
    """Those from which it was taken out, the oldest first."""
    in_chain: tuple[str, ...]
    """Those of them that were begun before it was kept beside the log: in their events it stays, and is not shown."""
    busy: tuple[str, ...]
    """Those that are open in another Handsfree: nothing of them was forgotten."""
    entries: int
    clips: int
    files: int
    """Attached files whose content was deleted."""
    attached: tuple[str, ...]
    """The names of those that are still there: nobody but the workshop knows what they show."""


def forget_owner(store: Store, owner: str, now: datetime, *, files_too: bool) -> ForgottenOwner:
    """Take everything personal out of the jobs of an owner, by the name that was given there; case does not count.

    The log says so first. A job that named the owner only until that was corrected loses that name alone. With
    ``files_too``, the files that were attached to the jobs are deleted as well. LogError.
    """
    wanted = owner.strip().casefold()
    done: list[str] = []
    in_chain: list[str] = []
    busy: list[str] = []
    attached: list[str] = []
    entries = clips = files = 0
    for job in _naming(store, wanted):
        try:
            with store.resume(job) as log:
                events, chained = log.events(), [from_json(link.body) for link in store.links(job)]
                going = _personal_events(events, wanted)
                if not going:
                    continue
                why = "by the owner's wish"
                if (fold(events).fact("owner") or "").casefold() == wanted:
                    mine = [event for event in events if isinstance(event, FileAttached)]
                    if files_too:
                        ids = {event.id for event in mine}
                        files += _delete_files(store, log, [event.sha256 for event in mine], ids, now, why)[0]
                    attached += [event.name for event in mine if attached_path(store.folder, event.sha256).exists()]
                log.append(PersonalForgotten(at=now, events=tuple(going), why=why))
                personal.take_out(store.folder, [sha for n in going if (sha := chained[n - 1].personal)])
                clips += _delete_clips(store, log, sounds_named(events[n - 1] for n in going), now, why)[0]
        except JobBusy:
            busy.append(job)
            continue
        done.append(job)
        entries += len(going)
        if any(personal.personal_of(chained[n - 1]) for n in going):
            in_chain.append(job)
    rows = [row for row in personal.rows_of(store.folder) if row.words.casefold() == wanted]
    # What was kept for an event that was never written.
    personal.take_out(store.folder, [row.hash for row in rows if row.job not in busy])
    # What the catalogue has of it goes now, not when somebody asks next.
    store.jobs()
    return ForgottenOwner(
        tuple(done), tuple(in_chain), tuple(busy), entries=entries, clips=clips, files=files, attached=tuple(attached)
    )


def _naming(store: Store, wanted: str) -> list[str]:
    """The jobs that name an owner now or did before that was corrected, the oldest first."""
    query = """SELECT job, coalesce(json_extract(body, '$.owner'), json_extract(body, '$.text')) FROM events
        WHERE +kind = 'job opened' OR (+kind = 'fact noted' AND json_extract(body, '$.about') = 'owner')"""
    named = {row.job for row in personal.rows_of(store.folder) if row.words.casefold() == wanted}
    with open_to_read(store.folder) as db:
        for job, owner in [] if db is None else db.execute(query):
            if (owner or "").casefold() == wanted:
                named.add(str(job))
    listed = reversed(store.jobs())
    return [job.id for job in listed if job.id in named or (job.owner or "").casefold() == wanted]


def _personal_events(events: list[Event], wanted: str) -> list[int]:
    """The running numbers of the events that go: all that are personal where the owner is the one ``wanted``."""
    found = {n: fields for n, event in enumerate(events, 1) if (fields := personal.personal_of(event))}
    about = {getattr(events[n - 1], "id", None): fields for n, fields in found.items()}
    for n, event in enumerate(events, 1):
        # Before version 6 these did not say that they were about something personal.
        if isinstance(event, (TextTyped, EntryConfirmed)) and event.id in about:
            found.setdefault(n, about[event.id])
    found = {n: fields for n, fields in found.items() if personal.FORGOTTEN not in fields.values()}
    owner = fold(events).fact("owner") or ""
    if owner.casefold() == wanted:
        return sorted(found)
    words = {n: fields.get("owner") or fields.get("text", "") for n, fields in sorted(found.items())}
    return [n for n, said in words.items() if said.casefold() == wanted]


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
