"""How many events each job has and the hash of its last one, a second time, in a file of its own.

A database that lost its end (its write-ahead log was deleted, an older copy was put in its place, a page of an index
hides events) is sound in itself, and its chains hold. This file says what there was: a line of fixed length for each
job, written after the event is on disk. So it may be behind the database, by a kill or a loss of power, and never be
ahead of it; where it is, something is lost. A line has a checksum of its own. A log without the file gets one.
"""

from __future__ import annotations

import os
import re
import sqlite3
import zlib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import mkstemp
from typing import IO

from filelock import FileLock, Timeout

from handsfree.job.log.clips import sync_folder
from handsfree.job.log.numbers import is_number

LEDGER = "ledger.txt"
_LINE = re.compile(r"(\d{4}-\d\d-\d\d-\d{1,9}) +(\d{12}) ([0-9a-f]{64})")
_LENGTH = 128
"""Bytes of a line; a disk writes so few at once, or not at all."""
_LOCK_SECONDS = 5.0


@dataclass(frozen=True)
class Kept:
    """What is known of a job: how many events it had, and the hash of the last of them."""

    events: int
    last_hash: str


@dataclass(frozen=True)
class Ledger:
    """The file as it was read. ``unreadable`` counts lines that say nothing any more; ``there`` whether it exists."""

    jobs: dict[str, Kept] = field(default_factory=dict)
    unreadable: int = 0
    there: bool = False


def read_ledger(folder: Path, job: str | None = None) -> Ledger:
    """The ledger of the log in ``folder``, or what it has of one ``job``; OSError. To be read before the database that
    it is compared with."""
    try:
        content = (folder / LEDGER).read_bytes()
    except FileNotFoundError:
        return Ledger()
    if job is not None:
        place = _place(content, job)
        content = b"" if place is None else content[place : place + _LENGTH]
    jobs: dict[str, Kept] = {}
    unreadable = 0
    for at in range(0, len(content), _LENGTH):
        read = _read(content[at : at + _LENGTH])
        if read is None or read[0] in jobs:
            unreadable += 1
        else:
            jobs[read[0]] = read[1]
    return Ledger(jobs, unreadable, there=True)


def missing_of(db: sqlite3.Connection, job: str, kept: Kept) -> str | None:
    """What the database lacks of what was written of a job, in a few words; None where all of it is there."""
    query = "SELECT seq, hash FROM events WHERE job = ? ORDER BY seq DESC LIMIT 1"
    newest = db.execute(query, (job,)).fetchone()
    if newest is None:
        return f"job {job} is gone, with its {kept.events} events"
    if not isinstance(newest[0], int):
        return f"an event of job {job} has no number"
    if newest[0] < kept.events:
        first, last = newest[0] + 1, kept.events
        return f"of job {job}, " + (f"event {last} is gone" if first == last else f"events {first} to {last} are gone")
    if newest[0] > kept.events:
        newest = db.execute("SELECT seq, hash FROM events WHERE job = ? AND seq = ?", (job, kept.events)).fetchone()
    if newest is None or newest[1] != kept.last_hash:
        return f"event {kept.events} of job {job} is not what was written"
    return None


def missing(db: sqlite3.Connection, ledger: Ledger) -> Iterator[str]:
    """The same of every job that the ledger knows."""
    for job, kept in ledger.jobs.items():
        what = missing_of(db, job, kept)
        if what is not None:
            yield what


class LedgerLine:
    """The line of one job, for whoever has it open."""

    def __init__(self, folder: Path, job: str) -> None:
        self._folder = folder
        self._job = job
        self._at: int | None = None

    def note(self, events: int, last_hash: str) -> None:
        """Write how far the job is, now that its newest event is on disk. A file that can't be written stays behind,
        which does no harm."""
        if not is_number(self._job):
            return
        line = _line(self._job, Kept(events, last_hash))
        with suppress(OSError, Timeout):
            with (self._folder / LEDGER).open("r+b", buffering=0) as file:
                if self._at is None or not self._is_here(file):
                    file.seek(0)
                    self._at = _place(file.read(), self._job)
                if self._at is not None:
                    file.seek(self._at)
                    file.write(line)
                    return
            _add(self._folder, line)

    def _is_here(self, file: IO[bytes]) -> bool:
        assert self._at is not None
        file.seek(self._at)
        beginning = _beginning(self._job)
        return file.read(len(beginning)) == beginning


def complete(folder: Path, db: sqlite3.Connection, ledger: Ledger) -> None:
    """Add what the ledger does not know of the jobs in the database, which was found whole; OSError."""
    (count,) = db.execute("SELECT count(*) FROM jobs").fetchone()
    if ledger.there and not ledger.unreadable and count == len(ledger.jobs):
        return
    with _locked(folder):
        known = read_ledger(folder).jobs
        jobs = {str(job): known.get(str(job)) or _end(db, str(job)) for (job,) in db.execute("SELECT id FROM jobs")}
        _write(folder, {job: kept for job, kept in jobs.items() if kept is not None})


def _end(db: sqlite3.Connection, job: str) -> Kept | None:
    query = "SELECT seq, hash FROM events WHERE job = ? ORDER BY seq DESC LIMIT 1"
    row = db.execute(query, (job,)).fetchone()
    return Kept(int(row[0]), str(row[1])) if row and _LINE.fullmatch(f"{job} {row[0]:012} {row[1]}") else None


def _write(folder: Path, jobs: Mapping[str, Kept]) -> None:
    """The whole file anew: beside the old one, flushed, and put in its place."""
    handle, name = mkstemp(suffix=".tmp", prefix=".ledger-", dir=folder)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(b"".join(_line(job, kept) for job, kept in jobs.items()))
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(folder / LEDGER)
        sync_folder(folder)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _add(folder: Path, line: bytes) -> None:
    with _locked(folder), (folder / LEDGER).open("ab", buffering=0) as file:
        if file.tell() % _LENGTH == 0:
            file.write(line)
            os.fsync(file.fileno())


def _locked(folder: Path) -> FileLock:
    return FileLock(folder / "locks" / "ledger.lock", timeout=_LOCK_SECONDS)


def _line(job: str, kept: Kept) -> bytes:
    said = f"{job:<24} {kept.events:012} {kept.last_hash}"
    return f"{said} {zlib.crc32(said.encode()):08x}".ljust(_LENGTH - 1).encode() + b"\n"


def _read(line: bytes) -> tuple[str, Kept] | None:
    said, _, check = line.decode("ascii", "replace").rstrip().rpartition(" ")
    match = _LINE.fullmatch(said)
    if match is None or check != f"{zlib.crc32(said.encode()):08x}":
        return None
    return match[1], Kept(int(match[2]), match[3])


def _place(content: bytes, job: str) -> int | None:
    """Where the line of a job begins."""
    at = content.find(_beginning(job))
    return at if at >= 0 and at % _LENGTH == 0 else None


def _beginning(job: str) -> bytes:
    return f"{job:<24} ".encode()
