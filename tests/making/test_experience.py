"""What several jobs say about a procedure: proposals with the jobs behind them, as a patch that keeps the file."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.cli import main
from handsfree.job.events import Purpose
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import load_procedure, parse_procedure
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.played import played_out

START = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)

LATCH = """\
# A latch, with a comment at the top.
title: Latch   # kept
item: "Bench gauge"
revision: 1

steps:
  # The first one.
  - id: one
    do: Do the first thing.

  - id: two
    do:   Do the second thing.
    measure: {name: gap, unit: mm, tool: {name: gauge, resolution: 0.05}} # as it was

  # About the third.
  - id: three
    do: Do the third thing.
    measure:
      - name: clearance   # by feel
        unit: thou
        target: 4
        limits: [2, 6]
        tool: {name: feeler blades, resolution: 0.5 thou}

  - id: four
    do: Do the last thing.
    rests on: three
"""


@pytest.fixture
def procedure(tmp_path: Path) -> Path:
    path = tmp_path / "latch.yaml"
    path.write_text(LATCH, encoding="utf-8")
    return path


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    return tmp_path / "logs"


def _work(procedure: Path, logs: Path, jobs: Sequence[Sequence[str]], purpose: Purpose = "repair") -> None:
    """Play whole jobs, a day apart."""
    store = Store(logs)
    for day, lines in enumerate(jobs):
        at = START + timedelta(days=day)
        job = ready(load_procedure(procedure), store, at, new=True, purpose=purpose)
        played_out(job, store, typed(lines, job.guide.session.language), at)


def _job(gap: str = "one point two mm", clearance: str = "four thou") -> list[str]:
    gap = gap.replace("mm", "millimetres")
    return ["next", f"log gap {gap}", "next", f"log clearance {clearance}", "next", "next", "finish the job", "yes"]


def _propose(procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str], *more: str) -> str:
    capsys.readouterr()
    assert main(["propose", str(procedure), "--logs", str(logs), *more]) == 0
    return capsys.readouterr().out


def _added(patch: str) -> list[str]:
    return [line[1:] for line in patch.splitlines() if line.startswith("+") and not line.startswith("+++")]


def _taken_out(patch: str) -> list[str]:
    return [line[1:] for line in patch.splitlines() if line.startswith("-") and not line.startswith("---")]


def test_figures_set_over_several_jobs_give_a_target_and_limits(
    procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _work(procedure, logs, [_job("one point two mm"), _job("one point three mm"), _job("one point one mm")])
    patch = _propose(procedure, logs, capsys)
    assert (
        "    measure: {name: gap, unit: mm, limits: [1.1, 1.3], target: 1.2, tool: {name: gauge, resolution: 0.05}} "
        "# as it was"
        in _added(patch)
        or "    measure: {name: gap, unit: mm, target: 1.2, limits: [1.1, 1.3], tool: {name: gauge, resolution: 0.05}} "
        "# as it was"
        in _added(patch)
        or "    measure: {name: gap, unit: mm, limits: [1.1, 1.3], tool: {name: gauge, resolution: 0.05}} # as it was"
        in _added(patch)
    )
    assert any("set between 1.1 mm and 1.3 mm in 3 jobs" in line for line in _added(patch))


def test_nothing_is_changed_unasked(procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _work(procedure, logs, [_job()] * 3)
    assert _propose(procedure, logs, capsys) != ""
    assert procedure.read_text(encoding="utf-8") == LATCH
    _propose(procedure, logs, capsys, "--apply")
    assert procedure.read_text(encoding="utf-8") != LATCH


def test_too_few_jobs_propose_nothing(procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _work(procedure, logs, [_job(), _job()])
    assert "Nothing to propose from 2 jobs" in _propose(procedure, logs, capsys)


def test_rehearsals_prove_nothing(procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _work(procedure, logs, [_job()] * 3, purpose="rehearsal")
    assert "Nothing to propose from 0 jobs" in _propose(procedure, logs, capsys)


def test_what_was_rehearsed_is_no_history_and_was_not_set_last_time(
    procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def last_time(purpose: Purpose) -> str:
        job = ready(load_procedure(procedure), Store(logs), START + timedelta(days=30), new=True, purpose=purpose)
        said: list[str] = []
        bench = Bench(
            job.guide,
            Store(logs),
            PrintSpeaker(lambda _: None, guessing=True),
            lambda _, text: said.append(text) if text else None,
            job.log,
        )
        clock = PlayedBench(bench, START + timedelta(days=30))
        assert job.opened is not None
        bench.open(job.opened)
        clock.play(typed(["last time gap"], job.guide.session.language))
        bench.close()
        return said[-1]

    _work(procedure, logs, [_job("one point nine mm")], purpose="rehearsal")
    assert "No earlier figure for gap" in last_time("repair")
    assert main(["history", "--figure", "gap", "--logs", str(logs)]) == 0
    assert "1.9" not in "".join(capsys.readouterr())
    _work(procedure, logs, [_job("one point four mm")])
    assert "one point four" in last_time("repair")
    assert main(["history", "--figure", "gap", "--logs", str(logs)]) == 0
    out = capsys.readouterr().out
    assert "1.4" in out and "1.9" not in out


def test_a_target_that_nobody_meets_is_moved_and_its_comment_kept(
    procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _work(procedure, logs, [_job(clearance=said) for said in ("five thou", "five and a half thou", "five thou")])
    patch = _propose(procedure, logs, capsys, "--apply")
    assert "        target: 4" in _taken_out(patch)
    assert "        target: 5" in _added(patch)
    text = procedure.read_text(encoding="utf-8")
    assert "- name: clearance   # by feel" in text
    assert "title: Latch   # kept" in text
    assert load_procedure(procedure).procedure.by_id("three").characteristics[0].limits.target == 5


SWAPPED = ["go to step three", "log clearance four thou", "step done", "go to step one", "next",
           "log gap one millimetre", "next", "next", "finish the job", "yes"]  # fmt: skip


def test_a_step_always_done_earlier_is_moved_with_its_comment(
    procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _work(procedure, logs, [SWAPPED] * 3)
    _propose(procedure, logs, capsys, "--apply")
    text = procedure.read_text(encoding="utf-8")
    assert [step.id for step in parse_procedure(text.encode(), "p").procedure.steps] == ["three", "one", "two", "four"]
    assert '"three" was done before "one" in all 3 jobs' in text
    assert "gone back to" not in text, "the move makes it a way forwards"
    lines = [line.strip() for line in text.splitlines()]
    at = lines.index("- id: three")
    assert lines[at - 1] == "# About the third." or lines[at - 2] == "# About the third."
    # Every line that was there is there still.
    lost = [line for line in LATCH.splitlines() if line.strip() and line not in text.splitlines()]
    assert [line for line in lost if "name: gap" not in line] == []


def test_a_step_is_not_moved_before_what_it_rests_on(
    procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    early = ["go to step four", "step done", "go to step one", "next", "log gap one millimetre", "next",
             "log clearance four thou", "step done", "finish the job", "yes"]  # fmt: skip
    _work(procedure, logs, [early] * 3)
    _propose(procedure, logs, capsys, "--apply")
    ids = [step.id for step in load_procedure(procedure).procedure.steps]
    assert ids.index("four") > ids.index("three")


def test_one_job_that_did_otherwise_is_enough_to_leave_the_order(
    procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _work(procedure, logs, [SWAPPED, SWAPPED, SWAPPED, _job()])
    assert "was done before" not in _propose(procedure, logs, capsys)


def test_going_back_often_is_remarked_at_the_step(
    procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    back = ["next", "next", "yes", "log clearance nine thou", "set again", "go to step two", "next", "yes",
            "log clearance four thou", "next", "finish the job", "yes"]  # fmt: skip
    _work(procedure, logs, [back, back, _job()])
    added = _added(_propose(procedure, logs, capsys, "--jobs", "2"))
    assert any('"two" was gone back to from here in 2 of 3 jobs' in line for line in added)
    assert any("clearance was out of limits at first in 2 of 3 jobs" in line for line in added)


def test_the_review_points_to_the_proposals(procedure: Path, logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _work(procedure, logs, [_job(clearance="five and a half thou")] * 3)
    capsys.readouterr()
    assert main(["review", "--logs", str(logs)]) == 0
    assert "handsfree propose" in capsys.readouterr().out
