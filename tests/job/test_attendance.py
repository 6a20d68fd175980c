"""Who is at the bench at each moment of a job, and which events alter what was signed."""

from __future__ import annotations

from datetime import datetime, timezone
from typing import Any

import pytest

from handsfree.job.attendance import alters_the_work, named_at_each, workers_of
from handsfree.job.events import (
    Event,
    FactNoted,
    JobFinished,
    JobPaused,
    JobResumed,
    NoteKept,
    StepDone,
    StepEntered,
    StoodBy,
    WorkerChanged,
)

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)


def named(name: str | None) -> WorkerChanged:
    return WorkerChanged(at=AT, name=name)


def done() -> StepDone:
    return StepDone(at=AT, step="a")


def fact(about: Any) -> FactNoted:
    return FactNoted(at=AT, id="f1", about=about, text="Bo")


def test_whoever_is_named_is_at_the_bench_until_another_is_or_the_job_is_left() -> None:
    events: list[Event] = [
        done(), named("Ada"), done(), StoodBy(at=AT), named("Bo"), done(), named(None), named("Cy"),
        JobPaused(at=AT), JobResumed(at=AT), done(), named("Cy"), JobFinished(at=AT),
    ]  # fmt: skip
    assert list(named_at_each(events)) == [
        None, "Ada", "Ada", "Ada", "Bo", "Bo", None, "Cy", None, None, None, "Cy", None,
    ]  # fmt: skip


def test_everybody_who_was_named_is_told_once_in_the_order_of_coming() -> None:
    assert workers_of([named("Bo"), named("Ada"), named(None), named("Bo"), done()]) == ["Bo", "Ada"]
    assert workers_of([done()]) == []


@pytest.mark.parametrize(
    ("event", "alters"),
    [
        (done(), True),
        (NoteKept(at=AT, id="n1", step="a", text="", seconds=1.0), True),
        (fact("finding"), True),
        # The signature itself, and what only moves about in the job.
        (fact("signed off"), False),
        (StepEntered(at=AT, step="a"), False),
        (JobPaused(at=AT), False),
        (named("Ada"), False),
    ],
)
def test_a_signature_is_of_the_work_and_not_of_who_stood_where(event: Event, alters: bool) -> None:
    assert alters_the_work(event) is alters
