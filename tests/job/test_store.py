"""The log on disk as a repairer meets it: jobs, taking up again, listing, and what it refuses."""

from __future__ import annotations

import errno
import os
import re
import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from handsfree.job.errors import JobBusy, JobNotFound, LogCorrupt, LogError, LogFolderError, LogGone, LogWriteError
from handsfree.job.events import (
    Event,
    JobFinished,
    JobPaused,
    JobResumed,
    NoteKept,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
)
from handsfree.job.log.database import open_to_write
from handsfree.job.log.store import JobLog, Store, default_folder
from handsfree.job.state import fold
from tests.support.jobs import AT, opened


def later(minutes: float) -> datetime:
    return AT + timedelta(minutes=minutes)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "log")


def test_events_come_back_as_they_were_written_in_their_order(store: Store) -> None:
    events: list[Event] = [
        opened(serial="0417", owner="Mrs Åsling"),
        StepEntered(at=later(1), step="strip"),
        NoteKept(at=later(2), step="strip", id="n1", text="pivot worn — “oval”", seconds=2.5, heard="note"),
        StepDone(at=later(3), step="strip", missing=("end float",)),
    ]
    with store.open_job(events[0], steps=2) as log:  # type: ignore[arg-type]
        assert [log.append(event) for event in events[1:]] == [2, 3, 4]
        assert log.events() == events
    assert Store(store.folder).events(log.job) == events


def test_a_job_is_called_by_its_date_and_a_running_number(store: Store) -> None:
    names = []
    for at in (AT, AT, AT + timedelta(days=1), *[AT] * 9):
        with store.open_job(opened(at), steps=1) as log:
            names.append(log.job)
    day, next_day = (at.astimezone().date().isoformat() for at in (AT, AT + timedelta(days=1)))
    assert names == [f"{day}-1", f"{day}-2", f"{next_day}-1", *(f"{day}-{number}" for number in range(3, 12))]


def test_a_job_is_taken_up_where_it_was_left(store: Store) -> None:
    with store.open_job(opened(), steps=2) as log:
        log.append(StepDone(at=later(1), step="strip"))
    with store.resume(f" {log.job} ") as again:
        assert again.append(JobResumed(at=later(90))) == 3
        assert [event.kind for event in again.events()] == ["job opened", "step done", "job resumed"]


def test_a_job_that_is_open_can_not_be_taken_up_a_second_time_but_read(store: Store) -> None:
    with store.open_job(opened(), steps=2) as log:
        with pytest.raises(JobBusy, match=f"job {log.job} is open in another Handsfree"):
            store.resume(log.job)
        assert len(store.events(log.job)) == 1
        log.append(StepDone(at=later(1), step="strip"))
        assert store.jobs()[0].done == 1
    store.resume(log.job).close()


def test_two_jobs_can_be_open_at_once_and_keep_their_events_apart(store: Store) -> None:
    with store.open_job(opened(), steps=2) as first, store.open_job(opened(), steps=2) as second:
        first.append(StepDone(at=later(1), step="a"))
        second.append(StepDone(at=later(1), step="b"))
        first.append(StepDone(at=later(2), step="c"))
    assert [event.step for event in store.events(first.job)] == [None, "a", "c"]
    assert [event.step for event in store.events(second.job)] == [None, "b"]


def test_closing_twice_is_harmless(store: Store) -> None:
    log = store.open_job(opened(), steps=1)
    log.close()
    log.close()


def test_an_unknown_job_names_the_nearest_ones(store: Store) -> None:
    for _ in range(2):
        store.open_job(opened(), steps=1).close()
    known = [job.id for job in store.jobs()]
    with pytest.raises(JobNotFound) as caught:
        store.resume(known[0][:-1] + "7")
    assert set(known) <= set(caught.value.nearest)
    assert all(job in str(caught.value) for job in known)
    with pytest.raises(JobNotFound):
        store.events("")


def test_the_list_of_jobs_agrees_with_the_fold(store: Store) -> None:
    stories: list[list[Event]] = [
        [opened(serial="1")],
        [
            opened(serial="2", owner="A. Tern"),
            StepDone(at=later(1), step="a"),
            StepDone(at=later(2), step="b"),
            StepSkipped(at=later(3), step="c", reason="not fitted"),
            StepRedone(at=later(4), step="a", stale_steps=("a", "b")),
            StepDone(at=later(5), step="a"),
            StepDone(at=later(5.5), step="a"),
            JobPaused(at=later(6)),
        ],
        [opened(serial="3"), JobPaused(at=later(1)), JobResumed(at=later(2)), StepDone(at=later(3), step="c"),
         StepSkipped(at=later(4), step="c", reason="lost")],
        [opened(serial="4"), StepDone(at=later(1), step="a"), JobPaused(at=later(2)), JobFinished(at=later(9))],
    ]  # fmt: skip
    for first, *rest in stories:
        with store.open_job(first, steps=3) as log:  # type: ignore[arg-type]
            for event in rest:
                log.append(event)
    listed = {job.serial: job for job in store.jobs()}
    assert [job.serial for job in store.jobs()] == ["4", "3", "2", "1"]
    for story in stories:
        state = fold(story)
        assert state.opened is not None
        job = listed[state.opened.serial]
        assert job.done == sum(status == "done" for status in state.steps.values())
        assert job.of == 3
        assert job.last == state.last
        assert job.opened == AT
        assert job.owner == state.opened.owner
        assert job.status == ("finished" if state.finished else "paused" if state.paused else "open")
    assert [listed[serial].status for serial in "1234"] == ["open", "paused", "open", "finished"]


def test_unfinished_finds_the_job_to_take_up_again(store: Store) -> None:
    def start(minutes: float, *more: Event, **slots: str) -> str:
        with store.open_job(opened(AT, **slots), steps=1) as log:
            for event in more:
                log.append(event)
            log.append(JobPaused(at=later(minutes)))
        return log.job

    old = start(50, serial="0417")
    new = start(10, serial="0420")
    start(90, JobFinished(at=later(80)), serial="0417")
    other = start(5, title="Pump", procedure_name="pump", item="pump")
    assert [job.id for job in store.unfinished("micrometer")] == [old, new]
    assert [job.id for job in store.unfinished("BENCH micrometer, overhaul", item="Micrometer")] == [old, new]
    assert [job.id for job in store.unfinished("micrometer", serial="0420")] == [new]
    assert [job.id for job in store.unfinished("pump")] == [other]
    assert store.unfinished("pump", serial="0420") == []
    assert store.unfinished("lathe") == []


def test_reading_a_log_that_is_not_there_finds_nothing_and_makes_nothing(store: Store) -> None:
    assert store.jobs() == []
    assert store.unfinished("micrometer") == []
    with pytest.raises(JobNotFound, match="holds no jobs yet"):
        store.events("2026-11-25-1")
    with pytest.raises(JobNotFound):
        store.resume("2026-11-25-1")
    assert not store.folder.exists()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE events SET body = '{}'",
        "DELETE FROM events",
        "INSERT OR REPLACE INTO events SELECT job, 1, at, kind, '{}', hash FROM events WHERE seq = 1",
        "INSERT INTO events SELECT job, 7, at, kind, body, hash FROM events WHERE seq = 1",
        "UPDATE jobs SET serial = 'x'",
        "DELETE FROM jobs",
        "INSERT OR REPLACE INTO jobs SELECT id, opened, 'x', procedure, item, serial, owner, steps FROM jobs",
        "PRAGMA foreign_keys = ON; INSERT INTO events VALUES ('nobody', 1, '', '', '{}', '')",
    ],
)
def test_the_database_itself_refuses_to_change_what_was_logged(store: Store, statement: str) -> None:
    with store.open_job(opened(), steps=1) as log:
        log.append(StepDone(at=later(1), step="a"))
    before = store.events(log.job), store.jobs()
    db = sqlite3.connect(store.file)
    with pytest.raises(sqlite3.IntegrityError):
        db.executescript(statement)
    db.close()
    assert (store.events(log.job), store.jobs()) == before


def test_the_log_is_written_through_to_the_disk(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        # https://www.sqlite.org/pragma.html: synchronous 2 is FULL.
        assert log._db.execute("PRAGMA synchronous").fetchone() == (2,)
        assert log._db.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_the_default_folder_is_one_for_the_users_data() -> None:
    assert default_folder().is_absolute()
    assert "handsfree" in default_folder().parts


def test_a_file_that_is_no_database_is_left_alone_and_named(store: Store) -> None:
    store.folder.mkdir()
    store.file.write_bytes(b"Shopping: two files, one broach.\n" * 50)
    before = store.file.read_bytes()
    for act in (store.prepare, store.jobs, lambda: store.open_job(opened(), 1), lambda: store.events("x")):
        with pytest.raises(LogCorrupt, match=re.escape(str(store.file))):
            act()
    assert store.file.read_bytes() == before


def test_the_database_of_another_program_is_left_alone(store: Store) -> None:
    store.folder.mkdir()
    db = sqlite3.connect(store.file)
    db.execute("CREATE TABLE stamps (name TEXT)")
    db.close()
    for act in (store.prepare, store.jobs):
        with pytest.raises(LogCorrupt, match="another program"):
            act()


def test_a_newer_log_is_not_touched_by_an_older_program(store: Store) -> None:
    store.open_job(opened(), steps=1).close()
    db = sqlite3.connect(store.file)
    db.execute("PRAGMA user_version = 99")
    db.close()
    for act in (store.prepare, store.jobs):
        with pytest.raises(LogCorrupt, match="newer Handsfree"):
            act()


def test_a_damaged_log_is_an_error_and_not_a_shorter_log(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        for minute in range(200):
            log.append(StepEntered(at=later(minute), step=f"step {minute}"))
    content = bytearray(store.file.read_bytes())
    content[4096 * 4 :] = b"\xff" * (len(content) - 4096 * 4)
    store.file.write_bytes(content)
    with pytest.raises(LogError):
        store.events(log.job)


def test_an_event_that_can_not_be_read_is_named(store: Store) -> None:
    log = store.open_job(opened(), steps=1)
    log.close()
    db = sqlite3.connect(store.file)
    db.execute("INSERT INTO events VALUES (?, 2, '', 'moon landing', '{\"kind\": \"moon landing\"}', '')", (log.job,))
    db.commit()
    db.close()
    with pytest.raises(LogCorrupt, match=f"event 2 of job {log.job}"):
        store.events(log.job)


def test_an_empty_file_left_by_a_crash_at_the_very_start_is_a_log_without_jobs(store: Store) -> None:
    store.folder.mkdir()
    store.file.touch()
    assert store.jobs() == []
    store.open_job(opened(), steps=1).close()
    assert len(store.jobs()) == 1


def test_a_file_in_place_of_the_folder_is_said_so(tmp_path: Path) -> None:
    (tmp_path / "log").write_text("notes")
    for folder in (tmp_path / "log", tmp_path / "log" / "deeper"):
        with pytest.raises(LogFolderError, match=re.escape(str(folder))):
            Store(folder).prepare()
    with pytest.raises(LogFolderError, match="is a file and not a folder"):
        Store(tmp_path / "log").prepare()
    with pytest.raises(LogFolderError):
        Store(tmp_path / "log").jobs()


def test_an_append_after_closing_is_a_fault_of_the_program_and_not_of_the_disk(store: Store) -> None:
    log: JobLog = store.open_job(opened(), steps=1)
    log.close()
    with pytest.raises(sqlite3.ProgrammingError):
        log.append(StepEntered(at=later(1), step="a"))


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="what a descriptor stands for is read from /proc")
def test_a_new_log_and_a_new_sound_are_put_on_disk_with_their_folders(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A file whose folder is not flushed may be gone after a power cut, whatever was flushed of itself (fsync(2)).
    flushed: set[Path] = set()
    really = os.fsync

    def fsync(descriptor: int) -> None:
        flushed.add(Path(f"/proc/self/fd/{descriptor}").resolve())
        really(descriptor)

    monkeypatch.setattr(os, "fsync", fsync)
    with store.open_job(opened(), steps=1) as log:
        assert {store.folder.resolve(), store.folder.parent.resolve()} <= set(flushed)
        flushed.clear()
        sha = log.keep_clip(np.linspace(0, 1, 800))
    clips = store.folder / "clips"
    assert {folder.resolve() for folder in (store.folder, clips, clips / sha[:2])} <= set(flushed)


def test_what_a_job_holds_is_saved_beside_a_log_that_is_gone(store: Store) -> None:
    now = later(7)
    with store.open_job(opened(), steps=3) as log:
        sha = log.keep_clip(np.linspace(0, 0.5, 800))
        log.append(NoteKept(at=later(1), id="n1", text="worn", seconds=0.1, clip=sha))
        log.append(StepEntered(at=later(2), step="a"))
        kept = log.events()
        store.file.unlink()
        with pytest.raises(LogGone, match="was deleted, moved or replaced"):
            log.look()
        first, second = log.save_elsewhere(now), log.save_elsewhere(now)
    assert first == store.folder.parent / f"handsfree-saved-{now:%Y-%m-%d-%H%M%S}"
    assert second == first.with_name(f"{first.name}-2")
    for folder in (first, second):
        saved = Store(folder)
        assert saved.events(log.job) == kept
        assert saved.jobs()[0].of == 3
        assert len(saved.read_clip(sha)) == 800


def test_where_there_is_no_place_beside_the_log_a_job_is_saved_at_home(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    now = later(7)
    for taken in ("", "-2", "-3"):
        (store.folder.parent / f"handsfree-saved-{now:%Y-%m-%d-%H%M%S}{taken}").mkdir(parents=True)
    with store.open_job(opened(), steps=1) as log:
        log.append(StepEntered(at=later(2), step="a"))
        saved = log.save_elsewhere(now)
    assert saved is not None and saved.parent == tmp_path / "home"
    assert [job.id for job in Store(saved).jobs()] == [log.job]


def test_where_a_place_can_not_even_be_looked_at_a_job_is_saved_at_the_next(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    exists = Path.exists

    def looked_at(path: Path, **how: bool) -> bool:
        if path.parent == store.folder.parent and path.name.startswith("handsfree-saved-"):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return exists(path, **how)

    monkeypatch.setattr(Path, "exists", looked_at)
    with store.open_job(opened(), steps=1) as log:
        log.append(StepEntered(at=later(2), step="a"))
        saved = log.save_elsewhere(later(7))
    assert saved is not None and saved.parent == tmp_path / "home"


def test_a_job_that_could_not_be_begun_leaves_its_number_free(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise LogWriteError(store.folder, "No space left on device")

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr("handsfree.job.log.store.keep_personal", full)
        with pytest.raises(LogWriteError):
            store.open_job(opened(), steps=1)
    assert store.jobs() == []
    with store.open_job(opened(), steps=1) as log:
        assert log.job == "2026-11-25-1"


def test_the_last_job_that_was_no_rehearsal_is_found(store: Store) -> None:
    assert store.newest_real() is None
    store.open_job(opened(purpose="rehearsal"), steps=1).close()
    assert store.newest_real() is None
    with store.open_job(opened(), steps=1) as first, store.open_job(opened(), steps=1) as second:
        assert first.job != second.job
    store.open_job(opened(purpose="rehearsal"), steps=1).close()
    assert store.newest_real() == second.job


def test_the_database_itself_refuses_events_of_a_job_that_is_not_there(store: Store) -> None:
    with store.open_job(opened(), steps=1):
        pass
    with closing(open_to_write(store.folder)) as db, pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        db.execute("INSERT INTO events VALUES ('2026-11-25-99', 1, '', 'step done', '{}', '')")
