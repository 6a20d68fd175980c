"""The log on disk: jobs and their events in one SQLite file, clips beside it.

An event is on disk before ``append`` returns (write-ahead log, synchronous=FULL). Events and jobs can be
added only; the database itself refuses to change or delete them. One process at a time has a job open for writing;
anybody may read meanwhile. A log belongs to the thread that opened it.
"""

from __future__ import annotations

import difflib
import json
import sqlite3
from collections.abc import Collection
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout
from numpy.typing import NDArray
from platformdirs import user_data_dir
from pydantic import ValidationError

from handsfree.job.catalogue.catalogue import Watch, consult, unwatched
from handsfree.job.catalogue.summaries import EVERY_JOB, JobSummary, Sought, jobs_counted, jobs_listed
from handsfree.job.errors import JobBusy, JobNotFound, LogCorrupt, LogError, LogFolderError, LogGone, told_by_system
from handsfree.job.events import Event, JobOpened, Purpose, from_json, to_json
from handsfree.job.log.beside.last_seen import last_seen, note_time
from handsfree.job.log.beside.ledger import LedgerLine
from handsfree.job.log.beside.pending import arrived, clear_left_sounds, expect
from handsfree.job.log.beside.personal import PersonalRow, completed, keep_personal, legible_rows, owners, put_rows
from handsfree.job.log.beside.place import FilesInPlace, new_folders
from handsfree.job.log.clips import clip_path, keep_clip, read_clip
from handsfree.job.log.database import (
    FILE,
    LOCKS,
    ledger_of,
    open_to_read,
    open_to_write,
    refuse_if_missing,
    transaction,
    translated,
)
from handsfree.job.log.hash_chain import Break, Link, first_break, first_link, link
from handsfree.job.log.numbers import is_number, typed_number

_NEWEST_EVENTS = 20_000
"""In which it is looked for who was at the bench lately."""


def default_folder() -> Path:
    """Where the log is kept when nobody says otherwise."""
    return Path(user_data_dir("handsfree"))


class Store:
    """The log in ``folder``. Making one touches nothing; a folder that is not there holds no jobs. ``watch`` is told
    how far the catalogue is, while it is made of many jobs."""

    def __init__(self, folder: Path, watch: Watch = unwatched) -> None:
        self.folder = folder
        self.watch = watch
        self.file = folder / FILE

    def prepare(self) -> None:
        """Make the folder and its database where needed, and prove by writing that the log can be kept.

        LogFolderError or LogCorrupt where it can't.
        """
        open_to_write(self.folder).close()

    def open_job(self, opened: JobOpened, steps: int, job: str | None = None) -> JobLog:
        """Open a new job with its first event; ``steps`` is how many steps its procedure has.

        Its identifier is the local date and a running number: "2026-11-25-1"; a rescue gives that of the
        ``job`` that it saves. Errors as of ``prepare``.
        """
        db = open_to_write(self.folder)
        lock: FileLock | None = None
        try:
            with transaction(db, self.folder):
                job = job or _next_id(db, opened.at)
                lock = self._lock(job)
                chained = keep_personal(self.folder, job, opened)
                assert isinstance(chained, JobOpened)
                what = (opened.title, opened.procedure_name, opened.item, opened.serial, chained.owner)
                row = (job, opened.at.isoformat(), *what, steps)
                db.execute("INSERT INTO jobs VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
                *_, hash_ = _insert(db, job, chained)
            LedgerLine(self.folder, job).note(1, hash_)
        except BaseException:
            db.close()
            if lock is not None:
                lock.release()
            raise
        return JobLog(self.folder, job, db, lock)

    def resume(self, job: str) -> JobLog:
        """Take a job up again; JobNotFound, JobBusy, or the errors of ``prepare``. LogCorrupt where the job's chain is
        broken: what would be written next rests on what was never written."""
        job = self._known(job)
        db = open_to_write(self.folder)
        try:
            self._refuse_broken(db, job)
            lock = self._lock(job)
        except BaseException:
            db.close()
            raise
        return JobLog(self.folder, job, db, lock)

    def jobs(self, sought: Sought = EVERY_JOB, most: int | None = None) -> list[JobSummary]:
        """The jobs that are ``sought``, the one opened last first; ``most``: no more than so many of them."""
        names = partial(owners, self.folder)
        return consult(self.folder, lambda catalogue: jobs_listed(catalogue, names, sought, most), self.watch)

    def count(self, sought: Sought = EVERY_JOB) -> int:
        """How many jobs are ``sought``."""
        return sum(consult(self.folder, lambda catalogue: [jobs_counted(catalogue, sought)], self.watch))

    def newest_real(self) -> str | None:
        """The number of the job opened last that was no rehearsal; None where there is none."""
        query = """SELECT jobs.id FROM jobs LEFT JOIN events ON events.job = jobs.id AND events.seq = 1
            WHERE NOT json_valid(body) OR json_extract(body, '$.purpose') IS NOT 'rehearsal'
            ORDER BY jobs.rowid DESC LIMIT 1"""
        known = ledger_of(self.folder)
        with open_to_read(self.folder) as db:
            if db is None:
                return None
            refuse_if_missing(db, self.folder, known)
            found = db.execute(query).fetchone()
        return None if found is None else str(found[0])

    def numbers(self) -> list[str]:
        """The numbers of all jobs as the log itself has them, the one opened last first."""
        with open_to_read(self.folder) as db:
            return [] if db is None else [str(job) for (job,) in db.execute("SELECT id FROM jobs ORDER BY rowid DESC")]

    def workers(self) -> list[str]:
        """Who was at the bench in the newest jobs, the one who came last first."""
        query = """SELECT json_extract(body, '$.name') FROM events
            WHERE rowid > (SELECT max(rowid) FROM events) - ? AND +kind = 'worker changed' ORDER BY rowid DESC"""
        with open_to_read(self.folder) as db:
            rows = [] if db is None else db.execute(query, (_NEWEST_EVENTS,)).fetchall()
        return list(dict.fromkeys(str(name) for (name,) in rows if name))

    def unfinished(
        self, procedure: str, item: str | None = None, serial: str | None = None, purpose: Purpose = "repair"
    ) -> list[JobSummary]:
        """Jobs not finished in which the procedure of this title or name was worked, the one worked on last first.

        ``item`` and ``serial`` must be the same where they are given; case does not count. Only jobs of the same
        ``purpose`` are meant: a rehearsal is never taken for the real job.
        """

        sought = Sought(procedure=procedure, item=item, serial=serial, purpose=purpose, finished=False)
        return sorted(self.jobs(sought), key=lambda job: job.last, reverse=True)

    def events(self, job: str) -> list[Event]:
        """The events of a job, oldest first, also while somebody is writing it; JobNotFound, LogCorrupt."""
        job = self._known(job)
        known = ledger_of(self.folder, job)
        with open_to_read(self.folder) as db:
            if db is None:
                return []
            refuse_if_missing(db, self.folder, known, job)
            return completed(self.folder, job, _events(db, job, self.file))

    def last_hash(self, job: str) -> str:
        """The hash of a job's newest event: kept elsewhere, it proves later that the job up to it is unchanged.

        64 hexadecimal figures; JobNotFound, LogCorrupt.
        """
        job = self._known(job)
        links = self.links(job)
        return links[-1].hash if links else first_link(job)

    def links(self, job: str) -> list[Link]:
        """A job's events as they are kept, with their hashes, unread and unproved; JobNotFound."""
        job = self._known(job)
        with open_to_read(self.folder) as db:
            return [] if db is None else _links(db, job)

    def broken(self, job: str) -> Break | None:
        """The first of a job's events that is not what was written; None where the chain holds. JobNotFound."""
        return first_break(job, self.links(job))

    def _refuse_broken(self, db: sqlite3.Connection, job: str) -> None:
        with translated(self.file):
            found = first_break(job, _links(db, job))
        if found is not None:
            raise LogCorrupt(
                f"{self.file}: job {job} is damaged ({found.what}), so nothing is written to it: restore a copy, or "
                "save what is there with handsfree rescue"
            )

    def named_elsewhere(self, clips: Collection[str], *, other_than: str) -> set[str]:
        """Which of these clips an event of another job names."""
        query = """SELECT DISTINCT json_extract(body, '$.clip') AS clip FROM events
            WHERE job <> ? AND clip IN (SELECT value FROM json_each(?))"""
        with open_to_read(self.folder) as db:
            rows = [] if db is None else db.execute(query, (other_than, json.dumps(list(clips)))).fetchall()
        return {str(clip) for (clip,) in rows}

    def attached_elsewhere(self, files: Collection[str], *, other_than: str) -> set[str]:
        """Which of these attached files, by their hashes, another job has as well."""
        query = """SELECT DISTINCT json_extract(body, '$.sha256') AS sha FROM events
            WHERE job <> ? AND +kind = 'file attached' AND sha IN (SELECT value FROM json_each(?))"""
        with open_to_read(self.folder) as db:
            rows = [] if db is None else db.execute(query, (other_than, json.dumps(list(files)))).fetchall()
        return {str(sha) for (sha,) in rows}

    def clip_path(self, sha: str) -> Path:
        """Where the clip of this hash is kept."""
        return clip_path(self.folder, sha)

    def read_clip(self, sha: str) -> NDArray[Any]:
        """The samples of a clip (float32, 16 kHz); LogError, LogCorrupt."""
        return read_clip(self.folder, sha)

    def _known(self, job: str) -> str:
        job = typed_number(job)
        known = ledger_of(self.folder, job)
        with open_to_read(self.folder) as db:
            if db is not None and db.execute("SELECT 1 FROM jobs WHERE id = ?", (job,)).fetchone():
                return job
            if db is not None:
                refuse_if_missing(db, self.folder, known, job)
            rows = [] if db is None else db.execute("SELECT id FROM jobs ORDER BY rowid DESC").fetchall()
        there = [str(row[0]) for row in rows]
        raise JobNotFound(job, self.folder, difflib.get_close_matches(job, there, cutoff=0.4) or there[:3])

    def _lock(self, job: str) -> FileLock:
        if not is_number(job):
            raise LogCorrupt(f"{job!r} in {self.file} is no number of a job: handsfree verify says more")
        lock = FileLock(self.folder / LOCKS / f"{job}.lock", thread_local=False)
        try:
            lock.acquire(timeout=0)
        except Timeout:
            raise JobBusy(job) from None
        except OSError as error:
            raise LogFolderError(self.folder, told_by_system(error)) from error
        return lock


class JobLog:
    """A job open for writing, from ``Store.open_job`` or ``Store.resume``; a context manager that closes it."""

    def __init__(self, folder: Path, job: str, db: sqlite3.Connection, lock: FileLock) -> None:
        self.folder = folder
        self.job = job
        self._db = db
        self._lock = lock
        (steps,) = db.execute("SELECT steps FROM jobs WHERE id = ?", (job,)).fetchone()
        self._steps = int(steps)
        self._ledger = LedgerLine(folder, job)
        self._awaiting = False
        """Whether a sound is on disk whose event is not."""
        with suppress(sqlite3.Error):
            clear_left_sounds(folder, db, job)
        self._files = FilesInPlace(folder)
        self._bodies: list[str] | None = None
        """The job's events as they are kept, once one was read or added here: they outlast the file."""
        self._personal: list[PersonalRow] = []
        """What is personal of them."""
        self._noted: datetime | None = None

    def append(self, event: Event) -> int:
        """Put an event on disk and return its running number; on LogWriteError nothing of it was kept. LogGone where
        the disk no longer has the log."""
        if self._bodies is None:
            with translated(self.folder / FILE):
                self._bodies = [link.body for link in _links(self._db, self.job)]
            self._personal = legible_rows(self.folder, self.job)
        chained = keep_personal(self.folder, self.job, event)
        if chained is not event:
            self._personal = legible_rows(self.folder, self.job)
        with transaction(self._db, self.folder):
            seq, body, hash_ = _insert(self._db, self.job, chained)
        self._bodies.append(body)
        self.look()
        self._ledger.note(seq, hash_)
        if self._awaiting:
            arrived(self.folder, self.job)
            self._awaiting = False
        return seq

    def events(self) -> list[Event]:
        """All events of the job, oldest first."""
        file = self.folder / FILE
        with translated(file):
            self._bodies = [link.body for link in _links(self._db, self.job)]
            self._personal = legible_rows(self.folder, self.job)
            return completed(self.folder, self.job, _events(self._db, self.job, file))

    def look(self) -> None:
        """LogGone where the log's file is no longer the one that is written to."""
        if not self._files.are_in_place():
            raise LogGone(self.folder)

    def save_elsewhere(self, now: datetime) -> Path | None:
        """What is still in memory of this job, written into a new log; its folder, or None where there is no place."""
        for folder in new_folders(self.folder, now) if self._bodies else ():
            try:
                self._write_into(Store(folder))
            except LogError:
                continue
            return folder
        return None

    def _write_into(self, store: Store) -> None:
        opened, *events = [from_json(body) for body in self._bodies or ()]
        assert isinstance(opened, JobOpened)
        store.prepare()
        put_rows(store.folder, self._personal)
        with store.open_job(opened, self._steps, job=self.job) as log:
            for event in events:
                log.append(event)
        for sha in {event.clip for event in events if event.clip}:
            with suppress(LogError):
                log.keep_clip(read_clip(self.folder, sha))

    def note_time(self, now: datetime) -> None:
        """It is so late; kept once a second at most."""
        if self._noted is None or abs((now - self._noted).total_seconds()) >= 1:
            self._noted = now
            note_time(self.folder, self.job, now)

    def last_seen(self) -> datetime | None:
        """What time it is at least, by the clock as it was when the job was left; None where nobody knows."""
        return last_seen(self.folder, self.job)

    def keep_clip(self, samples: NDArray[Any]) -> str:
        """Keep a sound (one row of samples at 16 kHz, float or int16) and return its hash; LogWriteError."""

        def before(sha: str) -> None:
            expect(self.folder, self.job, sha)
            self._awaiting = True

        return keep_clip(self.folder, samples, before)

    def close(self) -> None:
        """Let the job go; closing twice does nothing."""
        self._db.close()
        self._lock.release()

    def __enter__(self) -> JobLog:
        return self

    def __exit__(self, *error: object) -> None:
        self.close()


def _next_id(db: sqlite3.Connection, at: datetime) -> str:
    day = at.astimezone().date().isoformat()
    number = "coalesce(max(CAST(substr(id, 12) AS INTEGER)), 0) + 1"
    query = f"SELECT {number} FROM jobs WHERE substr(id, 1, 11) = ?"
    return f"{day}-{db.execute(query, (f'{day}-',)).fetchone()[0]}"


def _insert(db: sqlite3.Connection, job: str, event: Event) -> tuple[int, str, str]:
    """Add an event; its running number, JSON and hash."""
    query = "SELECT coalesce(max(seq), 0) + 1 FROM events WHERE job = ?"
    seq = int(db.execute(query, (job,)).fetchone()[0])
    body, at = to_json(event), event.at.isoformat()
    hash_ = link(_hash_before(db, job, seq), body)
    db.execute("INSERT INTO events VALUES (?, ?, ?, ?, ?, ?)", (job, seq, at, event.kind, body, hash_))
    return seq, body, hash_


def _hash_before(db: sqlite3.Connection, job: str, seq: int) -> str:
    found = db.execute("SELECT hash FROM events WHERE job = ? AND seq = ?", (job, seq - 1)).fetchone()
    return str(found[0]) if found else first_link(job)


def _links(db: sqlite3.Connection, job: str) -> list[Link]:
    rows = db.execute("SELECT seq, body, hash FROM events WHERE job = ? ORDER BY seq", (job,))
    return [Link(*row) for row in rows]


def _events(db: sqlite3.Connection, job: str, file: Path) -> list[tuple[int, Event]]:
    """The events of a job as they stand in the chain, by running number."""
    found: list[tuple[int, Event]] = []
    for seq, body in db.execute("SELECT seq, body FROM events WHERE job = ? ORDER BY seq", (job,)):
        try:
            found.append((seq, from_json(body)))
        except ValidationError as error:
            why = error.errors()[0]["msg"]
            raise LogCorrupt(f"{file}: event {seq} of job {job} can't be read ({why}): restore a copy") from error
    return found
