"""Proving a job's log: its chain of hashes, what else the file says of it, and the sounds it names."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from handsfree.job.errors import LogCorrupt, LogError
from handsfree.job.events import ClipsDeleted, Event, JobOpened, from_json
from handsfree.job.log.beside import personal
from handsfree.job.log.beside.ledger import LEDGER, missing
from handsfree.job.log.clips import clip_path, read_clip
from handsfree.job.log.database import database_faults, ledger_of, open_to_read
from handsfree.job.log.hash_chain import Link, first_break, first_link
from handsfree.job.log.numbers import is_number, typed_number
from handsfree.job.log.sounds import sounds_held, sounds_named
from handsfree.job.log.store import Store


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
            with suppress(sqlite3.DatabaseError):
                faults += missing(db, ledger)
            if ledger.unreadable:
                faults.append(f"{ledger.unreadable} lines of {LEDGER} can't be read, which says what there was")
            return faults
    except LogCorrupt as error:
        return [str(error)]


def verify(store: Store, job: str) -> Verified:
    """Prove one job; JobNotFound, LogFolderError, LogCorrupt where the file can't be read at all."""
    links = store.links(job)
    job = typed_number(job)
    faults = []
    broken = first_break(job, links)
    if broken is not None:
        faults.append(f"the chain of hashes breaks at event {broken.seq}: {broken.what}")
    if not is_number(job):
        faults.append("this is no number of a job")
    numbered: list[tuple[int, Event]] = []
    for here in links:
        try:
            numbered.append((here.seq, from_json(here.body)))
        except ValidationError as error:
            faults.append(f"event {here.seq} can't be read ({error.errors()[0]['msg']})")
    faults += _beside(store, job, links)
    faults += personal.personal_faults(store.folder, job, numbered)
    events = [event for _, event in numbered]
    clips, deleted, lost = _clips(store.folder, events)
    faults += lost
    last = links[-1].hash if links else first_link(job)
    return Verified(
        job=job,
        events=len(links),
        last_hash=last,
        clips=clips,
        deleted_clips=deleted,
        faults=tuple(faults),
        hashes=tuple(here.hash for here in links),
    )


def _beside(store: Store, job: str, links: Sequence[Link]) -> Iterator[str]:
    """What the file keeps beside the events' texts (for its lists) must say the same as they."""
    with open_to_read(store.folder) as db:
        assert db is not None
        with closing(db.execute("SELECT seq, at, kind FROM events WHERE job = ? ORDER BY seq", (job,))) as rows:
            kept = {seq: (at, kind) for seq, at, kind in rows}
        what = "SELECT title, procedure, item, serial, owner FROM jobs WHERE id = ?"
        row = tuple(db.execute(what, (job,)).fetchone())
    for here in links:
        body = _read(here.body)
        at, kind = kept.get(here.seq, ("", ""))
        if body.get("kind") != kind or not _same_time(str(body.get("at")), at):
            yield f"event {here.seq} is listed as something else than it is"
    try:
        first = from_json(links[0].body) if links else None
    except ValidationError:
        first = None
    if not isinstance(first, JobOpened):
        yield "the job has no beginning"
    elif row != (first.title, first.procedure_name, first.item, first.serial, first.owner):
        yield "the list of jobs names another item, serial number, owner or procedure than the job itself"


def _read(body: str) -> dict[str, Any]:
    try:
        found = json.loads(body)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _same_time(one: str, other: str) -> bool:
    try:
        return datetime.fromisoformat(one.replace("Z", "+00:00")) == datetime.fromisoformat(other)
    except ValueError:
        return False


def _clips(folder: Path, events: Sequence[Event]) -> tuple[int, int, list[str]]:
    deleted = {sha for event in events if isinstance(event, ClipsDeleted) for sha in event.clips}
    held = sounds_held(events)
    there, gone, lost = 0, 0, []
    for sha in sounds_named(events):
        if sha in deleted | held and not clip_path(folder, sha).exists():
            gone += sha not in held
            continue
        try:
            read_clip(folder, sha)
            there += 1
        except (LogError, MemoryError) as error:
            lost.append(str(error) or f"clip {sha} can't be read")
    return there, gone, lost
