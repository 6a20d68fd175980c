"""A rehearsal: everything as at the bench, fast where one only waits, and kept apart from the real jobs."""

from __future__ import annotations

import io
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from handsfree.bench.loops.rehearsal import FastClock
from handsfree.cli import main
from handsfree.job.log.store import Store

START = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)


def _type(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def _rehearse(procedure: Path, logs: Path, *more: str) -> int:
    return main(["rehearse", str(procedure), "--listen", "typed", "--logs", str(logs), *more])


WALK = ("next", "log clearance four thou", "next", "start the timer")


def test_a_wait_of_ten_minutes_is_over_while_a_few_lines_are_typed(
    procedure: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    waiting = [*WALK, "how long is left", *["where am i"] * 4, "how long is left"]
    _type(monkeypatch, *waiting)
    assert _rehearse(procedure, tmp_path / "fast", "--speed", "600") == 0
    fast = capsys.readouterr().out
    _type(monkeypatch, *waiting)
    assert _rehearse(procedure, tmp_path / "real", "--speed", "1") == 0
    assert "time is up" in fast
    assert "time is up" not in capsys.readouterr().out


def test_a_question_keeps_its_real_time_while_a_timer_runs(
    procedure: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _type(monkeypatch, *WALK, "next", "no")
    assert _rehearse(procedure, tmp_path / "logs", "--speed", "30") == 0
    out = capsys.readouterr().out
    assert "still to wait. Go on without? Yes or no." in out
    assert "Staying here." in out
    assert "No answer" not in out


def test_rehearsals_are_kept_apart_from_the_jobs(
    procedure: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    logs = tmp_path / "logs"
    _type(monkeypatch, "next")
    assert main(["run", str(procedure), "--listen", "typed", "--speak", "print", "--logs", str(logs)]) == 0
    _type(monkeypatch, "next", "log clearance four thou", "next")
    assert _rehearse(procedure, logs) == 0
    out = capsys.readouterr().out
    assert f"Take it up again: handsfree rehearse {procedure}" in out
    real, practice = (job for job in sorted(Store(logs).jobs(), key=lambda job: job.id))
    assert (real.purpose, practice.purpose) == ("repair", "rehearsal")

    main(["jobs", "--logs", str(logs)])
    listed = capsys.readouterr().out
    assert real.id in listed
    assert practice.id not in listed
    main(["jobs", "--rehearsals", "--logs", str(logs)])
    listed = capsys.readouterr().out
    assert practice.id in listed
    assert real.id not in listed
    # Taking up again: the real job stands at step two, the rehearsal at step three.
    _type(monkeypatch, "yes")
    main(["run", str(procedure), "--listen", "typed", "--speak", "print", "--logs", str(logs)])
    assert f"Job {real.id} is safe at step two" in capsys.readouterr().out
    _type(monkeypatch, "yes")
    _rehearse(procedure, logs)
    assert f"Job {practice.id} is safe at step three" in capsys.readouterr().out
    # Without a number the real job is reviewed, though the rehearsal is newer.
    main(["review", "--logs", str(logs)])
    assert real.id in capsys.readouterr().out


def test_a_speed_that_makes_no_sense_is_refused(procedure: Path, tmp_path: Path) -> None:
    assert _rehearse(procedure, tmp_path / "logs", "--speed", "0") == 2


def test_the_clock_runs_fast_only_while_nothing_but_a_timer_is_waited_for() -> None:
    seconds, waiting = [0.0], [False]
    clock = FastClock(START, lambda: waiting[0], 60, lambda: seconds[0])
    seconds[0] = 5
    assert clock() == START + timedelta(seconds=5)
    waiting[0], seconds[0] = True, 7
    assert clock() == START + timedelta(seconds=5 + 120)
