"""The catalogue: what lists, looking back and search need of the log, in a file of its own beside it.

It is no part of the log and never the truth. It says up to which event it goes, and proves by that event's text that it
belongs to this very log; so whatever happened (a kill, a backup put in the log's place, a job brought in or taken out
by hand), it is brought up to the log, or made anew from it, before anybody is answered. Beside it stands a checksum of
the whole file: where that does not fit, by a flipped bit or a kill in the middle of writing, it is made anew as well.
Where it can't be written, the same is done in memory.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import zlib
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext, suppress
from pathlib import Path
from typing import TypeVar

from filelock import FileLock, Timeout

from handsfree.job.catalogue import summaries, text_index
from handsfree.job.errors import LogCorrupt
from handsfree.job.log.database import LOCKS, ledger_of, open_to_read, refuse_if_missing

CATALOGUE = "catalogue.db"
SEAL = "catalogue.sum"
"""The checksum of the catalogue; it is taken away while that is written."""
_LOCK = "catalogue.lock"
_VERSION = 9
_SCHEMA = (
    "CREATE TABLE upto (number INTEGER NOT NULL, mark TEXT NOT NULL, jobs INTEGER NOT NULL)",
    *summaries.SUMMARIES_SCHEMA,
    *text_index.TEXT_SCHEMA,
)
_TABLES = {"upto", "summaries", "texts", "measured"}
_BUSY_SECONDS = 10.0
_KINDS = ", ".join(f"'{kind}'" for kind in text_index.READ)

MANY_JOBS = 300
"""Of fewer jobs nobody is told how far the catalogue is: they take a second or two."""

T = TypeVar("T")

JobsDone = Callable[[str, int, int | None], None]
"""Is told what is being done, with how many jobs, and of how many."""
Watch = Callable[[], AbstractContextManager[JobsDone]]
"""Whoever wants to be told while the catalogue is being made."""


def _nobody(what: str, done: int, of: int | None) -> None:
    pass


def unwatched() -> AbstractContextManager[JobsDone]:
    """Nobody is told."""
    return nullcontext(_nobody)


class _Unusable(Exception):
    """The file is no whole catalogue of this version."""


_WRONG = (_Unusable, OSError, Timeout, sqlite3.Error, ValueError, TypeError, KeyError, AttributeError)
"""What a catalogue can answer with that is not as it was written, or can't be."""


def consult(folder: Path, act: Callable[[sqlite3.Connection], list[T]], watch: Watch = unwatched) -> list[T]:
    """What ``act`` finds in the catalogue once that fits the log; nothing where there is no log. ``watch`` is told how
    far it is where many jobs are to be added.

    LogFolderError and LogCorrupt where the log itself can't be read.
    """
    known = ledger_of(folder)
    with open_to_read(folder) as log:
        if log is None:
            return []
        refuse_if_missing(log, folder, known)
        for opened in (_on_disk, _made_anew, _copied):
            with suppress(*_WRONG), opened(folder, log, watch) as catalogue:
                return act(catalogue)
        try:
            with closing(_empty()) as catalogue:
                catch_up(catalogue, log, watch)
                return act(catalogue)
        except (ValueError, TypeError, KeyError, AttributeError) as error:
            raise LogCorrupt(
                f"the log in {folder} has something in its list of jobs that can't be read ({error}): handsfree verify "
                "says of which job, handsfree rescue saves what can be read"
            ) from error


def jobs_of_catalogue(folder: Path) -> set[str]:
    """The jobs that the catalogue in the folder names, if there is one that can be read; of no log need they be."""
    found: set[str] = set()
    with suppress(*_WRONG), _in_memory(folder) as catalogue:
        found |= {str(job) for (job,) in catalogue.execute("SELECT job FROM summaries")}
    return found


def fits(catalogue: sqlite3.Connection, log: sqlite3.Connection) -> bool:
    """Whether the catalogue goes up to the log's newest event."""
    with _one_moment(log):
        return _upto(catalogue) == _newest(log)


def catch_up(catalogue: sqlite3.Connection, log: sqlite3.Connection, watch: Watch = unwatched) -> None:
    """Bring the catalogue up to the log, from nothing where it does not belong to it; sqlite3.Error."""
    with _one_moment(log):
        if _upto(catalogue) == _newest(log):
            return
        with _written(catalogue):
            known, since = _upto(catalogue), 0
            if known is not None and _belongs(known, log):
                since = known[0]
            else:
                _clear(catalogue)
            _add_since(catalogue, log, since, watch)
            number, mark, jobs = _newest(log)
            if catalogue.execute("SELECT count(*) FROM summaries").fetchone()[0] != jobs:
                _clear(catalogue)
                _add_since(catalogue, log, 0, watch)
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


def _add_since(catalogue: sqlite3.Connection, log: sqlite3.Connection, number: int, watch: Watch) -> None:
    jobs = [job for (job,) in log.execute("SELECT DISTINCT job FROM events WHERE rowid > ?", (number,))]
    listed = {job for (job,) in catalogue.execute("SELECT job FROM summaries")}
    jobs += [job for (job,) in log.execute("SELECT id FROM jobs") if job not in listed]
    jobs = list(dict.fromkeys(jobs))
    with watch() if len(jobs) >= MANY_JOBS else unwatched() as tell:
        _add_texts(catalogue, log, number, lambda done: tell("indexing words", done, len(jobs)))
        for done, job in enumerate(jobs, 1):
            summaries.keep(catalogue, log, job, summaries.state_of(log, job))
            tell("listing", done, len(jobs))


def _add_texts(
    catalogue: sqlite3.Connection, log: sqlite3.Connection, number: int, tell: Callable[[int], None]
) -> None:
    index = text_index.indexed(catalogue)
    read = f"SELECT rowid, job, seq, at, kind, body FROM events WHERE rowid > ? AND +kind IN ({_KINDS}) ORDER BY rowid"
    come_by: set[str] = set()
    tell(0)
    for row in log.execute(read, (number,)):
        text_index.add(catalogue, row, index)
        if row[1] not in come_by:
            come_by.add(row[1])
            tell(len(come_by))


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


@contextmanager
def _on_disk(folder: Path, log: sqlite3.Connection, watch: Watch) -> Iterator[sqlite3.Connection]:
    """The file, brought up to the log; made where there is none."""
    with _locked(folder):
        file = folder / CATALOGUE
        if not file.exists():
            _clear_away(folder)
            with _connected(file) as made:
                _make(made)
        elif not _is_sealed(folder):
            raise _Unusable("it is not what was written")
        with _connected(file) as catalogue:
            _check(catalogue)
            if not fits(catalogue, log):
                (folder / SEAL).unlink(missing_ok=True)
                catch_up(catalogue, log, watch)
        # What was written is in the file now that it is closed.
        if not (folder / SEAL).exists():
            _seal(folder)
        with _connected(file) as catalogue:
            yield catalogue


@contextmanager
def _made_anew(folder: Path, log: sqlite3.Connection, watch: Watch) -> Iterator[sqlite3.Connection]:
    """A new file in place of one that can't be used."""
    with _locked(folder):
        _clear_away(folder)
    with _on_disk(folder, log, watch) as catalogue:
        yield catalogue


def _clear_away(folder: Path) -> None:
    """Take away the catalogue, and those that earlier versions have left."""
    for old in folder.glob("catalogue*"):
        if old.name.startswith(("catalogue-", "catalogue.")):
            old.unlink()


def _locked(folder: Path) -> FileLock:
    return FileLock(folder / LOCKS / _LOCK, timeout=_BUSY_SECONDS)


def _sum(folder: Path) -> bytes:
    content = (folder / CATALOGUE).read_bytes()
    return f"{len(content)} {zlib.crc32(content):08x}\n".encode()


def _is_sealed(folder: Path) -> bool:
    try:
        return (folder / SEAL).read_bytes() == _sum(folder)
    except OSError:
        return False


def _seal(folder: Path) -> None:
    (folder / SEAL).write_bytes(_sum(folder))


@contextmanager
def _connected(file: Path) -> Iterator[sqlite3.Connection]:
    # Its owner alone can read it.
    os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))
    with closing(sqlite3.connect(file, timeout=_BUSY_SECONDS, isolation_level=None)) as catalogue:
        # What is not whole after a loss of power does not fit its checksum.
        catalogue.execute("PRAGMA synchronous = OFF")
        yield catalogue


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


@contextmanager
def _copied(folder: Path, log: sqlite3.Connection, watch: Watch) -> Iterator[sqlite3.Connection]:
    """A copy in memory of a file that can be read but not written, brought up to the log."""
    if not _is_sealed(folder):
        raise _Unusable("it is not what was written")
    with _in_memory(folder) as catalogue:
        catch_up(catalogue, log, watch)
        yield catalogue


@contextmanager
def _in_memory(folder: Path) -> Iterator[sqlite3.Connection]:
    uri = f"{(folder / CATALOGUE).absolute().as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as catalogue:
        with closing(sqlite3.connect(uri, uri=True)) as there:
            there.backup(catalogue)
        _check(catalogue)
        yield catalogue


def _empty() -> sqlite3.Connection:
    catalogue = sqlite3.connect(":memory:", isolation_level=None)
    _make(catalogue)
    return catalogue
