"""Several items on the bench: jobs stand open side by side, and nothing said for one is written to another."""

from __future__ import annotations

import random
from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.bench.side_by_side import names_of, open_jobs
from handsfree.job.events import (
    Event,
    JobFinished,
    JobPaused,
    JobResumed,
    ReadingLogged,
    ReadingSettled,
    TimerAcknowledged,
    TimerRang,
    WorkerChanged,
)
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState, fold
from handsfree.phrases.language import Language
from handsfree.procedure.file.loader import Loaded, load_procedure
from tests.support.played import MORNING, Played, played_out
from tests.support.procedures import OTHER

ASKING = """
title: Cleaning of a clock
item: Clock
revision: 1
questions:
  collar: {ask: Is there a collar?}
steps:
  - {id: pull, do: Pull the collar., only if: {collar: yes}}
  - {id: close, do: Close it.}
"""
LATHE, HEAD = "2026-03-02-1", "2026-03-02-2"


@pytest.fixture
def other(tmp_path: Path) -> Loaded:
    (tmp_path / "latch-cleaning.yaml").write_text(OTHER, encoding="utf-8")
    return load_procedure(tmp_path / "latch-cleaning.yaml")


@pytest.fixture
def two(small: Loaded, other: Loaded, store: Store) -> Store:
    """A lathe's job that nobody began, and that of a sewing head, which is at its second step."""
    _opened(store, small, item="Bench lathe, long bed", serial="114", owner="Mill Lane")
    _opened(store, other, item="Sewing head", owner="Mrs Finch")
    return store


def _opened(store: Store, loaded: Loaded | None, at: datetime = MORNING, **facts: str) -> str:
    steps = len(loaded.procedure.steps) if loaded else 0
    with store.open_job(opened_with(loaded, at, **facts), steps) as log:
        return log.job


def _at_work(small: Loaded, store: Store, lines: Iterable[str], job: str = LATHE) -> Played:
    made = ready(small, store, MORNING + timedelta(minutes=1), job=job, changing_too=True, worker="Jo")
    return played_out(made, store, typed(lines, made.language), MORNING + timedelta(minutes=1))


def _state(store: Store, job: str) -> JobState:
    return fold(store.events(job))


def _figures(store: Store, job: str) -> list[str]:
    return [event.as_said for event in store.events(job) if isinstance(event, ReadingLogged)]


def test_the_open_jobs_are_told_as_they_can_be_called(two: Store, small: Loaded) -> None:
    played = _at_work(small, two, ["which jobs are open"])
    assert played.last.startswith("Two jobs open.")
    assert "Job one, Bench lathe, long bed, serial number one one four, owner Mill Lane." in played.last
    assert "Job two, Sewing head, owner Mrs Finch." in played.last


@pytest.mark.parametrize(
    "said",
    ["go to the sewing head", "go to the head", "go to job two", "go to mrs finch", "go to the job of mrs finch"],
)
def test_a_job_is_gone_to_by_its_number_its_item_or_its_owner(two: Store, small: Loaded, said: str) -> None:
    played = _at_work(small, two, [said])
    assert played.last.startswith("Sewing head. Owner Mrs Finch.")
    assert "Step one" in played.last


def test_a_job_is_gone_to_by_its_serial_number(two: Store, small: Loaded) -> None:
    played = _at_work(small, two, ["go to serial number one one four"], job=HEAD)
    assert played.last.startswith("Bench lathe, long bed. Serial number one one four. Owner Mill Lane.")


def test_what_is_said_belongs_to_the_job_at_the_bench_and_the_item_is_named_before_its_first_entry(
    two: Store, small: Loaded
) -> None:
    played = _at_work(
        small, two, ["next", "log four thou", "go to the head", "next", "log play two thou", "log play three thou",
                     "go to the lathe", "log five thou"],
    )  # fmt: skip
    assert _figures(two, LATHE) == ["4 thou", "5 thou"]
    assert _figures(two, HEAD) == ["2 thou", "3 thou"]
    assert played.answers("log play two thou") == ["Sewing head. Play, two thou. In limits."]
    assert played.answers("log play three thou")[0].startswith("Play, three thou.")
    assert played.answers("log five thou")[0].startswith("Bench lathe, long bed. Latch clearance, five thou.")
    for job in (LATHE, HEAD):
        assert verify(two, job).faults == ()


def test_every_figure_is_settled_in_its_own_job(two: Store, small: Loaded) -> None:
    _at_work(small, two, ["next", "log four thou", "go to the head", "next", "log play two thou", "where am i"])
    for job in (LATHE, HEAD):
        logged = [event.id for event in two.events(job) if isinstance(event, ReadingLogged)]
        assert [event.id for event in two.events(job) if isinstance(event, ReadingSettled)] == logged


def test_dangers_and_timers_of_the_job_that_is_left_are_said_and_run_on(two: Store, small: Loaded) -> None:
    played = _at_work(
        small, two, ["next", "timer bath ten minutes", "go to the head", "~ eleven minutes", "got it", "got it"]
    )
    left = played.answers("go to the head")[0]
    assert left.startswith("Bench lathe, long bed. Danger stands since step one")
    assert left.endswith("Timer bath runs on, ten minutes.")
    assert "Bench lathe, long bed. Timer bath: time is up." in played.said
    assert played.said[-2:] == ["Bench lathe, long bed. Good.", "No timer is ringing."]
    rang = [type(event) for event in two.events(LATHE) if isinstance(event, (TimerRang, TimerAcknowledged))]
    assert rang == [TimerRang, TimerAcknowledged]
    assert not any(isinstance(event, TimerRang) for event in two.events(HEAD))


def test_a_job_left_for_another_is_paused_in_its_log_and_its_worker_comes_along(two: Store, small: Loaded) -> None:
    _at_work(small, two, ["next", "go to the head", "next", "go to job one"])
    kinds = [type(event) for event in two.events(LATHE) if isinstance(event, (JobPaused, JobResumed))]
    assert kinds == [JobResumed, JobPaused, JobResumed]
    assert [e.name for e in two.events(HEAD) if isinstance(e, WorkerChanged)] == ["Jo"]
    assert _state(two, HEAD).paused
    assert _state(two, LATHE).worker == "Jo"


def test_a_question_that_was_open_writes_nothing_when_another_job_is_gone_to(two: Store, small: Loaded) -> None:
    played = _at_work(small, two, ["next", "log ninety thou", "go to the head", "ninety thou", "yes"])
    assert _figures(two, LATHE) == [] == _figures(two, HEAD)
    assert "The figure was not written." in " ".join(played.answers("go to the head"))


def test_another_job_is_gone_to_while_a_question_about_the_item_waits(two: Store, store: Store, tmp_path: Path) -> None:
    file = tmp_path / "asking.yaml"
    file.write_text(ASKING, encoding="utf-8")
    asking = load_procedure(file)
    job = _opened(store, asking, item="Clock")
    played = _at_work(asking, store, ["go to the head", "go to the clock", "yes", "where am i"], job=job)
    assert played.answers("go to the head")[-1].startswith("Sewing head.")
    assert played.answers("go to the clock")[-1].endswith("Is there a collar? Yes or no.")


def test_which_is_asked_where_several_may_be_meant(two: Store, small: Loaded) -> None:
    _opened(two, small, item="Wood lathe", owner="Mill Lane")
    played = _at_work(small, two, ["go to the lathe", "go to job three", "where am i"])
    asked = played.answers("go to the lathe")[-1]
    assert "Job one, Bench lathe, long bed" in asked
    assert "Job three, Wood lathe, owner Mill Lane." in asked
    assert asked.endswith("Which? Say go to, and job, and its number.")
    assert played.answers("go to job three")[-1].startswith("Wood lathe. Owner Mill Lane.")


def test_jobs_of_two_days_with_one_number_are_told_apart(two: Store, small: Loaded) -> None:
    _opened(two, small, MORNING - timedelta(days=3), item="Old lathe", owner="Hill House")
    played = _at_work(small, two, ["go to job one", "go to hill house"])
    assert "opened on Friday" in played.answers("go to job one")[-1]
    assert played.last.startswith("Old lathe.")


def test_what_is_not_there_is_refused(two: Store, small: Loaded) -> None:
    played = _at_work(small, two, ["go to job nine", "go to job one"])
    assert played.answers("go to job nine") == ["No job that is called job nine is open. Say which jobs are open."]
    assert played.last == "This is that job."


def test_a_job_that_somebody_else_is_working_stays_where_it_is(two: Store, small: Loaded) -> None:
    with two.resume(HEAD):
        played = _at_work(small, two, ["go to the head", "where am i"])
    assert played.answers("go to the head")[-2:] == [
        "trouble", "That job can't be taken up here. This one goes on.",
    ]  # fmt: skip
    assert played.last.startswith("Step one of five.")


def test_a_job_that_was_only_taken_in_is_begun_by_taking_apart(two: Store, small: Loaded) -> None:
    job = _opened(two, None, item="Carburettor")
    played = _at_work(small, two, ["go to the carburettor", "removed the float", "change to latch cleaning"])
    assert "Say what comes off" in played.answers("go to the carburettor")[-1]
    assert played.answers("removed the float") == ["Carburettor. The float."]
    assert played.last.startswith("Cleaning") or "Step one" in played.last
    assert _state(two, job).working == "latch-cleaning"


def test_when_a_job_is_finished_the_one_left_last_is_at_the_bench_again(two: Store, small: Loaded) -> None:
    played = _at_work(small, two, ["next", "go to the head", "finish the job", "yes", "where am i", "pause the job"])
    assert isinstance(two.events(HEAD)[-1], JobFinished)
    finished = played.said.index("Job finished. The review is ready.")
    assert played.said[finished + 1].startswith("Bench lathe, long bed.")
    assert played.over == "paused"


def test_a_pause_says_what_runs_on_in_the_jobs_left_aside(two: Store, small: Loaded) -> None:
    played = _at_work(small, two, ["timer bath ten minutes", "go to the head", "pause the job"])
    assert played.last.startswith("Bench lathe, long bed. Danger stands since step one.")
    assert played.last.endswith("Timer bath runs on and can't be heard.")


def test_a_note_stays_with_its_job(two: Store, small: Loaded) -> None:
    _at_work(small, two, ["note", "the bed is dry", "end of note", "go to the head", "note", "it hums", "end of note"])
    assert [entry.text for entry in _state(two, LATHE).every_entry.values()] == ["the bed is dry"]
    assert [entry.text for entry in _state(two, HEAD).every_entry.values()] == ["it hums"]


def test_talk_about_other_jobs_changes_nothing(two: Store) -> None:
    named = names_of(open_jobs(two))
    assert {"lathe", "sewing head", "head", "mill lane", "serial number one one four"} <= set(named)
    assert "go" not in named
    language = Language()
    for said in ("go to", "job", "job two", "the lathe", "the other one", "go to the pub"):
        assert language.interpret_text(said) == ()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.randoms(use_true_random=False))
def test_however_the_jobs_are_changed_each_log_holds_its_own(
    small: Loaded, other: Loaded, tmp_path_factory: pytest.TempPathFactory, rng: random.Random
) -> None:
    store = Store(tmp_path_factory.mktemp("log"))
    _opened(store, small, item="Bench lathe")
    _opened(store, other, item="Sewing head")
    lines, here, wanted = ["next"], LATHE, {LATHE: 0, HEAD: 0}
    steps = {LATHE: "log four thou", HEAD: "log play two thou"}
    began = {LATHE: True, HEAD: False}
    for _ in range(rng.randint(1, 8)):
        if rng.random() < 0.5:
            here = HEAD if here == LATHE else LATHE
            lines.append(f"go to the {'head' if here == HEAD else 'lathe'}")
            lines += [] if began[here] else ["next"]
            began[here] = True
        else:
            wanted[here] += 1
            lines.append(steps[here])
    _at_work(small, store, lines)
    events: dict[str, list[Event]] = {job: store.events(job) for job in wanted}
    assert {job: sum(isinstance(e, ReadingLogged) for e in events[job]) for job in wanted} == wanted
    assert all(event.as_said == "4 thou" for event in events[LATHE] if isinstance(event, ReadingLogged))
    assert all(verify(store, job).faults == () for job in wanted)
