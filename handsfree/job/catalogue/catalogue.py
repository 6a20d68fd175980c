"""The catalogue: what lists, looking back and search need of the log, in a file of its own beside it.

It is no part of the log and never the truth. It says up to which event it goes, and proves by that event's text that it
belongs to this very log; so whatever happened (a kill between the log and the catalogue, a backup put in its place, a
job brought in or taken out by hand), it is brought up to the log, or made anew from it, before anybody is answered.
Where it can't be written, the same is done in memory.
"""

from __future__ import annotations

import hashlib
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import TypeVar

from filelock import FileLock, Timeout

from handsfree.job.catalogue import summaries, text_index
from handsfree.job.log.database import LOCKS, ledger_of, open_to_read, refuse_if_missing
from handsfree.job.state import JobState

_NAME = re.compile(r"catalogue-(\d{1,9})\.db")
_LOCK = "catalogue.lock"
_VERSION = 4
_SCHEMA = (
    "CREATE TABLE upto (number INTEGER NOT NULL, mark TEXT NOT NULL, jobs INTEGER NOT NULL)",
    *summaries.SUMMARIES_SCHEMA,
    *text_index.TEXT_SCHEMA,
)
_TABLES = {"upto", "summaries", "texts", "measured"}
_BUSY_SECONDS = 10.0
_BUSY_AT_THE_BENCH = 0.1
_KINDS = ", ".join(f"'{kind}'" for kind in text_index.READ)

T = TypeVar("T")


class _Unusable(Exception):
    """The file is no catalogue of this version."""


def consult(folder: Path, act: Callable[[sqlite3.Connection], list[T]]) -> list[T]:
    """What ``act`` finds in the catalogue once that fits the log; nothing where there is no log.

    LogFolderError and LogCorrupt where the log itself can't be read.
    """
    known = ledger_of(folder)
    with open_to_read(folder) as log:
        if log is None:
            return []
        refuse_if_missing(log, folder, known)
        for opened in (_on_disk, _made_anew, _copied, _empty):
            try:
                with closing(opened(folder)) as catalogue:
                    catch_up(catalogue, log)
                    return act(catalogue)
            except (_Unusable, OSError, Timeout):
                continue
            except sqlite3.Error:
                if opened is _empty:
                    raise
        raise AssertionError("a catalogue in memory was neither consulted nor refused")


def jobs_of_catalogue(folder: Path) -> set[str]:
    """The jobs that the catalogue in the folder names, if there is one that can be read; of no log need they be."""
    found: set[str] = set()
    with suppress(_Unusable, OSError, sqlite3.Error), closing(_copied(folder)) as catalogue:
        found |= {str(job) for (job,) in catalogue.execute("SELECT job FROM summaries")}
    return found


class Keeper:
    """Keeps the catalogue while a job is written. Whatever goes wrong with it is no concern of the job's."""

    def __init__(self, folder: Path, log: sqlite3.Connection) -> None:
        self._log = log
        self._catalogue: sqlite3.Connection | None = None
        for opened in (_on_disk, _made_anew):
            with suppress(_Unusable, OSError, Timeout, sqlite3.Error):
                self._catalogue = opened(folder)
                # Another's long writing is not waited for: who asks next brings the catalogue up to the log.
                self._catalogue.execute(f"PRAGMA busy_timeout = {1000 * _BUSY_AT_THE_BENCH:.0f}")
                catch_up(self._catalogue, log)
                return
            self.close()

    def add(self, row: tuple[int, str, int, str, str, str], state: JobState) -> None:
        """Take in an event that is on disk (as for ``text_index.add``); ``state`` is the fold of its job with it."""
        if self._catalogue is None:
            return
        with suppress(sqlite3.Error):
            with _written(self._catalogue):
                known = _upto(self._catalogue)
                follows = known is not None and known[0] == row[0] - 1
                if follows and known is not None:
                    if row[4] in text_index.READ:
                        text_index.add(self._catalogue, row, text_index.indexed(self._catalogue))
                    summaries.keep(self._catalogue, self._log, row[1], state)
                    _note(self._catalogue, row[0], _mark(row[1], row[2], row[5]), known[2])
            if not follows:
                catch_up(self._catalogue, self._log)

    def close(self) -> None:
        """Let the file go; closing twice does nothing."""
        if self._catalogue is not None:
            self._catalogue.close()
            self._catalogue = None


def catch_up(catalogue: sqlite3.Connection, log: sqlite3.Connection) -> None:
    """Bring the catalogue up to the log, from nothing where it does not belong to it; sqlite3.Error."""
    with _one_moment(log):
        if _upto(catalogue) == _newest(log):
            return
        with _written(catalogue):
            known = _upto(catalogue)
            if known is None or not _belongs(known, log):
                _clear(catalogue)
                known = (0, "", 0)
            _add_since(catalogue, log, known[0])
            number, mark, jobs = _newest(log)
            if catalogue.execute("SELECT count(*) FROM summaries").fetchone()[0] != jobs:
                _clear(catalogue)
                _add_since(catalogue, log, 0)
            _note(catalogue, number, mark, jobs)


@contextmanager
def _one_moment(log: sqlite3.Connection) -> Iterator[None]:
    """What is read of the log within is of one moment."""
    log.execute("BEGIN")
    try:
        yield
    finally:
        with suppress(sqlite3.Error):
            log.execute("ROLLBACK")


def _add_since(catalogue: sqlite3.Connection, log: sqlite3.Connection, number: int) -> None:
    index = text_index.indexed(catalogue)
    read = f"SELECT rowid, job, seq, at, kind, body FROM events WHERE rowid > ? AND +kind IN ({_KINDS}) ORDER BY rowid"
    for row in log.execute(read, (number,)):
        text_index.add(catalogue, row, index)
    jobs = [job for (job,) in log.execute("SELECT DISTINCT job FROM events WHERE rowid > ?", (number,))]
    listed = {job for (job,) in catalogue.execute("SELECT job FROM summaries")}
    jobs += [job for (job,) in log.execute("SELECT id FROM jobs") if job not in listed]
    for job in dict.fromkeys(jobs):
        summaries.keep(catalogue, log, job, summaries.state_of(log, job))


def _newest(log: sqlite3.Connection) -> tuple[int, str, int]:
    """The place of the log's newest event, its mark, and how many jobs there are."""
    (jobs,) = log.execute("SELECT count(*) FROM jobs").fetchone()
    row = log.execute("SELECT rowid, job, seq, body FROM events ORDER BY rowid DESC LIMIT 1").fetchone()
    return (int(row[0]), _mark(*row[1:]), int(jobs)) if row else (0, "", int(jobs))


def _belongs(known: tuple[int, str, int], log: sqlite3.Connection) -> bool:
    row = log.execute("SELECT job, seq, body FROM events WHERE rowid = ?", (known[0],)).fetchone()
    return row is not None and _mark(*row) == known[1]


def _mark(job: str, seq: int, body: str) -> str:
    return hashlib.sha256(f"{job} {seq}\n{body}".encode()).hexdigest()


def _upto(catalogue: sqlite3.Connection) -> tuple[int, str, int] | None:
    row = catalogue.execute("SELECT number, mark, jobs FROM upto").fetchone()
    return None if row is None else (int(row[0]), str(row[1]), int(row[2]))


def _note(catalogue: sqlite3.Connection, number: int, mark: str, jobs: int) -> None:
    catalogue.execute("DELETE FROM upto")
    catalogue.execute("INSERT INTO upto VALUES (?, ?, ?)", (number, mark, jobs))


def _clear(catalogue: sqlite3.Connection) -> None:
    if text_index.indexed(catalogue):
        catalogue.execute("INSERT INTO words (words) VALUES ('delete-all')")
    for table in _TABLES:
        catalogue.execute(f"DELETE FROM {table}")


@contextmanager
def _written(catalogue: sqlite3.Connection) -> Iterator[None]:
    catalogue.execute("BEGIN IMMEDIATE")
    try:
        yield
        catalogue.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            catalogue.execute("ROLLBACK")
        raise


def _file(folder: Path) -> Path:
    """The file in use: the one with the highest number. A name is never used again, so that whoever still has an older
    one open can do the newer no harm."""
    files = {int(match[1]): path for path in folder.glob("catalogue-*.db") if (match := _NAME.fullmatch(path.name))}
    return files[max(files)] if files else folder / "catalogue-1.db"


def _on_disk(folder: Path) -> sqlite3.Connection:
    file = _file(folder)
    if not file.exists():
        with FileLock(folder / LOCKS / _LOCK, timeout=_BUSY_SECONDS):
            if not file.exists():
                return _made(file)
    return _opened(file)


def _made(file: Path) -> sqlite3.Connection:
    catalogue = _connected(file)
    try:
        catalogue.execute("PRAGMA journal_mode = WAL")
        _make(catalogue)
    except BaseException:
        catalogue.close()
        raise
    return catalogue


def _opened(file: Path) -> sqlite3.Connection:
    catalogue = _connected(file)
    try:
        _check(catalogue)
    except BaseException:
        catalogue.close()
        raise
    return catalogue


def _connected(file: Path) -> sqlite3.Connection:
    catalogue = sqlite3.connect(file, timeout=_BUSY_SECONDS, isolation_level=None)
    # Whole after a loss of power, if behind; being behind does no harm.
    catalogue.execute("PRAGMA synchronous = NORMAL")
    return catalogue


def _make(catalogue: sqlite3.Connection) -> None:
    with _written(catalogue):
        for statement in _SCHEMA:
            catalogue.execute(statement)
        text_index.make_index(catalogue)
        catalogue.execute(f"PRAGMA user_version = {_VERSION}")


def _check(catalogue: sqlite3.Connection) -> None:
    tables = {name for (name,) in catalogue.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if catalogue.execute("PRAGMA user_version").fetchone()[0] != _VERSION or not tables >= _TABLES:
        raise _Unusable("it is unfinished or of another version")


def _made_anew(folder: Path) -> sqlite3.Connection:
    """A new file in place of one that can't be used; one that is sound, or was made by another meanwhile, stays."""
    with FileLock(folder / LOCKS / _LOCK, timeout=_BUSY_SECONDS):
        file = _file(folder)
        try:
            catalogue = _opened(file)
            if catalogue.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok":
                return catalogue
            catalogue.close()
        except sqlite3.OperationalError:
            raise
        except (_Unusable, sqlite3.DatabaseError):
            pass
        number = int(file.stem.rpartition("-")[2]) + 1
        made = _made(folder / f"catalogue-{number}.db")
        for ending in ("", "-wal", "-shm"):
            file.with_name(f"{file.name}{ending}").unlink(missing_ok=True)
        return made


def _copied(folder: Path) -> sqlite3.Connection:
    """A copy in memory of a file that can be read but not written."""
    file = _file(folder)
    wal = file.with_name(f"{file.name}-wal")
    still = "" if wal.exists() and wal.stat().st_size else "&immutable=1"
    catalogue = sqlite3.connect(":memory:", isolation_level=None)
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro{still}", uri=True)) as there:
            there.backup(catalogue)
        _check(catalogue)
    except BaseException:
        catalogue.close()
        raise
    return catalogue


def _empty(folder: Path) -> sqlite3.Connection:
    catalogue = sqlite3.connect(":memory:", isolation_level=None)
    _make(catalogue)
    return catalogue
