"""A job at the bench when things go wrong: killed, disk full, folder gone, two at once. Nothing false is said."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.bench.bench import LOG_LOST
from handsfree.cli import main
from handsfree.job.events import NoteKept
from handsfree.job.log.store import Store
from tests.support.disks import disk_of
from tests.tools.durability import run


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Twice as large as others' small disks: a whole job is begun on it."""
    yield from disk_of(tmp_path / "small", 800)


def test_a_job_that_is_killed_at_any_moment_loses_nothing_that_was_said_to_be_kept(tmp_path: Path) -> None:
    if not hasattr(os, "fork"):
        pytest.skip("the system has no fork, with which the job is run to be killed")
    found = run(15, tmp_path, seed=7)
    assert (found.kills, found.lost, found.broken) == (15, [], [])
    assert found.acknowledged > 100


def _work(procedure: Path, logs: Path, lines: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "handsfree.cli", "run", str(procedure), "--listen", "typed", "--speak", "print"]
    return subprocess.run(
        [*command, "--logs", str(logs)], input=lines, capture_output=True, text=True, check=False, timeout=120
    )


@pytest.mark.slow
def test_a_disk_that_fills_up_is_told_at_once_and_nothing_is_said_as_logged(procedure: Path, small_disk: Path) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(250_000))
    notes = "".join(f"note\n{number} {'worn-' * 900}\nend of note\n" for number in range(200))
    done = _work(procedure, small_disk / "logs", notes)
    assert done.returncode == 1
    assert LOG_LOST in done.stdout
    assert "could not be written" in done.stderr
    assert "Traceback" not in done.stderr
    store = Store(small_disk / "logs")
    kept = sum(isinstance(event, NoteKept) for event in store.events(store.jobs()[0].id))
    told = done.stdout.count("Note kept:")
    assert kept == told > 0
    after = done.stdout.split(LOG_LOST)[1]
    assert "kept" not in after
    assert "is safe" in after
    ballast.unlink()
    again = _work(procedure, small_disk / "logs", "yes\nnext\n")
    assert again.returncode == 0
    assert "Step two" in again.stdout


@pytest.mark.slow
def test_a_disk_that_becomes_read_only_between_two_sessions_is_refused_before_the_job(
    procedure: Path, small_disk: Path
) -> None:
    assert _work(procedure, small_disk / "logs", "next\n").returncode == 0
    done = subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"remounting a disk read-only is not permitted here: {done.stderr.strip()}")
    refused = _work(procedure, small_disk / "logs", "yes\nnext\n")
    assert refused.returncode == 2
    assert "can't be used" in refused.stderr
    assert "Step" not in refused.stdout


@pytest.mark.slow
def test_two_benches_can_not_work_one_job(procedure: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    logs = tmp_path / "logs"
    assert _work(procedure, logs, "next\n").returncode == 0
    store = Store(logs)
    job = store.jobs()[0].id
    with store.resume(job):
        done = _work(procedure, logs, "yes\nnext\n")
        assert done.returncode == 1
        assert f"job {job} is open in another Handsfree" in done.stderr
        assert main(["job", "add", job, "--note", "x", "--logs", str(logs)]) == 1
    assert "open in another" in capsys.readouterr().err
