"""The whole log in one file, and back again.

The file is a ZIP archive: ``handsfree.db``, a copy of the database as it stood at one moment; ``personal.db``, what is
personal of its events; each sound clip under ``clips/``; and ``contents.json``, which names them all with their length
and SHA-256. What was written is read again before it counts as saved, and what is restored is compared before it is put
in its place.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import sqlite3
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import gettempdir
from typing import IO, Any

from filelock import Timeout

from handsfree.job.errors import LogCorrupt, LogError, LogFolderError, told_by_system
from handsfree.job.log.beside.attached import ATTACHMENTS
from handsfree.job.log.beside.ledger import LEDGER, Ledger
from handsfree.job.log.beside.ledger import complete as complete_ledger
from handsfree.job.log.beside.personal import PERSONAL_FILE, personal_database
from handsfree.job.log.beside.scratch import scratch_folder
from handsfree.job.log.clips import sync_folder
from handsfree.job.log.database import (
    FILE,
    WAL,
    check_version,
    ledger_of,
    open_to_read,
    refuse_if_missing,
    setting_up,
    translated,
)

CONTENTS = "contents.json"
FORMAT, VERSION = "handsfree backup", 2
_NAMES = re.compile(
    r"handsfree\.db|personal\.db|attachments/[0-9a-f]{2}/[0-9a-f]{64}|clips/[0-9a-f]{2}/[0-9a-f]{64}\.flac"
)
_CHUNK = 1 << 20
_FORGED = (OverflowError, AttributeError, NotImplementedError, RecursionError)
_MOST_CONTENTS = 256 << 20
_SCRATCH = ".handsfree-work-"


class BackupError(LogError):
    """The file can't be made, or is no whole backup."""


@dataclass(frozen=True)
class Saved:
    """What is in a backup."""

    jobs: int
    events: int
    clips: int
    bytes: int
    """Length of the file."""


class _Unwritten(Exception):
    """There is no room, or no permission, for what is being made."""


FilesDone = Callable[[str, int, int | None], None]
"""Is told what is being done, how many files of it are done, and of how many."""


def _nobody(what: str, done: int, of: int | None) -> None:
    pass


def save(folder: Path, target: Path, tell: FilesDone = _nobody) -> Saved:
    """Save the log of ``folder`` in the new file ``target``; LogError. Nothing is left behind where it fails. ``tell``
    is told how far it is."""
    if target.exists():
        raise _there_already(target)
    try:
        with scratch_folder(target.parent, _SCRATCH) as scratch:
            copy, part = scratch / FILE, scratch / "archive"
            _copy_database(folder, copy)
            files = [(FILE, copy)]
            if (folder / PERSONAL_FILE).is_file():
                with closing(sqlite3.connect(scratch / PERSONAL_FILE)) as to, personal_database(folder) as beside:
                    beside.backup(to)
                files.append((PERSONAL_FILE, scratch / PERSONAL_FILE))
            clips = folder / "clips"
            files += [(path.relative_to(folder).as_posix(), path) for path in sorted(clips.glob("??/*.flac"))]
            others = folder / ATTACHMENTS
            files += [(path.relative_to(folder).as_posix(), path) for path in sorted(others.glob("??/*"))]
            _write(part, [(name, path) for name, path in files if _NAMES.fullmatch(name)], tell)
            copy.unlink()
            saved = _proved(part, scratch, target, tell)
            _put(part, target)
        sync_folder(target.parent)
        return saved
    except (OSError, _Unwritten) as error:
        raise BackupError(f"{target} can't be written ({told_by_system(error)}); choose another place") from error


def _there_already(target: Path) -> BackupError:
    return BackupError(f"{target} is there already; choose another name or move it away")


def _put(part: Path, target: Path) -> None:
    """Give a finished file its name, which may have been taken meanwhile."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise _there_already(target) from None
    except OSError:  # a disk that knows no links
        if target.exists():
            raise _there_already(target) from None
        part.replace(target)


def _copy_database(folder: Path, copy: Path) -> None:
    known = ledger_of(folder)
    with open_to_read(folder) as db:
        if db is None:
            raise BackupError(f"there is no log in {folder} to be saved")
        refuse_if_missing(db, folder, known)
        with closing(sqlite3.connect(copy)) as to, translated(folder / FILE):
            try:
                db.backup(to)
                # A database that is one file, whoever opens it.
                to.execute("PRAGMA journal_mode = DELETE")
            except sqlite3.OperationalError as error:
                if "full" in str(error):
                    raise _Unwritten("No space left") from error
                raise


def _write(part: Path, files: list[tuple[str, Path]], tell: FilesDone) -> None:
    contents: dict[str, Any] = {"format": FORMAT, "version": VERSION, "files": {}}
    with zipfile.ZipFile(part, "w") as archive:
        for number, (name, path) in enumerate(files, 1):
            # Sound is compressed already.
            how = zipfile.ZIP_STORED if name.endswith(".flac") else zipfile.ZIP_DEFLATED
            info = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
            info.compress_type = how
            with path.open("rb") as source, archive.open(info, "w") as to:
                sha, length = _copied(source, to)
            contents["files"][name] = {"bytes": length, "sha256": sha}
            tell("saving", number, len(files))
        archive.writestr(CONTENTS, json.dumps(contents, indent=1))
    with part.open("rb+") as file:
        os.fsync(file.fileno())


def _copied(source: IO[bytes], to: IO[bytes] | None, most: int | None = None) -> tuple[str, int]:
    """SHA-256 and length of what is read, which is copied where ``to`` is given; not far beyond ``most`` bytes."""
    sha, length = hashlib.sha256(), 0
    while chunk := source.read(_CHUNK):
        sha.update(chunk)
        length += len(chunk)
        if most is not None and length > most:
            break
        if to is not None:
            try:
                to.write(chunk)
                to.flush()
            except OSError as error:
                raise _Unwritten(told_by_system(error)) from error
    return sha.hexdigest(), length


def prove(file: Path) -> Saved:
    """Read a backup from beginning to end; BackupError where it is not whole."""
    with scratch_folder(Path(gettempdir()), _SCRATCH) as scratch:
        try:
            return _proved(file, scratch, file)
        except _Unwritten as error:
            raise BackupError(f"{file} can't be looked at ({error}): make room in {gettempdir()}") from error


def _proved(file: Path, scratch: Path, named: Path, tell: FilesDone = _nobody) -> Saved:
    """The same with a place for what has to be unpacked; ``named`` is the file as it is told of. _Unwritten."""
    with _opened(file, named) as (archive, contents):
        copies = {FILE: scratch / "proved.db", PERSONAL_FILE: scratch / "proved-personal.db"}
        for number, (name, known) in enumerate(contents.items(), 1):
            with archive.open(name) as source:
                if name in copies:
                    with copies[name].open("wb") as to:
                        found = _copied(source, to, known[1])
                else:
                    found = _copied(source, None, known[1])
            if found != known:
                raise BackupError(f"{named}: {name} is not what was saved; take another backup")
            tell("reading again", number, len(contents))
        jobs, events = _counts(copies[FILE], named, ("jobs", "events"))
        if PERSONAL_FILE in contents:
            _counts(copies[PERSONAL_FILE], named, ("kept",))
        clips = sum(name.startswith("clips/") for name in contents)
        return Saved(jobs, events, clips, file.stat().st_size)


@contextmanager
def _opened(file: Path, named: Path) -> Iterator[tuple[zipfile.ZipFile, dict[str, tuple[str, int]]]]:
    try:
        with zipfile.ZipFile(file) as archive:
            yield archive, _contents(archive, named)
    except FileNotFoundError:
        raise BackupError(f"there is no file {named}; name one that handsfree backup made") from None
    except OSError as error:
        raise BackupError(f"{named} can't be read ({told_by_system(error)})") from error
    except (
        zipfile.BadZipFile,
        EOFError,
        ValueError,
        KeyError,
        TypeError,
        RuntimeError,
        zlib.error,
        OverflowError,
        AttributeError,
        NotImplementedError,
    ) as error:
        raise BackupError(f"{named} is no whole backup ({error}); take another one") from error


def _contents(archive: zipfile.ZipFile, file: Path) -> dict[str, tuple[str, int]]:
    if archive.getinfo(CONTENTS).file_size > _MOST_CONTENTS:
        raise BackupError(f"{file} has a list of its contents that is longer than any; take another backup")
    contents = json.loads(archive.read(CONTENTS))
    if contents["format"] != FORMAT:
        raise BackupError(f"{file} is no backup of Handsfree")
    if contents["version"] > VERSION:
        raise BackupError(f"{file} was made by a newer Handsfree; install that one")
    files = {name: (str(known["sha256"]), int(known["bytes"])) for name, known in contents["files"].items()}
    if FILE not in files or not all(_NAMES.fullmatch(name) for name in files):
        raise BackupError(f"{file} names files that belong to no log")
    if any(archive.getinfo(name).file_size != length for name, (_, length) in files.items()):
        raise BackupError(f"{file} holds files of other lengths than it says; take another backup")
    return files


def _counts(copy: Path, file: Path, tables: tuple[str, ...]) -> tuple[int, ...]:
    """How many rows these tables have in a database that belongs to a log, and that SQLite itself finds whole."""
    with closing(sqlite3.connect(f"{copy.absolute().as_uri()}?mode=ro", uri=True)) as db:
        try:
            # What is asked of a view could go on for ever.
            kinds = dict(db.execute("SELECT name, type FROM sqlite_master WHERE type IN ('table', 'view')"))
            if {*map(kinds.get, tables), *kinds.values()} != {"table"}:
                raise BackupError(f"{file}: the database in it is no log of Handsfree")
            (whole,) = db.execute("PRAGMA integrity_check(1)").fetchone()
            if whole != "ok":
                raise BackupError(f"{file}: the log in it is damaged ({whole}); take another backup")
            counts = tuple(int(db.execute(f"SELECT count(*) FROM {table}").fetchone()[0]) for table in tables)
            if "events" in tables:
                check_version(db, file)
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            raise BackupError(f"{file}: the log in it is damaged ({error}); take another backup") from error
        except LogCorrupt as error:
            raise BackupError(str(error)) from error
    return counts


def restore(file: Path, folder: Path, tell: FilesDone = _nobody) -> Saved:
    """Bring a backup back into ``folder``, which must hold no log; LogError. All of it is there, or nothing. ``tell``
    is told how far it is.

    Nobody else can begin a log in the folder meanwhile: the lock is the one that setting up a log takes.
    """
    if folder.exists() and not folder.is_dir():
        raise LogFolderError(folder, "it is not a folder")
    _must_be_free(folder)
    try:
        above = next(place for place in folder.absolute().parents if place.is_dir())
        with scratch_folder(above, _SCRATCH) as scratch:
            saved = _proved(file, scratch, file, tell)
        with setting_up(folder), scratch_folder(folder, ".restoring-") as scratch:
            _must_be_free(folder)
            _bring_back(file, scratch, folder, tell)
            # The database last: a folder without it holds no log. A name that is taken by now is an error.
            for name in ("clips", ATTACHMENTS, PERSONAL_FILE, FILE):
                if (scratch / name).exists():
                    (scratch / name).rename(folder / name)
            sync_folder(folder)
            with open_to_read(folder) as db:
                if db is not None:
                    complete_ledger(folder, db, Ledger())
    except Timeout:
        raise LogFolderError(folder, "another Handsfree is setting up a log here") from None
    except (OSError, _Unwritten) as error:
        raise LogFolderError(folder, told_by_system(error)) from error
    return saved


def _must_be_free(folder: Path) -> None:
    if any((folder / name).exists() for name in (FILE, WAL, LEDGER, PERSONAL_FILE, ATTACHMENTS, "clips")):
        raise BackupError(f"{folder} holds a log already; move it away or choose another folder with --logs")


def _new(path: Path) -> IO[bytes]:
    """A file to be written that its owner alone can read."""
    return os.fdopen(os.open(path, os.O_CREAT | os.O_WRONLY | os.O_EXCL, 0o600), "wb")


def _bring_back(file: Path, scratch: Path, folder: Path, tell: FilesDone) -> None:
    """Unpack a backup into ``scratch``, onto the disk, and read again what stands there; LogCorrupt."""
    with _opened(file, file) as (archive, contents):
        for number, (name, known) in enumerate(contents.items(), 1):
            path = scratch / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with archive.open(name) as source, _new(path) as to:
                _copied(source, to, known[1])
                to.flush()
                os.fsync(to.fileno())
            with path.open("rb") as arrived:
                if _copied(arrived, None) != known:
                    raise LogCorrupt(f"{folder}: {name} did not arrive as it was saved; look after the disk")
            tell("bringing back", number, len(contents))
        for place in {(scratch / name).parent for name in contents}:
            sync_folder(place)
