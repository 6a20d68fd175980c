"""Proving a job's log: its chain of hashes, what else the file says of it, and the sounds it names."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from handsfree.job.errors import LogCorrupt, LogError
from handsfree.job.events import AttachedDeleted, ClipsDeleted, Event, FileAttached, JobOpened, fields_in, from_json
from handsfree.job.log.beside import personal
from handsfree.job.log.beside.attached import attached_path, read_attached
from handsfree.job.log.beside.ledger import LEDGER, missing
from handsfree.job.log.clips import clip_path, read_clip
from handsfree.job.log.database import database_faults, ledger_of, open_to_read
from handsfree.job.log.hash_chain import first_break, first_link
from handsfree.job.log.numbers import is_number, typed_number
from handsfree.job.log.sounds import sounds_held, sounds_named
from handsfree.job.log.store import Store

_ONE_CLIP = re.compile(r'"clip":"([0-9a-f]{64})"')
_MORE = re.compile('"(?:clips|holds|personal)')


@dataclass(frozen=True, kw_only=True)
class Verified:
    """What was found about one job; ``faults`` are sentences, none where all of it holds."""

    job: str
    events: int
    last_hash: str
    clips: int
    """Sounds that are there and are what was kept."""
    deleted_clips: int
    """Sounds that were deleted on purpose: their hash stays in the log."""
    faults: tuple[str, ...]
    hashes: tuple[str, ...]
    """Every event's hash, oldest first."""

    def added_since(self, noted: str) -> int | None:
        """How many events were added after the one with the hash that was ``noted``; None where no event has it."""
        noted = noted.strip().lower()
        return len(self.hashes) - 1 - self.hashes.index(noted) if noted in self.hashes else None


def file_faults(store: Store) -> list[str]:
    """What is wrong with the log as a whole: by SQLite's own check of its file, and by the ledger of what was written;
    empty where nothing is.

    A page of an index that is damaged can hide events from every question that is asked of the log; a file that lost
    its end is sound in itself.
    """
    try:
        ledger = ledger_of(store.folder)
        with open_to_read(store.folder) as db:
            if db is None:
                return []
            faults = database_faults(db)
            with suppress(sqlite3.DatabaseError, UnicodeDecodeError):
                faults += missing(db, ledger)
            if ledger.unreadable:
                faults.append(f"{ledger.unreadable} lines of {LEDGER} can't be read, which says what there was")
            return faults + _personal_file_faults(store.folder)
    except LogCorrupt as error:
        return [str(error)]


def _personal_file_faults(folder: Path) -> list[str]:
    """What SQLite finds wrong with the file of owners: a damaged index hides them where their rows can be read."""
    if not (folder / personal.PERSONAL_FILE).is_file():
        return []
    try:
        with personal.personal_database(folder) as db:
            return [f"{personal.PERSONAL_FILE}: {fault}" for fault in database_faults(db)]
    except LogCorrupt as error:
        return [str(error)]


def verify(store: Store, job: str) -> Verified:
    """Prove one job; JobNotFound, LogFolderError, LogCorrupt where the file can't be read at all."""
    store.links(job)
    with open_to_read(store.folder) as db:
        assert db is not None
        return _proved(store.folder, db, typed_number(job))


def verify_all(store: Store) -> Iterator[Verified]:
    """Prove all jobs, the one opened last first; errors as of ``verify``."""
    with open_to_read(store.folder) as db:
        if db is not None:
            for (job,) in db.execute("SELECT id FROM jobs ORDER BY rowid DESC").fetchall():
                yield _proved(store.folder, db, str(job))


_Row = tuple[int, str, str, str, str]
"""An event as it is kept: running number, time, kind, JSON, hash."""


def _proved(folder: Path, db: sqlite3.Connection, job: str) -> Verified:
    query = "SELECT seq, at, kind, body, hash FROM events WHERE job = ? ORDER BY seq"
    found: list[tuple[Any, ...]] = db.execute(query, (job,)).fetchall()
    rows: list[_Row] = [(row[0], row[1], row[2], row[3], row[4]) for row in found if _as_kept(*row)]
    faults = [f"{len(found) - len(rows)} events are not kept as a number and words"] if len(rows) < len(found) else []
    broken = first_break(job, ((seq, body, hash_) for seq, _, _, body, hash_ in rows))
    if broken is not None:
        faults.append(f"the chain of hashes breaks at event {broken.seq}: {broken.what}")
    if not is_number(job):
        faults.append("this is no number of a job")
    numbered: list[tuple[int, Event]] = []
    named: list[str] = []
    for seq, _, _, body, _ in rows:
        if broken is None and seq != 1:
            # What a chain that holds has was read when it was written; what it names is looked at all the same.
            if not any(told in body for told in ('"clip', '"personal', '"file attached"', '"attached files deleted"')):
                continue
            if (clip := _ONE_CLIP.search(body)) and not _MORE.search(body):
                named.append(clip[1])
                continue
        try:
            numbered.append((seq, from_json(body)))
        except ValidationError as error:
            faults.append(f"event {seq} can't be read ({error.errors()[0]['msg']})")
    faults += _beside(db, job, rows, numbered)
    faults += personal.personal_faults(folder, job, numbered)
    clips, deleted, lost = _clips(folder, [event for _, event in numbered], named)
    faults += lost
    faults += _attached(folder, [event for _, event in numbered])
    return Verified(
        job=job,
        events=len(rows),
        last_hash=rows[-1][4] if rows else first_link(job),
        clips=clips,
        deleted_clips=deleted,
        faults=tuple(faults),
        hashes=tuple(row[4] for row in rows),
    )


def _as_kept(*row: object) -> bool:
    """Whether a row of an event has the types it was written with; SQLite keeps no column to its own."""
    return isinstance(row[0], int) and all(isinstance(each, str) for each in row[1:])


def _beside(
    db: sqlite3.Connection, job: str, rows: Sequence[_Row], numbered: Sequence[tuple[int, Event]]
) -> Iterator[str]:
    """What the file keeps beside the events' texts (for its lists) must say the same as they."""
    for seq, at, kind, text, _ in rows:
        written = f"{at[:-6]}Z" if at.endswith("+00:00") else at
        if f'"kind":"{kind}"' in text and f'"at":"{written}"' in text:
            continue
        body = fields_in(text)
        if body.get("kind") != kind or not _same_time(str(body.get("at")), at):
            yield f"event {seq} is listed as something else than it is"
    what = "SELECT title, procedure, item, serial, owner FROM jobs WHERE id = ?"
    listed = db.execute(what, (job,)).fetchone()
    first = numbered[0][1] if numbered and numbered[0][0] == 1 else None
    if not isinstance(first, JobOpened):
        yield "the job has no beginning"
    elif tuple(listed) != (first.title, first.procedure_name, first.item, first.serial, first.owner):
        yield "the list of jobs names another item, serial number, owner or procedure than the job itself"


def _same_time(one: str, other: str) -> bool:
    try:
        return datetime.fromisoformat(one.replace("Z", "+00:00")) == datetime.fromisoformat(other)
    except ValueError:
        return False


def _attached(folder: Path, events: Sequence[Event]) -> Iterator[str]:
    """What does not hold of the files that were attached."""
    deleted = {sha for event in events if isinstance(event, AttachedDeleted) for sha in event.files}
    for sha in dict.fromkeys(event.sha256 for event in events if isinstance(event, FileAttached)):
        if sha in deleted and not attached_path(folder, sha).exists():
            continue
        try:
            read_attached(folder, sha)
        except LogError as error:
            yield str(error)


def _clips(folder: Path, events: Sequence[Event], also: Sequence[str]) -> tuple[int, int, list[str]]:
    deleted = {sha for event in events if isinstance(event, ClipsDeleted) for sha in event.clips}
    held = sounds_held(events)
    there, gone, lost = 0, 0, []
    for sha in dict.fromkeys((*sounds_named(events), *also)):
        if sha in deleted | held and not clip_path(folder, sha).exists():
            gone += sha not in held
            continue
        try:
            read_clip(folder, sha)
            there += 1
        except (LogError, MemoryError) as error:
            lost.append(str(error) or f"clip {sha} can't be read")
    return there, gone, lost
