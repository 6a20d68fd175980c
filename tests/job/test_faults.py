"""The log when things go wrong: killed, two at once, disk full, folder not writable."""

from __future__ import annotations

import random
import signal
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import datetime, timezone
from pathlib import Path
from threading import Barrier

import numpy as np
import pytest

from handsfree.job.errors import JobBusy, LogFolderError, LogWriteError
from handsfree.job.events import JobOpened, NoteKept, StepEntered, StoodBy
from handsfree.job.log.store import Store

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
OPENED = JobOpened(
    at=AT, title="Bench micrometer", revision="3", procedure_sha256="0" * 64, procedure_text="x" * 4000,
    procedure_name="micrometer",
)  # fmt: skip

_WRITER = """
import sys
from datetime import datetime, timezone
from pathlib import Path
from handsfree.job.events import JobOpened, StepEntered
from handsfree.job.log.store import Store
at = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
store = Store(Path(sys.argv[1]))
opened = JobOpened(at=at, title="t", revision="1", procedure_sha256="0", procedure_text="x", procedure_name="n")
log = store.resume(sys.argv[2]) if len(sys.argv) > 2 else store.open_job(opened, steps=1)
print(log.job, flush=True)
for number in range(100_000):
    print(log.append(StepEntered(at=at, step=f"step {number}")), flush=True)
"""


def _start(folder: Path, *job: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", _WRITER, str(folder), *job]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


@pytest.mark.slow
def test_what_was_acknowledged_survives_a_kill_in_the_middle(tmp_path: Path) -> None:
    chance = random.Random(1)
    store = Store(tmp_path)
    job: list[str] = []
    before = 1
    for _ in range(10):
        process = _start(tmp_path, *job)
        assert process.stdout is not None
        job = [process.stdout.readline().strip()]
        for _ in range(chance.randrange(1, 60)):
            process.stdout.readline()
        process.send_signal(signal.SIGKILL)
        acknowledged = [int(line) for line in process.stdout.read().split()]
        process.wait()
        process.stdout.close()
        events = store.events(job[0])
        # At most one more than the last acknowledged: written, and killed before it could say so.
        if acknowledged:
            assert acknowledged[-1] <= len(events) <= acknowledged[-1] + 1
        assert len(events) > before
        before = len(events)
    assert {event.kind for event in store.events(job[0])[1:]} == {"step entered"}
    with store.resume(job[0]) as log:
        assert log.append(StepEntered(at=AT, step="on we go")) == before + 1


def test_a_job_held_by_another_process_is_busy_readable_and_free_after_its_death(tmp_path: Path) -> None:
    process = _start(tmp_path)
    try:
        assert process.stdout is not None
        job = process.stdout.readline().strip()
        process.stdout.readline()
        store = Store(tmp_path)
        with pytest.raises(JobBusy):
            store.resume(job)
        assert len(store.events(job)) >= 2
        assert store.jobs()[0].id == job
        with store.open_job(OPENED, steps=1) as mine:
            for _ in range(20):
                mine.append(StepEntered(at=AT, step="beside the other"))
        assert len(store.events(mine.job)) == 21
        assert mine.job != job
    finally:
        process.kill()
        process.communicate()
    with store.resume(job) as log:
        log.append(StepEntered(at=AT, step="on we go"))


def test_several_that_make_the_log_at_the_same_moment_get_different_jobs(tmp_path: Path) -> None:
    many, rounds = 4, 10

    def open_one(folder: Path, start: Barrier) -> str:
        start.wait()
        with Store(folder).open_job(OPENED, steps=1) as log:
            return log.job

    for number in range(rounds):
        folder, start = tmp_path / str(number), Barrier(many)
        with ThreadPoolExecutor(many) as pool:
            names = set(pool.map(lambda _: open_one(folder, start), range(many)))  # noqa: B023
        assert len(names) == many
        assert {job.id for job in Store(folder).jobs()} == names


def test_an_event_that_the_database_refuses_leaves_the_log_as_it_was_and_usable(tmp_path: Path) -> None:
    with Store(tmp_path).open_job(OPENED, steps=1) as log:
        with closing(sqlite3.connect(tmp_path / "handsfree.db")) as db:
            refuse = "BEFORE INSERT ON events WHEN NEW.kind = 'stood by' BEGIN SELECT RAISE(ABORT, 'no'); END"
            db.execute(f"CREATE TRIGGER no_rest {refuse}")
        with pytest.raises(LogWriteError):
            log.append(StoodBy(at=AT))
        assert log.append(StepEntered(at=AT, step="a")) == 2
        assert [event.kind for event in Store(tmp_path).events(log.job)] == ["job opened", "step entered"]


def test_a_folder_that_can_not_be_made_is_refused_at_the_start(tmp_path: Path) -> None:
    if not Path("/proc/self").exists():
        pytest.skip("no /proc, where nobody can make a folder, on this system")
    with pytest.raises(LogFolderError, match=r"/proc/handsfree.*choose another folder"):
        Store(Path("/proc/handsfree")).prepare()


def test_a_full_disk_refuses_the_event_keeps_the_rest_and_goes_on_when_there_is_room(small_disk: Path) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"\0" * 100_000)
    store = Store(small_disk)
    kept = 1
    with store.open_job(OPENED, steps=1) as log:
        with pytest.raises(LogWriteError, match="make room on the disk"):
            for number in range(2000):
                log.append(NoteKept(at=AT, id=f"n{number}", text="worn " * 100, seconds=1.0))
                kept += 1
        assert len(log.events()) == kept
        assert len(store.events(log.job)) == kept
        with pytest.raises(LogWriteError):
            log.keep_clip(np.random.default_rng(1).uniform(-1, 1, 160_000))
        assert list(small_disk.rglob("*.tmp")) == []
        ballast.unlink()
        assert log.append(StepEntered(at=AT, step="on we go")) == kept + 1
    with closing(store.resume(log.job)) as log:
        assert len(log.events()) == kept + 1


def test_a_full_disk_is_refused_at_the_start(small_disk: Path) -> None:
    store = Store(small_disk)
    store.prepare()
    ballast = small_disk / "ballast"
    with pytest.raises(OSError, match="No space left"), ballast.open("wb", buffering=0) as file:
        while True:
            file.write(b"\0" * 4096)
    with pytest.raises(LogFolderError, match="No space left"):
        store.prepare()
    ballast.unlink()
    store.prepare()


def test_a_read_only_disk_can_be_read_and_is_refused_for_writing(small_disk: Path) -> None:
    store = Store(small_disk)
    with store.open_job(OPENED, steps=1) as log:
        log.append(StepEntered(at=AT, step="a"))
    done = subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"remounting a disk read-only is not permitted here: {done.stderr.strip()}")
    assert len(store.events(log.job)) == 2
    assert store.jobs()[0].id == log.job
    for act in (store.prepare, lambda: store.resume(log.job)):
        with pytest.raises(LogFolderError, match=str(small_disk)):
            act()
