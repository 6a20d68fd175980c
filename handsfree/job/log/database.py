"""The database file of the log: its schema, how it is opened to write and to read, its errors in words."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryFile

from filelock import FileLock, Timeout

from handsfree.job.errors import LogCorrupt, LogFolderError, LogWriteError, told_by_system
from handsfree.job.events import SCHEMA_VERSION
from handsfree.job.log.beside.ledger import LEDGER, Ledger, missing, missing_of, read_ledger
from handsfree.job.log.beside.ledger import complete as complete_ledger
from handsfree.job.log.clips import sync_folder
from handsfree.job.log.migration import NOW, OLDEST_VERSION, migrate

FILE = "handsfree.db"
WAL = f"{FILE}-wal"
"""What was written last, until it is moved into the file."""
LOCKS = "locks"
_APPLICATION = 0x48464C47
_BUSY_SECONDS = 10.0
_LARGEST_CHECKED = 16 << 20
_LARGEST_CHECKED_QUICKLY = 64 << 20
"""Bytes of a log up to which SQLite's own check of it is made before anything is written."""

_SCHEMA = """
CREATE TABLE jobs (
    id TEXT PRIMARY KEY NOT NULL,
    opened TEXT NOT NULL,
    title TEXT NOT NULL,
    procedure TEXT NOT NULL,
    item TEXT,
    serial TEXT,
    owner TEXT,
    steps INTEGER NOT NULL
);
CREATE TABLE events (
    job TEXT NOT NULL REFERENCES jobs (id),
    seq INTEGER NOT NULL,
    at TEXT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    hash TEXT NOT NULL,
    PRIMARY KEY (job, seq)
);
CREATE TABLE versions (version INTEGER PRIMARY KEY NOT NULL, since TEXT NOT NULL);
CREATE TRIGGER events_stay BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
CREATE TRIGGER events_are_kept BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
-- INSERT OR REPLACE would delete without asking the trigger above.
CREATE TRIGGER events_follow BEFORE INSERT ON events
    WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM events WHERE job = NEW.job)
    BEGIN SELECT RAISE(ABORT, 'events are added at the end only'); END;
CREATE TRIGGER jobs_stay BEFORE UPDATE ON jobs
    BEGIN SELECT RAISE(ABORT, 'jobs are never changed'); END;
CREATE TRIGGER jobs_are_kept BEFORE DELETE ON jobs
    BEGIN SELECT RAISE(ABORT, 'jobs are never deleted'); END;
CREATE TRIGGER jobs_are_new BEFORE INSERT ON jobs
    WHEN EXISTS (SELECT 1 FROM jobs WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'jobs are never replaced'); END;
"""


def open_to_write(folder: Path) -> sqlite3.Connection:
    """The log's database, made where needed, once a trial has shown that the folder can be written.

    LogFolderError, LogCorrupt.
    """
    file = folder / FILE
    try:
        # Two processes that make the file at once would meet in the change to write-ahead logging.
        with setting_up(folder):
            _try_to_write(folder)
            new = not file.exists()
            known = read_ledger(folder)
            _refuse_damage(folder, known)
            if new:
                _make_private(file)
            db = _connect(file)
            try:
                with translated(file):
                    complete_ledger(folder, db, known)
            except BaseException:
                db.close()
                raise
        if new:
            sync_folder(folder)
            sync_folder(folder.parent)
    except Timeout:
        raise LogFolderError(folder, "another Handsfree keeps it locked") from None
    except FileExistsError as error:
        raise LogFolderError(folder, f"{error.filename} is a file and not a folder") from error
    except OSError as error:
        raise LogFolderError(folder, told_by_system(error)) from error
    return db


def _refuse_in_place_of_another(folder: Path) -> None:
    """LogCorrupt where there was a log whose database is gone or empty: a new one would give its numbers to other
    jobs, and SQLite would throw away what its write-ahead log still holds."""
    wal, jobs = folder / WAL, len(ledger_of(folder).jobs)
    if jobs or (wal.exists() and wal.stat().st_size):
        held = f" with its {jobs} job{'s' if jobs > 1 else ''}" if jobs else ""
        raise LogCorrupt(
            f"{folder / FILE} is gone{held}, while what belongs to it is still there: restore a copy, see what "
            "handsfree rescue can read, or choose another folder for a new log"
        )


def _make_private(file: Path) -> None:
    """Make the file so that its owner alone can read it; what SQLite puts beside it is as the file is."""
    os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))


def _refuse_damage(folder: Path, known: Ledger) -> None:
    """LogCorrupt where SQLite itself finds the file damaged, or where events are gone: what is written onto a damaged
    log may be lost with it, and would take what can still be saved.

    A whole check of a large log would keep people waiting: that is what ``handsfree verify`` is for. The log is opened
    to read for this: to write, SQLite would throw away what it does not understand of the write-ahead log.
    """
    file = folder / FILE
    with open_to_read(folder) as db:
        if db is None:
            return
        refuse_if_missing(db, folder, known)
        size = file.stat().st_size
        if size > _LARGEST_CHECKED_QUICKLY:
            return
        faults = database_faults(db, thorough=size <= _LARGEST_CHECKED, most=1)
    if faults:
        raise LogCorrupt(
            f"{file} is damaged ({faults[0]}), so nothing is written to it: handsfree rescue saves what can be read, "
            "or restore a copy"
        )


def refuse_if_missing(db: sqlite3.Connection, folder: Path, known: Ledger, job: str | None = None) -> None:
    """LogCorrupt where the database lacks what was written: of one ``job``, or of any."""
    if job is None:
        what = next(missing(db, known), None)
    else:
        what = missing_of(db, job, known.jobs[job]) if job in known.jobs else None
    if what is not None:
        raise LogCorrupt(
            f"{folder / FILE} lacks something that was written ({what}): restore a copy, or save what is there with "
            f"handsfree rescue; if you have put an older log here yourself, delete {LEDGER}"
        )


def database_faults(db: sqlite3.Connection, *, thorough: bool = True, most: int = 20) -> list[str]:
    """What SQLite finds wrong with the file, in its own words; empty where nothing is. Not ``thorough``: without
    comparing indexes with what they are of."""
    check = "integrity_check" if thorough else "quick_check"
    try:
        rows = [str(row[0]) for row in db.execute(f"PRAGMA {check}({most})")]
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        return [str(error)]
    return [] if rows == ["ok"] else [" ".join(row.split()) for row in rows]


def setting_up(folder: Path) -> FileLock:
    """The lock under which a log comes to be in ``folder``, which is made; filelock.Timeout, OSError."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    (folder / LOCKS).mkdir(exist_ok=True)
    return FileLock(folder / LOCKS / "setup.lock", timeout=_BUSY_SECONDS)


@contextmanager
def open_to_read(folder: Path) -> Iterator[sqlite3.Connection | None]:
    """A connection that writes nothing, whoever else is writing; None where there is no log yet.

    LogFolderError, LogCorrupt.
    """
    file = folder / FILE
    try:
        if folder.exists() and not folder.is_dir():
            raise LogFolderError(folder, "it is not a folder")
        there = file.exists()
    except OSError as error:
        raise LogFolderError(folder, told_by_system(error)) from error
    if not there:
        _refuse_in_place_of_another(folder)
        yield None
        return
    with translated(file), closing(_connect_to_read(file)) as db:
        check_version(db, file)
        if not _version(db):
            _refuse_in_place_of_another(folder)
            yield None
            return
        yield db


def ledger_of(folder: Path, job: str | None = None) -> Ledger:
    """What is known of the jobs, or of one ``job``, beside the database; to be read before that. LogFolderError."""
    try:
        return read_ledger(folder, job)
    except OSError as error:
        raise LogFolderError(folder, told_by_system(error)) from error


@contextmanager
def translated(file: Path) -> Iterator[None]:
    """Errors of opening and reading as LogFolderError and LogCorrupt."""
    try:
        yield
    except sqlite3.OperationalError as error:
        raise LogFolderError(file.parent, f"{file.name}: {error}") from error
    except sqlite3.ProgrammingError:
        raise
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:  # the latter where SQLite quotes damaged text
        raise LogCorrupt(
            f"{file} is no log or is damaged ({error}): handsfree rescue saves what can be read, or restore a copy"
        ) from error


@contextmanager
def transaction(db: sqlite3.Connection, folder: Path) -> Iterator[None]:
    """All of it on disk at the end, or none of it and LogWriteError."""
    try:
        db.execute("BEGIN IMMEDIATE")
        try:
            yield
            db.execute("COMMIT")
        except BaseException:
            if db.in_transaction:
                # The first error is the one to tell.
                with suppress(sqlite3.Error):
                    db.execute("ROLLBACK")
            raise
    except (sqlite3.OperationalError, sqlite3.IntegrityError) as error:
        raise LogWriteError(folder, str(error)) from error
    except sqlite3.ProgrammingError:
        raise
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        raise LogCorrupt(f"{folder / FILE} is damaged ({error}): restore a copy") from error


def _try_to_write(folder: Path) -> None:
    with TemporaryFile(dir=folder) as trial:
        trial.write(b"handsfree")
        trial.flush()
        os.fsync(trial.fileno())


def _connect(file: Path) -> sqlite3.Connection:
    with translated(file):
        db = sqlite3.connect(file, timeout=_BUSY_SECONDS, isolation_level=None)
        try:
            check_version(db, file)
            db.execute("PRAGMA journal_mode = WAL")
            db.execute("PRAGMA synchronous = FULL")
            db.execute("PRAGMA fullfsync = ON")
            db.execute("PRAGMA foreign_keys = ON")
            if _version(db) == 0:
                db.executescript(
                    f"BEGIN IMMEDIATE; {_SCHEMA} PRAGMA application_id = {_APPLICATION};"
                    f"INSERT INTO versions VALUES ({SCHEMA_VERSION}, {NOW});"
                    f"PRAGMA user_version = {SCHEMA_VERSION}; COMMIT;"
                )
            elif _version(db) < SCHEMA_VERSION:
                migrate(db, file)
        except BaseException:
            db.close()
            raise
    return db


def _connect_to_read(file: Path) -> sqlite3.Connection:
    uri = f"{file.absolute().as_uri()}?mode=ro"
    db = sqlite3.connect(uri, uri=True, timeout=_BUSY_SECONDS, isolation_level=None)
    try:
        _version(db)
    except sqlite3.OperationalError:
        db.close()
        # A copy on a read-only disk, where the index of the write-ahead log can't be made: nobody writes it.
        wal = file.with_name(WAL)
        if wal.exists() and wal.stat().st_size:
            raise
        db = sqlite3.connect(f"{uri}&immutable=1", uri=True, isolation_level=None)
    except BaseException:
        db.close()
        raise
    return db


def _version(db: sqlite3.Connection) -> int:
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def check_version(db: sqlite3.Connection, file: Path) -> None:
    """LogCorrupt for the database of another program, or of a version that this one can't read."""
    version = _version(db)
    if version == 0 and db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0:
        return
    if db.execute("PRAGMA application_id").fetchone()[0] != _APPLICATION:
        raise LogCorrupt(f"{file} is the database of another program: choose another folder for the log")
    if version > SCHEMA_VERSION:
        raise LogCorrupt(
            f"{file} was written by a newer Handsfree (version {version} of the log, this one knows "
            f"{SCHEMA_VERSION}): install the newer Handsfree"
        )
    if version < OLDEST_VERSION:
        raise LogCorrupt(
            f"{file} was written by an early Handsfree (version {version} of the log, this one reads from version "
            f"{OLDEST_VERSION} on): read it with the Handsfree that wrote it, or choose another folder for the log"
        )
