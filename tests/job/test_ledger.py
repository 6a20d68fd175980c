"""The ledger beside the log: what was written and is gone is noticed, whatever the database itself says."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.errors import LogCorrupt
from handsfree.job.log import backup
from handsfree.job.log.beside.ledger import LEDGER, Kept, read_ledger
from handsfree.job.log.store import Store
from tests.support.jobs import fill, note, opened


@pytest.fixture
def unmoved(store: Store, tmp_path: Path) -> Store:
    """A log as a kill leaves it: what was written last is in the write-ahead log."""
    before = fill(store, "kept")
    with store.resume(before) as first, store.open_job(opened(), steps=2) as second:
        first.append(note("n7", "pivot worn"))
        for number in range(6):
            second.append(note(f"n{number}", "pivot bent"))
        shutil.copytree(store.folder, tmp_path / "killed")
    return Store(tmp_path / "killed")


def _no_wal(folder: Path) -> None:
    (folder / "handsfree.db-wal").unlink()


def _changed_wal(folder: Path) -> None:
    content = bytearray((folder / "handsfree.db-wal").read_bytes())
    content[len(content) // 2] ^= 1
    (folder / "handsfree.db-wal").write_bytes(content)


def _no_database(folder: Path) -> None:
    (folder / "handsfree.db").unlink()


def _empty_database(folder: Path) -> None:
    _no_wal(folder)
    (folder / "handsfree.db").write_bytes(b"")


@pytest.mark.parametrize("hurt", [_no_wal, _changed_wal, _no_database, _empty_database])
def test_a_log_that_lost_its_end_is_told_by_every_command_and_not_written_to(
    unmoved: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str], hurt: Callable[[Path], None]
) -> None:
    # Verify said "No jobs yet" and was content, and the next run began with number 1 again.
    folder = unmoved.folder
    hurt(folder)
    (folder / "handsfree.db-shm").unlink(missing_ok=True)
    before = {path: path.read_bytes() for path in folder.glob("handsfree.db*")}
    logs = ["--logs", str(folder)]
    assert main(["verify", *logs]) == 1
    assert "The log is damaged: " in capsys.readouterr().out
    job = max(read_ledger(folder).jobs)
    for command in (["jobs"], ["review", job], ["report", job, "--to", "-"], ["search", "pivot"], ["history"]):
        assert main([*command, *logs]) == 1
        said = capsys.readouterr()
        assert said.out == ""
        assert "handsfree rescue" in said.err
    with pytest.raises(LogCorrupt, match=r"is gone|are gone"):
        unmoved.prepare()
    with pytest.raises(LogCorrupt):
        backup.save(folder, tmp_path / "log.zip")
    assert {path: path.read_bytes() for path in before if path.suffix != ".db-shm" and path.exists()}.items() <= (
        before.items()
    )


def test_the_ledger_says_what_the_log_holds(store: Store) -> None:
    jobs = [fill(store, "a"), fill(store, "a", "b")]
    with store.resume(jobs[0]) as log:
        log.append(note("n9", "c"))
    expected = {job: Kept(len(store.events(job)), store.last_hash(job)) for job in jobs}
    assert read_ledger(store.folder).jobs == expected


@pytest.mark.parametrize("hurt", ["gone", "a line lost", "a byte changed", "cut short"])
def test_a_ledger_that_is_gone_or_damaged_is_made_anew_from_a_log_that_is_whole(
    store: Store, hurt: str, capsys: pytest.CaptureFixture[str]
) -> None:
    jobs = [fill(store, "a"), fill(store, "b"), fill(store, "c")]
    file = store.folder / LEDGER
    whole = content = bytearray(file.read_bytes())
    if hurt == "gone":
        file.unlink()
    else:
        content = bytearray(content)
        if hurt == "a byte changed":
            content[200] ^= 1
        file.write_bytes({"a line lost": content[128:], "a byte changed": content}.get(hurt, content[:-40]))
    logs = ["--logs", str(store.folder)]
    told = hurt in ("a byte changed", "cut short")
    assert main(["verify", *logs]) == told
    assert ("can't be read" in capsys.readouterr().out) == told
    assert [job.id for job in store.jobs()] == jobs[::-1]
    store.prepare()
    assert sorted(file.read_bytes().split(b"\n")) == sorted(bytes(whole).split(b"\n"))
    assert main(["verify", *logs]) == 0


def test_a_ledger_behind_the_log_is_no_fault(store: Store) -> None:
    job = fill(store, "a")
    before = (store.folder / LEDGER).read_bytes()
    with store.resume(job) as log:
        log.append(note("n9", "c"))
    # As after a kill between the two.
    (store.folder / LEDGER).write_bytes(before)
    assert main(["verify", "--logs", str(store.folder)]) == 0
    with store.resume(job) as log:
        log.append(note("n10", "d"))
    assert read_ledger(store.folder).jobs[job].events == len(store.events(job))


def test_a_restored_log_has_a_ledger(store: Store, tmp_path: Path) -> None:
    fill(store, "a")
    backup.save(store.folder, tmp_path / "log.zip")
    backup.restore(tmp_path / "log.zip", tmp_path / "again")
    assert read_ledger(tmp_path / "again") == read_ledger(store.folder)


def test_a_new_log_can_be_read_by_its_owner_alone(store: Store) -> None:
    fill(store, "a")
    for path in (store.folder, store.file, store.folder / LEDGER):
        assert path.stat().st_mode & 0o077 == 0, path
