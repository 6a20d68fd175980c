"""The list of jobs says what the jobs' own events say, whatever happened to what is kept beside them."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timezone
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.job.catalogue.summaries import Sought
from handsfree.job.errors import LogWriteError
from handsfree.job.events import (
    EntryWithdrawn,
    Event,
    FactNoted,
    JobFinished,
    JobOpened,
    JobPaused,
    JobResumed,
    ProcedureTakenUp,
    QuestionAnswered,
    StepDone,
    StepRedone,
    StepSkipped,
)
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from tests.support.jobs import opened

AT = datetime(2026, 11, 25, 10, 0, tzinfo=timezone.utc)
STEPS = ("strip", "clean", "set")

happening = st.one_of(
    st.sampled_from(STEPS).map(lambda step: StepDone(at=AT, step=step)),
    st.sampled_from(STEPS).map(lambda step: StepSkipped(at=AT, step=step, reason="not fitted")),
    st.lists(st.sampled_from(STEPS)).map(lambda steps: StepRedone(at=AT, step="set", stale_steps=tuple(steps))),
    st.sampled_from([JobPaused(at=AT), JobResumed(at=AT), JobFinished(at=AT), StepDone(at=AT)]),
)


@settings(max_examples=20)
@given(st.lists(happening, max_size=12))
def test_the_list_agrees_with_the_events(events: list[Event]) -> None:
    with TemporaryDirectory() as folder:
        store = Store(Path(folder))
        with store.open_job(opened(serial="7"), steps=3) as log:
            for event in events:
                log.append(event)
            state = fold(log.events())
        (row,) = store.jobs()
        assert row.done == sum(status == "done" for status in state.steps.values())
        assert row.status == ("finished" if state.finished else "paused" if state.paused else "open")
        assert (row.serial, row.last, row.of) == ("7", state.last, 3)


def test_a_job_came_over_the_counter_if_it_was_taken_in_there_or_something_was_arranged(store: Store) -> None:
    def taken_in(begun: JobOpened, *events: Event) -> bool:
        with store.open_job(begun, steps=1) as log:
            for event in events:
                log.append(event)
        return store.jobs()[0].taken_in

    arranged = FactNoted(at=AT, id="f1", about="promised", text="2026-12-04")
    told = FactNoted(at=AT, id="f1", about="complaint", text="It sticks.")
    assert taken_in(opened(procedure_name="", procedure_text="", title=""))
    assert taken_in(opened(), arranged)
    assert not taken_in(opened())
    assert not taken_in(opened(), told)
    assert not taken_in(opened(), arranged, EntryWithdrawn(at=AT, id="f1", why="taken back"))
    assert not taken_in(opened(procedure_name="", procedure_text="", title="", purpose="rehearsal"))


def test_rehearsals_are_listed_alone_or_left_out_or_among_the_others(store: Store) -> None:
    for purpose in ("repair", "rehearsal", "stripping"):
        store.open_job(opened(purpose=purpose), steps=1).close()
    found = {wanted: [job.purpose for job in store.jobs(Sought(rehearsals=wanted))] for wanted in (None, True, False)}
    assert found == {
        None: ["stripping", "rehearsal", "repair"], True: ["rehearsal"], False: ["stripping", "repair"],
    }  # fmt: skip


def test_steps_that_do_not_apply_to_the_item_are_not_counted(store: Store) -> None:
    with store.open_job(opened(), steps=3) as log:
        answered = {"name": "second cylinder", "question": "Has it a second cylinder?", "answer": "no"}
        log.append(QuestionAnswered(at=AT, left_out=("clean",), **answered))
        log.append(StepDone(at=AT, step="strip"))
        log.append(StepDone(at=AT, step="set"))
    (row,) = store.jobs()
    assert (row.done, row.of) == (2, 2)


def test_one_damaged_event_hides_no_job_from_the_list(store: Store) -> None:
    with store.open_job(opened(), steps=3) as log:
        log.append(StepDone(at=AT, step="strip"))
    db = sqlite3.connect(store.file)
    db.execute("INSERT INTO events VALUES (?, 3, '', 'moon landing', '{\"kind\": \"moon landing\"}', '')", (log.job,))
    db.commit()
    db.close()
    assert [job.done for job in store.jobs()] == [1]


def test_what_could_not_be_written_is_not_in_the_list(store: Store) -> None:
    with store.open_job(opened(), steps=3) as log:
        log.append(StepDone(at=AT, step="strip"))
        db = sqlite3.connect(store.file)
        # As a full disk would: the trigger fails what is added, and lets go when it is gone.
        db.execute("CREATE TRIGGER full BEFORE INSERT ON events BEGIN SELECT RAISE(ABORT, 'disk is full'); END")
        with pytest.raises(LogWriteError, match="disk is full"):
            log.append(StepDone(at=AT, step="clean"))
        assert len(log.events()) == 2
        db.execute("DROP TRIGGER full")
        db.close()
        log.append(StepDone(at=AT, step="set"))
    assert [job.done for job in store.jobs()] == [2]


def test_taking_apart_is_no_step_of_the_work_and_gives_a_job_its_title_only_where_there_is_no_other(
    store: Store,
) -> None:
    with store.open_job(opened(), steps=3) as log:
        log.append(StepDone(at=AT, step="strip"))
        apart = {"procedure_name": "strip-gauge", "title": "Taking apart: gauge", "revision": "1", "steps": 1}
        log.append(ProcedureTakenUp(at=AT, procedure_sha256="", procedure_text="", apart=True, **apart))
        log.append(StepDone(at=AT, step="apart"))
    (row,) = store.jobs()
    assert (row.done, row.of, row.title) == (1, 3, opened().title)


def test_a_list_ends_with_the_newest_jobs_and_the_count_is_of_them_all(store: Store) -> None:
    for number in (1, 2, 3):
        with store.open_job(opened(serial=str(number)), steps=1):
            pass
    assert [job.serial for job in store.jobs(most=2)] == ["3", "2"]
    assert store.count() == len(store.jobs()) == 3
