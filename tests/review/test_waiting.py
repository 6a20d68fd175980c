"""What waits for the check of another person, over all jobs that are open."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.cli import main
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import load_procedure
from handsfree.review.waiting import checks_of_open_jobs
from tests.support.played import MORNING, SMALL, Play, played_out
from tests.support.procedures import OTHER

CHECKED = SMALL.replace(
    "    why: Too tight and it sticks.",
    "    why: Too tight and it sticks.\n    check: Does the blade drag?\n    check by another: true",
)
SET = ("this is jo", "next", "log clearance four thou", "next")


@pytest.fixture
def hold(make_play: Callable[..., Play]) -> Play:
    return make_play(CHECKED, "people: [Jo Tern, Al Gable]\n")


def test_a_check_that_waits_is_listed_in_the_morning(
    hold: Play, store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    hold(*SET)
    job = store.jobs()[0].id
    ((listed, check),) = checks_of_open_jobs(store, MORNING)
    assert (listed.id, check.number, check.by) == (job, 2, "Jo Tern")
    assert main(["jobs", "--logs", str(store.folder)]) == 0
    first, told, *_ = capsys.readouterr().out.splitlines()
    assert first == "WAITS FOR A CHECK (1)"
    assert told.startswith(f"{job}  step 2, Set the latch clearance (Jo Tern)")


@pytest.mark.parametrize("then", [("this is al", "go to step two", "yes", "next"), ("finish the job", "yes")])
def test_what_is_checked_or_over_waits_no_more(hold: Play, store: Store, then: tuple[str, ...]) -> None:
    hold(*SET, *then)
    assert checks_of_open_jobs(store, MORNING) == []


def test_at_another_job_the_check_that_waits_elsewhere_is_told_with_its_job(
    hold: Play, store: Store, tmp_path: Path
) -> None:
    hold(*SET, "pause the job")
    file = tmp_path / "latch-cleaning.yaml"
    file.write_text(OTHER, encoding="utf-8")
    later = MORNING + timedelta(hours=1)
    made = ready(load_procedure(file), store, later, new=True, changing_too=True)
    played = played_out(made, store, typed(["what waits for a check"], made.language), later)
    assert played.last == (
        "Waiting for a check. Job one, Bench gauge, pattern C, step two, Set the latch clearance, by Jo Tern."
    )
