"""The log in one file and back again."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import zipfile
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from handsfree.cli import main
from handsfree.job.errors import LogError, LogFolderError
from handsfree.job.events import NoteKept, StepDone
from handsfree.job.log import backup
from handsfree.job.log.backup import BackupError
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from tests.support.jobs import AT, fill, opened


@pytest.fixture
def job(store: Store) -> str:
    with store.open_job(opened(serial="7"), steps=1) as log:
        clip = log.keep_clip(np.linspace(-0.5, 0.5, 3200))
        log.append(NoteKept(at=AT, id="n1", text="worn", seconds=0.2, clip=clip))
        return log.job


@pytest.fixture
def saved(store: Store, job: str, tmp_path: Path) -> Path:
    backup.save(store.folder, tmp_path / "log.zip")
    return tmp_path / "log.zip"


def test_what_is_restored_is_what_was_saved(store: Store, job: str, tmp_path: Path) -> None:
    file, folder = tmp_path / "log.zip", tmp_path / "again"
    saved = backup.save(store.folder, file)
    assert (saved.jobs, saved.events, saved.clips) == (1, 2, 1)
    assert backup.restore(file, folder) == saved
    again = Store(folder)
    assert again.jobs() == store.jobs()
    assert again.events(job) == store.events(job)
    assert again.last_hash(job) == store.last_hash(job)
    assert verify(again, job).faults == ()
    assert verify(again, job).clips == 1
    with again.resume(job) as log:
        assert log.append(StepDone(at=AT + timedelta(minutes=1), step="strip")) == 3
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith((".", "log.zip."))] == []


def test_a_log_that_is_being_written_can_be_saved(store: Store, job: str, tmp_path: Path) -> None:
    with store.resume(job) as log:
        log.append(StepDone(at=AT, step="strip"))
        assert backup.save(store.folder, tmp_path / "log.zip").events == 3


def test_a_backup_that_is_told_of_is_on_disk_with_its_folder(
    store: Store, job: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Else it may be gone after a power cut, whatever was flushed of itself (fsync(2)).
    flushed: list[Path] = []
    monkeypatch.setattr(backup, "sync_folder", flushed.append)
    backup.save(store.folder, tmp_path / "log.zip")
    assert flushed == [tmp_path]


def test_only_what_belongs_to_the_log_is_saved(store: Store, job: str, tmp_path: Path) -> None:
    (store.folder / "clips" / "ab").mkdir(exist_ok=True)
    (store.folder / "clips" / "ab" / "letter.flac").write_text("private")
    backup.save(store.folder, tmp_path / "log.zip")
    names = zipfile.ZipFile(tmp_path / "log.zip").namelist()
    assert not any("letter" in name or "lock" in name for name in names)


def test_a_changed_byte_is_refused_or_does_not_matter(store: Store, job: str, saved: Path) -> None:
    content = saved.read_bytes()
    whole, refused = backup.prove(saved), 0
    for place in range(0, len(content), 29):
        changed = bytearray(content)
        changed[place] ^= 0xFF
        saved.write_bytes(changed)
        try:
            # Times of files, for example, say nothing about the log.
            assert backup.prove(saved) == whole
        except BackupError:
            refused += 1
    assert refused > 0.8 * len(content) / 29


def test_a_damaged_backup_leaves_nothing_behind(saved: Path, tmp_path: Path) -> None:
    content = bytearray(saved.read_bytes())
    content[60] ^= 0xFF
    saved.write_bytes(content)
    with pytest.raises(BackupError, match=r"log\.zip"):
        backup.restore(saved, tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_every_cut_of_a_backup_is_refused(saved: Path, tmp_path: Path) -> None:
    content = saved.read_bytes()
    for length in range(0, len(content), len(content) // 23):
        saved.write_bytes(content[:length])
        with pytest.raises(BackupError):
            backup.prove(saved)


def _forged(saved: Path, name: str) -> Path:
    forged = saved.with_name("forged.zip")
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(forged, "w") as new:
        contents = json.loads(old.read("contents.json"))
        contents["files"][name] = {
            "bytes": 1,
            "sha256": "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881",
        }
        for each in old.namelist():
            if each != "contents.json":
                new.writestr(each, old.read(each))
        new.writestr(name, "x")
        new.writestr("contents.json", json.dumps(contents))
    return forged


@pytest.mark.parametrize(
    "name", ["../evil", "/elsewhere/evil", "clips/../../evil.flac", "clips/ab/x.flac", "handsfree.db-wal"]
)
def test_a_backup_writes_nothing_outside_the_log(saved: Path, tmp_path: Path, name: str) -> None:
    with pytest.raises(BackupError, match="belong to no log"):
        backup.restore(_forged(saved, name), tmp_path / "in" / "again")
    assert not (tmp_path / "in").exists()
    assert not (tmp_path / "evil").exists()


def _changed(saved: Path, log: bytes | None = None, **contents: object) -> Path:
    """The backup with other statements about itself, or with another log that it vouches for."""
    changed = saved.with_name("changed.zip")
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(changed, "w") as new:
        known = json.loads(old.read("contents.json")) | contents
        for each in old.namelist():
            content = old.read(each)
            if each == "handsfree.db" and log is not None:
                content = log
                known["files"][each] = {"bytes": len(log), "sha256": hashlib.sha256(log).hexdigest()}
            if each != "contents.json":
                new.writestr(each, content)
        new.writestr("contents.json", json.dumps(known))
    return changed


def test_a_backup_of_another_program_or_of_a_newer_one_is_refused_by_its_name(saved: Path) -> None:
    assert backup.prove(_changed(saved)).jobs == 1
    with pytest.raises(BackupError, match=r"changed\.zip is no backup of Handsfree"):
        backup.prove(_changed(saved, format="letters"))
    with pytest.raises(BackupError, match="made by a newer Handsfree; install that one"):
        backup.prove(_changed(saved, version=backup.VERSION + 1))


def test_a_backup_that_vouches_for_a_damaged_log_is_refused_too(saved: Path, store: Store) -> None:
    with pytest.raises(BackupError, match="the log in it is damaged"):
        backup.prove(_changed(saved, log=b"no database" * 500))
    sqlite3.connect(store.file).execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    content = bytearray(store.file.read_bytes())
    # The second page, which holds rows or a part of an index: SQLite's own check finds it.
    content[4096:8192] = b"\xa5" * 4096
    with pytest.raises(BackupError, match="the log in it is damaged"):
        backup.prove(_changed(saved, log=bytes(content)))


@pytest.mark.parametrize(
    "change",
    [
        "ALTER TABLE events RENAME TO happened",
        "CREATE VIEW endless AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n",
        "ALTER TABLE jobs RENAME TO old; CREATE VIEW jobs AS SELECT * FROM old",
    ],
)
def test_a_backup_whose_database_is_of_another_make_is_refused(saved: Path, tmp_path: Path, change: str) -> None:
    with zipfile.ZipFile(saved) as archive:
        copy = Path(archive.extract("handsfree.db", tmp_path))
    with closing(sqlite3.connect(copy)) as db:
        db.executescript(f"PRAGMA legacy_alter_table = ON; {change}")
    with pytest.raises(BackupError, match="the database in it is no log of Handsfree"):
        backup.prove(_changed(saved, log=copy.read_bytes()))


def test_a_backup_says_what_it_is_and_of_which_version(saved: Path) -> None:
    with zipfile.ZipFile(saved) as archive:
        contents = json.loads(archive.read("contents.json"))
    # Those that were made last year are still brought back: the number goes up with what a reader must know.
    assert (contents["format"], contents["version"]) == ("handsfree backup", 2)
    assert backup.prove(_changed(saved, version=1)).jobs == 1


def test_a_backup_of_a_damaged_log_says_so(store: Store, job: str, tmp_path: Path) -> None:
    for number in range(40):
        with store.open_job(opened(title=f"long title {number} " * 40), steps=1):
            pass
    sqlite3.connect(store.file).execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    content = bytearray(store.file.read_bytes())
    content[3 * 4096 : 5 * 4096] = b"\xa5" * (2 * 4096)
    store.file.write_bytes(content)
    with pytest.raises(Exception, match="damaged"):
        backup.save(store.folder, tmp_path / "log.zip")
    assert not (tmp_path / "log.zip").exists()


def test_nothing_is_overwritten(saved: Path, store: Store, tmp_path: Path) -> None:
    before = saved.read_bytes()
    with pytest.raises(BackupError, match="is there already"):
        backup.save(store.folder, saved)
    assert saved.read_bytes() == before
    with pytest.raises(BackupError, match="holds a log already"):
        backup.restore(saved, store.folder)


def test_places_that_will_not_do_are_named(saved: Path, store: Store, tmp_path: Path) -> None:
    with pytest.raises(BackupError, match="there is no log in"):
        backup.save(tmp_path / "empty", tmp_path / "b.zip")
    with pytest.raises(BackupError, match=r"b\.zip can't be written \(No such file or directory\); choose another"):
        backup.save(store.folder, tmp_path / "nowhere" / "b.zip")
    with pytest.raises(BackupError, match="there is no file"):
        backup.restore(tmp_path / "none.zip", tmp_path / "again")
    with pytest.raises(LogFolderError, match="not a folder"):
        backup.restore(saved, saved)
    shutil.copy(__file__, tmp_path / "text.zip")
    with pytest.raises(BackupError, match="no whole backup"):
        backup.restore(tmp_path / "text.zip", tmp_path / "again")


def test_the_commands_say_what_was_saved_and_where(
    store: Store, job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, again = str(tmp_path / "log.zip"), str(tmp_path / "again")
    assert main(["backup", file, "--logs", str(store.folder)]) == 0
    assert "1 job, 2 events, 1 sound" in capsys.readouterr().out
    assert main(["restore", file, "--logs", again]) == 0
    assert again in capsys.readouterr().out
    assert main(["backup", file, "--logs", str(store.folder)]) == 2
    assert "is there already" in capsys.readouterr().err


def test_a_log_that_is_begun_while_another_is_brought_back_is_not_overwritten(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Both commands said that all was well, and what had been acknowledged was gone.
    fill(store, "kept")
    backup.save(store.folder, tmp_path / "log.zip")
    begun = Store(tmp_path / "new")
    bring_back = backup._bring_back

    def meanwhile(*given: Path) -> None:
        bring_back(*given)
        with pytest.raises(LogFolderError, match="keeps it locked"):
            begun.prepare()

    monkeypatch.setattr(backup, "_bring_back", meanwhile)
    monkeypatch.setattr("handsfree.job.log.database._BUSY_SECONDS", 0.1)
    backup.restore(tmp_path / "log.zip", begun.folder)
    assert [job.id for job in begun.jobs()] == [job.id for job in store.jobs()]


def test_two_restores_at_once_leave_one_whole_log(store: Store, tmp_path: Path) -> None:
    fill(store, "kept")
    backup.save(store.folder, tmp_path / "log.zip")
    target = tmp_path / "new"
    with ThreadPoolExecutor() as pool:
        tries = [pool.submit(backup.restore, tmp_path / "log.zip", target) for _ in range(2)]
        failed = [each.exception() for each in tries if each.exception() is not None]
    assert len(failed) == 1
    assert isinstance(failed[0], LogError)
    assert Store(target).jobs() == store.jobs()
    assert not (target / "clips" / "clips").exists()


def _noise(seconds: int) -> np.ndarray:
    """A sound that takes its full room on the disk."""
    return np.random.default_rng(seconds).uniform(-1, 1, 16_000 * seconds)


def test_a_full_disk_is_told_by_the_file_that_was_being_made_and_nothing_stays_of_it(
    store: Store, small_disk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with store.open_job(opened(serial="7"), steps=1) as log:
        clip = log.keep_clip(_noise(20))
        log.append(NoteKept(at=AT, id="n1", text="worn", seconds=20, clip=clip))
    target = small_disk / "log.zip"
    assert main(["backup", str(target), "--logs", str(store.folder)]) != 0
    said = capsys.readouterr().err
    assert f"{target} can't be written (No space left" in said
    assert "choose another place" in said
    assert list(small_disk.iterdir()) == []


def test_a_disk_that_fills_while_a_log_is_brought_back_is_told_by_the_folder_and_leaves_no_half_log(
    store: Store, small_disk: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with store.open_job(opened(serial="7"), steps=1) as log:
        clip = log.keep_clip(_noise(20))
        log.append(NoteKept(at=AT, id="n1", text="worn", seconds=20, clip=clip))
    backup.save(store.folder, tmp_path / "log.zip")
    folder = small_disk / "again"
    assert main(["restore", str(tmp_path / "log.zip"), "--logs", str(folder)]) != 0
    said = capsys.readouterr().err
    assert str(folder) in said
    assert "No space left" in said
    assert "log.zip" not in said.split("No space left", maxsplit=1)[0], "the archive is not what is full"
    assert not (folder / "handsfree.db").exists()
    assert [path.name for path in folder.glob("*") if path.name not in ("locks", "setup.lock")] == []


def test_two_backups_to_one_name_at_once_leave_one_whole_file_and_one_sentence(
    store: Store, job: str, tmp_path: Path
) -> None:
    target = tmp_path / "log.zip"
    with ThreadPoolExecutor() as pool:
        tries = [pool.submit(backup.save, store.folder, target) for _ in range(4)]
        failed = [each.exception() for each in tries if each.exception() is not None]
    assert len(failed) == 3
    assert {str(each) for each in failed} == {f"{target} is there already; choose another name or move it away"}
    assert backup.prove(target).events == 2
    assert sorted(path.name for path in tmp_path.iterdir() if path.name.startswith((".", "log"))) == ["log.zip", "logs"]
