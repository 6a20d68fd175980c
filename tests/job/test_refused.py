"""Where the disk refuses, or holds something else than was written: one sentence that says what and where, and nothing
half-done."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handsfree.job.errors import LogCorrupt, LogError, LogFolderError, LogWriteError
from handsfree.job.events import FactNoted, NoteKept, StepDone
from handsfree.job.log import backup, clips, database
from handsfree.job.log.backup import BackupError
from handsfree.job.log.beside import personal
from handsfree.job.log.beside.attached import attached_path, delete_file, keep_file
from handsfree.job.log.beside.ledger import LEDGER, LedgerLine
from handsfree.job.log.clips import clip_path, keep_clip, read_clip
from handsfree.job.log.database import open_to_read, open_to_write, transaction, translated
from handsfree.job.log.forget import drop_held, forget, forget_owner
from handsfree.job.log.rescue import rescue
from handsfree.job.log.store import Store
from handsfree.job.log.verify import file_faults, verify
from tests.support.jobs import AT, fill, opened


def refusing(error: int) -> Callable[..., Any]:
    """In place of something that the system does: it fails."""

    def refuse(*_: Any, **__: Any) -> Any:
        raise OSError(error, os.strerror(error))

    return refuse


@pytest.fixture
def saved(store: Store, tmp_path: Path) -> Path:
    """A backup of a job with a sound and what is personal."""
    with store.open_job(opened(owner="Mill Lane"), steps=1) as log:
        log.append(NoteKept(at=AT, id="n1", text="worn", seconds=0.2, clip=log.keep_clip(np.linspace(-0.5, 0.5, 3200))))
    backup.save(store.folder, tmp_path / "log.zip")
    return tmp_path / "log.zip"


# A backup.
def test_on_a_disk_without_links_a_backup_gets_its_name_all_the_same(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(store, "kept")
    monkeypatch.setattr(os, "link", refusing(errno.EPERM))
    backup.save(store.folder, tmp_path / "log.zip")
    assert backup.prove(tmp_path / "log.zip").jobs == 1


@pytest.mark.parametrize("links", [True, False])
def test_a_name_that_is_taken_while_a_backup_is_made_stays_what_it_is(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    fill(store, "kept")
    target = tmp_path / "log.zip"
    if not links:
        monkeypatch.setattr(os, "link", refusing(errno.EPERM))
    with pytest.raises(BackupError) as refused:
        backup.save(store.folder, target, lambda *_: None if target.exists() else target.write_text("mine") and None)
    assert str(refused.value) == f"{target} is there already; choose another name or move it away"
    assert target.read_text() == "mine"


class _Database:
    """A database that can be read, but not copied."""

    def __init__(self, db: sqlite3.Connection, error: str) -> None:
        self._db, self._error = db, error

    def __getattr__(self, name: str) -> Any:
        return getattr(self._db, name)

    def backup(self, _: sqlite3.Connection) -> None:
        raise sqlite3.OperationalError(self._error)


@pytest.mark.parametrize(
    ("error", "kind", "told"),
    [
        ("database or disk is full", BackupError, "log.zip can't be written (No space left); choose another place"),
        ("database is locked", LogFolderError, "handsfree.db: database is locked"),
    ],
)
def test_a_database_that_cannot_be_copied_is_told_by_what_is_at_fault(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: str, kind: type[LogError], told: str
) -> None:
    fill(store, "kept")

    @contextmanager
    def opened_to_read(folder: Path) -> Iterator[_Database]:
        with open_to_read(folder) as db:
            assert db is not None
            yield _Database(db, error)

    monkeypatch.setattr(backup, "open_to_read", opened_to_read)
    with pytest.raises(kind) as refused:
        backup.save(store.folder, tmp_path / "log.zip")
    assert told in str(refused.value)
    assert not (tmp_path / "log.zip").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no disk here that is always full")
def test_where_there_is_no_room_to_look_at_a_backup_it_is_told_where(
    saved: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    @contextmanager
    def full(parent: Path, _: str) -> Iterator[Path]:
        (parent / "proved.db").symlink_to("/dev/full")
        yield parent

    monkeypatch.setattr(backup, "scratch_folder", full)
    monkeypatch.setattr(backup, "gettempdir", lambda: str(tmp_path))
    with pytest.raises(BackupError) as refused:
        backup.prove(saved)
    assert str(refused.value) == f"{saved} can't be looked at (No space left on device): make room in {tmp_path}"


def _told_otherwise(saved: Path, change: Callable[[dict[str, Any]], object], log: bytes | None = None) -> Path:
    """The same archive with another list of contents, or with another database."""
    other = saved.with_name("other.zip")
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(other, "w") as new:
        held = {name: old.read(name) for name in old.namelist()}
        contents = json.loads(held["contents.json"])
        change(contents["files"])
        held |= {"contents.json": json.dumps(contents).encode(), "handsfree.db": log or held["handsfree.db"]}
        for name, content in held.items():
            new.writestr(name, content)
    return other


def _other_sum(files: dict[str, Any]) -> None:
    files["handsfree.db"]["sha256"] = "0" * 64


def _other_length(files: dict[str, Any]) -> None:
    files["handsfree.db"]["bytes"] += 1


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (_other_sum, "handsfree.db is not what was saved; take another backup"),
        (_other_length, "holds files of other lengths than it says; take another backup"),
        (lambda files: files.pop("handsfree.db"), "names files that belong to no log"),
    ],
)
def test_an_archive_that_does_not_hold_what_it_says_is_refused(
    saved: Path, change: Callable[[dict[str, Any]], object], told: str
) -> None:
    with pytest.raises(BackupError, match=told):
        backup.prove(_told_otherwise(saved, change))


def test_an_archive_whose_list_of_contents_is_endless_is_not_read(saved: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with zipfile.ZipFile(saved) as archive:
        length = archive.getinfo("contents.json").file_size
    monkeypatch.setattr(backup, "_MOST_CONTENTS", length)
    assert backup.prove(saved).jobs == 1
    monkeypatch.setattr(backup, "_MOST_CONTENTS", length - 1)
    with pytest.raises(BackupError, match="has a list of its contents that is longer than any"):
        backup.prove(saved)


def test_a_folder_is_no_backup(tmp_path: Path) -> None:
    with pytest.raises(BackupError, match=r"can't be read \(Is a directory\)"):
        backup.prove(tmp_path)


def test_a_backup_of_a_newer_log_is_refused_by_its_version(saved: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(saved) as archive:
        copy = Path(archive.extract("handsfree.db", tmp_path))
    with sqlite3.connect(copy) as db:
        db.execute(f"PRAGMA user_version = {database.SCHEMA_VERSION + 1}")
    log = copy.read_bytes()

    known = {"bytes": len(log), "sha256": hashlib.sha256(log).hexdigest()}
    other = _told_otherwise(saved, lambda files: files.update({"handsfree.db": known}), log)
    with pytest.raises(BackupError, match="was written by a newer Handsfree"):
        backup.prove(other)


@pytest.mark.parametrize(
    "name", ["handsfree.db", "handsfree.db-wal", "ledger.txt", "personal.db", "attachments", "clips"]
)
def test_a_folder_with_anything_of_a_log_is_not_restored_into(saved: Path, tmp_path: Path, name: str) -> None:
    folder = tmp_path / "again"
    folder.mkdir()
    (folder / name).touch()
    with pytest.raises(BackupError, match=r"holds a log already; move it away or choose another folder with --logs"):
        backup.restore(saved, folder)
    # Whatever the file is: it is not even looked at.
    with pytest.raises(BackupError, match="holds a log already"):
        backup.restore(saved.with_name("none.zip"), folder)
    assert [path.name for path in folder.iterdir()] == [name]


def test_a_log_that_comes_to_be_while_a_backup_is_looked_at_is_left_alone(saved: Path, tmp_path: Path) -> None:
    other = Store(tmp_path / "again")

    def meanwhile(what: str, done: int, of: int | None) -> None:
        if what == "reading again" and done == of:
            fill(other, "mine")

    with pytest.raises(BackupError, match="holds a log already"):
        backup.restore(saved, other.folder, meanwhile)
    assert [job.serial for job in other.jobs()] == ["1"]


def test_what_does_not_arrive_as_it_was_saved_is_told_and_nothing_is_left(
    saved: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copied = backup._copied

    def other(source: Any, to: Any, most: int | None = None) -> tuple[str, int]:
        sha, length = copied(source, to, most)
        # What is read again has no limit, for it is no stranger's.
        return (sha, length) if most is not None else ("0" * 64, length)

    monkeypatch.setattr(backup, "_copied", other)
    with pytest.raises(LogCorrupt, match=r"again: \S+ did not arrive as it was saved; look after the disk"):
        backup.restore(saved, tmp_path / "again")
    assert [path.name for path in (tmp_path / "again").iterdir()] == ["locks"]


def test_a_folder_that_another_program_is_setting_up_is_not_restored_into(
    saved: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "_BUSY_SECONDS", 0.01)
    with database.setting_up(tmp_path / "again"), pytest.raises(LogFolderError, match="is setting up a log here"):
        backup.restore(saved, tmp_path / "again")


def test_what_is_saved_and_brought_back_is_counted_as_it_is_done(saved: Path, store: Store, tmp_path: Path) -> None:
    told: list[tuple[str, int, int | None]] = []
    backup.save(store.folder, tmp_path / "second.zip", lambda *done: told.append(done))
    # The database, what is personal, the sound.
    steps = [(1, 3), (2, 3), (3, 3)]
    assert told == [*(("saving", *step) for step in steps), *(("reading again", *step) for step in steps)]
    told.clear()
    backup.restore(saved, tmp_path / "again", lambda *done: told.append(done))
    assert told == [*(("reading again", *step) for step in steps), *(("bringing back", *step) for step in steps)]


# A rescue.
def test_a_rescue_tells_how_many_jobs_are_saved(store: Store, tmp_path: Path) -> None:
    fill(store, "one")
    fill(store, "two", days=1)
    told: list[tuple[int, int]] = []
    rescue(store.folder, tmp_path / "saved", AT, lambda *done: told.append(done))
    assert told == [(0, 2), (1, 2), (2, 2)]


@pytest.mark.parametrize("name", [LEDGER, "personal.db"])
def test_a_rescue_that_cannot_read_a_file_at_all_says_so(store: Store, tmp_path: Path, name: str) -> None:
    fill(store, "one")
    (store.folder / name).unlink(missing_ok=True)
    (store.folder / name).mkdir()
    with pytest.raises(LogFolderError, match="Is a directory"):
        rescue(store.folder, tmp_path / "saved", AT)


def test_jobs_that_only_the_catalogue_knows_are_told_as_lost(store: Store, tmp_path: Path) -> None:
    first, second = fill(store, "one"), fill(store, "two", days=1)
    assert len(store.jobs()) == 2
    # Another log of which one job is the same, and nothing else that names the second.
    other = Store(tmp_path / "other")
    assert fill(other, "one") == first
    (other.folder / "catalogue.db").write_bytes((store.folder / "catalogue.db").read_bytes())
    (lost,) = rescue(other.folder, tmp_path / "saved", AT).lost
    assert (lost.job, lost.events) == (second, None)


# Attached files, sounds, what is personal.
def test_a_file_that_cannot_be_deleted_is_told(tmp_path: Path) -> None:
    attached_path(tmp_path, "ab" * 32).mkdir(parents=True)
    with pytest.raises(LogWriteError, match=r"Is a directory|Operation not permitted"):
        delete_file(tmp_path, "ab" * 32)


def test_a_file_that_is_kept_already_is_not_written_again(tmp_path: Path) -> None:
    path = attached_path(tmp_path, keep_file(tmp_path, b"photo"))
    before = path.stat()
    assert keep_file(tmp_path, b"photo") == path.name
    assert (path.stat().st_ino, path.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_sound_that_is_kept_already_is_not_written_again(tmp_path: Path) -> None:
    expected: list[str] = []
    path = clip_path(tmp_path, keep_clip(tmp_path, np.full(16, 0.5), expected.append))
    before = path.stat()
    assert keep_clip(tmp_path, np.full(16, 0.5), expected.append) == path.stem
    assert (path.stat().st_ino, path.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert expected == [path.stem]


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_sound_for_which_there_is_no_room_is_told_and_nothing_stays_of_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def full(*_: Any) -> Any:
        monkeypatch.undo()
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    # The folders are flushed first, and are there already.
    keep_clip(tmp_path, np.full(16, 0.5))
    sha = hashlib.sha256(np.full(16, 0x2000, "<i2").tobytes()).hexdigest()
    clip_path(tmp_path, sha).parent.mkdir(parents=True)
    there = sorted(tmp_path.rglob("*"))
    monkeypatch.setattr(*((os, "fsync", full) if step == "fsync" else (Path, "replace", full)))
    with pytest.raises(LogWriteError, match="No space left on device"):
        keep_clip(tmp_path, np.full(16, 0.25))
    assert sorted(tmp_path.rglob("*")) == there


def test_why_a_sound_could_not_be_kept_is_told_even_where_its_half_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(path: Path, target: Path) -> None:
        path.unlink()
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(Path, "replace", gone)
    with pytest.raises(LogWriteError, match="Input/output error"):
        keep_clip(tmp_path, np.full(16, 0.5))


def test_sounds_of_another_kind_or_without_end_are_no_clips(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import soundfile

    sha = keep_clip(tmp_path, np.full(160, 0.5))
    path = clip_path(tmp_path, sha)
    assert read_clip(tmp_path, sha).shape == (160,)
    soundfile.write(path, np.full(160, 0.5), 8000, format="FLAC")
    with pytest.raises(LogCorrupt, match="1 channels at 8000 Hz"):
        read_clip(tmp_path, sha)
    soundfile.write(path, np.full(160, 0.25), 16_000, format="FLAC")
    with pytest.raises(LogCorrupt, match="is not the sound that was kept"):
        read_clip(tmp_path, sha)
    monkeypatch.setattr(clips, "_LONGEST_SECONDS", 0)
    with pytest.raises(LogCorrupt, match="it is longer than a clip can be"):
        read_clip(tmp_path, sha)
    path.unlink()
    with pytest.raises(LogError, match=f"clip {sha[:8]} is not at"):
        read_clip(tmp_path, sha)


def _personal_is_a_folder(folder: Path) -> None:
    (folder / "personal.db").unlink(missing_ok=True)
    (folder / "personal.db").mkdir()


def _personal_is_damaged(folder: Path) -> None:
    (folder / "personal.db").write_bytes(b"no database" * 500)


@pytest.mark.parametrize("harm", [_personal_is_a_folder, _personal_is_damaged])
def test_what_is_personal_and_cannot_be_kept_keeps_its_event_from_being_written(
    store: Store, harm: Callable[[Path], None]
) -> None:
    with store.open_job(opened(), steps=1) as log:
        harm(store.folder)
        with pytest.raises(LogWriteError, match=r"personal\.db: "):
            log.append(FactNoted(at=AT, id="e2", about="owner", text="Mill Lane"))
        assert log.append(StepDone(at=AT, step="strip")) == 2


def test_what_is_personal_and_cannot_be_taken_out_is_told(store: Store) -> None:
    with store.open_job(opened(owner="Mill Lane"), steps=1):
        pass
    (row,) = personal.rows_of(store.folder)
    _personal_is_damaged(store.folder)
    with pytest.raises(LogWriteError, match=r"personal\.db: file is not a database"):
        personal.take_out(store.folder, [row.hash])


@pytest.mark.parametrize("text", ["no json", "[1]", '"words"'])
def test_a_row_that_holds_no_fields_has_none(text: str) -> None:
    row = personal.PersonalRow("0" * 64, "2026-11-25-1", "salt", text)
    assert (row.fields, row.words, row.holds) == ({}, "", False)


def test_the_sounds_of_a_job_that_cannot_be_deleted_are_told_after_the_log_says_so(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        sha = log.keep_clip(np.full(160, 0.5))
        log.append(NoteKept(at=AT, id="e2", text="worn", seconds=0.01, clip=sha))
    store.clip_path(sha).unlink()
    store.clip_path(sha).mkdir()
    with pytest.raises(LogWriteError, match=r"Is a directory|Operation not permitted"):
        forget(store, log.job, AT, "by hand")
    assert [event.kind for event in store.events(log.job)][-1] == "clips deleted"


# The database.
def test_a_log_that_is_opened_twice_at_once_waits_and_then_says_who_has_it(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.prepare()
    monkeypatch.setattr(database, "_BUSY_SECONDS", 0.01)
    with database.setting_up(store.folder), pytest.raises(LogFolderError, match="another Handsfree keeps it locked"):
        store.prepare()


@pytest.mark.parametrize(
    ("error", "kind", "told"),
    [
        (sqlite3.OperationalError("database is locked"), LogWriteError, "database is locked"),
        (sqlite3.IntegrityError("events are added at the end only"), LogWriteError, "added at the end only"),
        (sqlite3.DatabaseError("database disk image is malformed"), LogCorrupt, r"is damaged \(.*malformed\)"),
        (UnicodeDecodeError("utf-8", b"\xff", 0, 1, "invalid start byte"), LogCorrupt, "is damaged"),
        (sqlite3.ProgrammingError("a fault of the program"), sqlite3.ProgrammingError, "a fault of the program"),
        (KeyError("a fault of the program"), KeyError, "a fault of the program"),
    ],
)
def test_what_goes_wrong_while_something_is_written_is_told_and_none_of_it_is_there(
    store: Store, error: Exception, kind: type[Exception], told: str
) -> None:
    job = fill(store, "kept")
    db = open_to_write(store.folder)
    with pytest.raises(kind, match=told), transaction(db, store.folder):
        db.execute("INSERT INTO events VALUES (?, 4, '', 'step done', '{}', '')", (job,))
        raise error
    assert not db.in_transaction
    assert db.execute("SELECT count(*) FROM events").fetchone() == (3,)
    db.close()


@pytest.mark.parametrize(
    ("error", "kind", "told"),
    [
        (sqlite3.OperationalError("disk I/O error"), LogFolderError, r"handsfree\.db: disk I/O error"),
        (sqlite3.DatabaseError("file is not a database"), LogCorrupt, "is no log or is damaged"),
        (UnicodeDecodeError("utf-8", b"\xff", 0, 1, "invalid start byte"), LogCorrupt, "is no log or is damaged"),
        (sqlite3.ProgrammingError("a fault of the program"), sqlite3.ProgrammingError, "a fault of the program"),
    ],
)
def test_what_goes_wrong_while_something_is_read_is_told_in_words(
    tmp_path: Path, error: Exception, kind: type[Exception], told: str
) -> None:
    with pytest.raises(kind, match=told), translated(tmp_path / "handsfree.db"):
        raise error


def test_a_large_log_is_checked_quickly_and_a_very_large_one_not_at_all_before_it_is_written(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(store, "kept")
    checks: list[bool] = []

    def faults(_: sqlite3.Connection, *, thorough: bool, most: int) -> list[str]:
        checks.append(thorough)
        return []

    monkeypatch.setattr(database, "database_faults", faults)
    size = store.file.stat().st_size
    for whole, quick in ((size, size), (size - 1, size), (size - 1, size - 1)):
        monkeypatch.setattr(database, "_LARGEST_CHECKED", whole)
        monkeypatch.setattr(database, "_LARGEST_CHECKED_QUICKLY", quick)
        store.prepare()
    assert checks == [True, False]


# What stands beside.
def test_a_ledger_that_cannot_be_written_anew_stays_as_it_was(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(store, "one")
    (store.folder / LEDGER).write_bytes(b"unreadable".ljust(128))
    monkeypatch.setattr(Path, "replace", refusing(errno.ENOSPC))
    with pytest.raises(LogFolderError, match="No space left on device"):
        store.prepare()
    assert (store.folder / LEDGER).read_bytes() == b"unreadable".ljust(128)
    assert list(store.folder.glob(".ledger-*")) == []


def test_what_is_no_number_of_a_job_has_no_line_in_the_ledger(store: Store) -> None:
    store.prepare()
    LedgerLine(store.folder, "../evil").note(1, "0" * 64)
    assert (store.folder / LEDGER).read_bytes() == b""


def test_a_job_that_lost_its_folder_is_saved_elsewhere_under_its_own_number(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(store, "another of that day")
    with store.open_job(opened(owner="Mill Lane"), steps=7) as log:
        sha = log.keep_clip(np.full(160, 0.5))
        log.append(NoteKept(at=AT, id="e2", text="worn", seconds=0.01, clip=sha))
        written = log.events()
        folder = log.save_elsewhere(AT)
    assert folder == store.folder.parent / "handsfree-saved-2026-11-25-090000"
    again = Store(folder)
    assert again.numbers() == [log.job] == ["2026-11-25-2"]
    assert again.events(log.job) == written
    assert again.jobs()[0].of == 7
    assert verify(again, log.job).clips == 1


def test_where_there_is_no_place_or_nothing_in_memory_nothing_is_saved_elsewhere(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = fill(store, "kept")
    with store.resume(job) as log:
        assert log.save_elsewhere(AT) is None
        log.append(StepDone(at=AT, step="strip"))
        monkeypatch.setattr(Store, "prepare", lambda self: (_ for _ in ()).throw(LogFolderError(self.folder, "full")))
        assert log.save_elsewhere(AT) is None


def test_of_a_folder_without_a_log_nothing_is_told(store: Store) -> None:
    assert (store.numbers(), store.workers(), store.newest_real(), store.jobs(), store.count()) == ([], [], None, [], 0)
    assert file_faults(store) == []
    assert forget_owner(store, "Mill Lane", AT, files_too=False).jobs == ()


def test_sounds_that_are_held_by_another_stay_where_they_cannot_be_deleted(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    with store.open_job(opened(), steps=1) as log:
        stretch, whole = (log.keep_clip(np.full(160, level)) for level in (0.1, 0.2))
        log.append(NoteKept(at=AT, id="e2", text="worn", seconds=0.02, clip=whole, holds=(stretch,)))
    monkeypatch.setattr(Path, "unlink", refusing(errno.EPERM))
    drop_held(store, log.job)
    assert store.clip_path(stretch).exists()
    monkeypatch.undo()
    drop_held(store, log.job)
    assert not store.clip_path(stretch).exists()
    assert store.clip_path(whole).exists()
