"""What time it was when a job was left: a clock that was set back since is known, and no more is claimed."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.job.log.beside import last_seen
from handsfree.job.log.store import Store
from tests.support.jobs import AT, fill, opened

JOB = "2026-11-25-1"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "locks").mkdir()
    return tmp_path


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Which names its present start; its clock stands at 100 seconds."""
    boot = tmp_path / "boot_id"
    boot.write_text("first\n", encoding="ascii")
    monkeypatch.setattr(last_seen, "_BOOT", boot)
    monkeypatch.setattr(last_seen, "_seconds", lambda: 100.0)
    return boot


def test_as_long_as_the_machine_runs_it_is_known_how_much_later_it_is(
    folder: Path, machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    last_seen.note_time(folder, JOB, AT)
    assert last_seen.last_seen(folder, JOB) == AT
    monkeypatch.setattr(last_seen, "_seconds", lambda: 160.5)
    assert last_seen.last_seen(folder, JOB) == AT + timedelta(seconds=60.5)
    monkeypatch.setattr(last_seen, "_seconds", lambda: 40.0)
    assert last_seen.last_seen(folder, JOB) == AT


@pytest.mark.parametrize("start", ["second\n", ""])
def test_after_another_start_it_is_at_least_as_late_as_it_was(
    folder: Path, machine: Path, monkeypatch: pytest.MonkeyPatch, start: str
) -> None:
    last_seen.note_time(folder, JOB, AT)
    machine.write_text(start, encoding="ascii")
    monkeypatch.setattr(last_seen, "_seconds", lambda: 900.0)
    assert last_seen.last_seen(folder, JOB) == AT


def test_on_a_machine_that_does_not_name_its_starts_no_time_is_added(
    folder: Path, machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    machine.unlink()
    last_seen.note_time(folder, JOB, AT)
    monkeypatch.setattr(last_seen, "_seconds", lambda: 160.0)
    assert last_seen.last_seen(folder, JOB) == AT


def test_what_is_not_as_it_was_written_says_nothing(folder: Path, machine: Path) -> None:
    assert last_seen.last_seen(folder, JOB) is None
    last_seen.note_time(folder, JOB, AT)
    file = folder / "locks" / f"{JOB}.seen"
    text = file.read_text(encoding="ascii")
    for damaged in (text.replace("2026", "2027"), text[:-4], "", "\xff"):
        file.write_text(damaged, encoding="latin-1")
        assert last_seen.last_seen(folder, JOB) is None
    file.write_text(text, encoding="ascii")
    assert last_seen.last_seen(folder, JOB) == AT


def test_a_folder_that_cannot_be_written_stops_no_job(tmp_path: Path) -> None:
    last_seen.note_time(tmp_path / "absent", JOB, AT)
    assert last_seen.last_seen(tmp_path / "absent", JOB) is None


def test_a_log_keeps_the_time_once_a_second_and_knows_it_when_the_job_is_taken_up(store: Store) -> None:
    file = store.folder / "locks" / f"{JOB}.seen"
    with store.open_job(opened(), steps=1) as log:
        log.note_time(AT)
        first = file.read_text(encoding="ascii")
        log.note_time(AT + timedelta(seconds=0.9))
        assert file.read_text(encoding="ascii") == first
        log.note_time(AT + timedelta(seconds=1))
        assert file.read_text(encoding="ascii") != first
        log.note_time(AT - timedelta(hours=1))
        log.note_time(AT + timedelta(minutes=5))
    with store.resume(JOB) as log:
        seen = log.last_seen()
    assert seen is not None and timedelta(0) <= seen - (AT + timedelta(minutes=5)) < timedelta(minutes=5)
    other = fill(store, "x")
    with store.resume(other) as log:
        assert log.last_seen() is None
