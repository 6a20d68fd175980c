"""Which earlier jobs were on the same item, and what is worth knowing of them at the counter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.counter.before import EarlierJob, before_of, is_open, same_item
from handsfree.job.events import EntryWithdrawn, Event, FactNoted, OutcomeGiven, ReadingLogged
from tests.support.jobs import AT, opened

LATER = AT + timedelta(days=9)
ITEM = JobSummary(
    id="2026-11-25-1", title="Overhaul", procedure="micrometer", item="Bench gauge, pattern C", serial="114",
    owner="Mill Lane", opened=AT, last=AT, done=1, of=2, status="finished",
)  # fmt: skip


def _job(number: int, **what: Any) -> JobSummary:
    return replace(ITEM, id=f"2026-11-25-{number}", **what)


def _same(jobs: Sequence[JobSummary], **asked: str | None) -> list[str]:
    return [job.id[-1] for job in same_item(jobs, **{"item": None, "serial": None, "owner": None, **asked})]


def test_an_item_with_a_number_is_known_by_it_and_by_a_name_that_may_be_its_own() -> None:
    jobs = [_job(1), _job(2, serial="115"), _job(3, item="Clock"), _job(4, serial=None), _job(5, item=None)]
    assert _same(jobs, serial="114", item="bench gauge") == ["1", "5"]
    assert _same(jobs, serial="114", item="Gauge") == ["1", "5"]
    assert _same(jobs, serial="114", item="Bench clock") == ["3", "5"]
    assert _same(jobs, serial="114", item="Lathe") == ["5"]
    assert _same(jobs, serial="114") == ["1", "3", "5"]


def test_an_item_without_a_number_is_known_by_its_name_and_its_owner_together() -> None:
    jobs = [_job(1), _job(2, owner="T. Gable"), _job(3, item="Clock"), _job(4, owner=None)]
    assert _same(jobs, item="bench gauge, pattern c", owner="MILL LANE") == ["1"]
    assert _same(jobs, item="Bench gauge, pattern C") == []
    assert _same(jobs, owner="Mill Lane") == []


def test_neither_the_job_itself_nor_a_rehearsal_was_before() -> None:
    jobs = [_job(1), _job(2), _job(3, purpose="rehearsal"), _job(4, purpose="stripping")]
    assert _same(jobs, serial="114", but="2026-11-25-1") == ["2"]


@pytest.mark.parametrize(
    ("status", "handed_over", "here"),
    [("open", None, True), ("paused", None, True), ("finished", None, False), ("open", LATER, False),
     ("finished", LATER, False)],
)  # fmt: skip
def test_an_item_is_here_until_its_work_is_done_or_it_was_fetched(
    status: Any, handed_over: datetime | None, here: bool
) -> None:
    job = replace(ITEM, status=status, handed_over=handed_over)
    assert is_open(job) is here
    assert before_of(job, [opened()]).is_open is here


def _told(*events: Event, **what: Any) -> EarlierJob:
    return before_of(replace(ITEM, **what), [opened(), *events])


def _reading(id_: str, decision: str = "out of limits", occasion: str = "as set") -> ReadingLogged:
    return ReadingLogged(
        at=AT, step="strip", id=id_, characteristic="gap", occasion=occasion, value="9", unit="thou", as_said="9 thou",
        decision=decision, limits="3 to 5 thou",
    )  # fmt: skip


def _outcome(id_: str, outcome: Any) -> OutcomeGiven:
    return OutcomeGiven(at=AT, id=id_, outcome=outcome, reason="to be watched")


def test_its_day_is_when_it_was_handed_over_else_when_it_was_worked_last() -> None:
    assert _told().day == AT.astimezone().date()
    assert _told(handed_over=LATER).day == LATER.astimezone().date()
    assert (_told().finished, _told(status="open").finished) == (True, False)
    assert _told().titles == ("Bench micrometer, overhaul",)
    until = date(2027, 5, 25)
    assert before_of(ITEM, [opened()], until).warranted_until == until


def test_what_was_accepted_or_left_open_out_of_limits_is_told_and_nothing_else() -> None:
    before = _told(
        _reading("r1"), _outcome("r1", "accepted"), _reading("r2"), _outcome("r2", "left open"),
        _reading("in", "in limits"), _outcome("in", "accepted"),
        _reading("found", occasion="as found"), _outcome("found", "accepted"),
        _reading("nothing decided"),
        _reading("gone"), _outcome("gone", "accepted"), EntryWithdrawn(at=AT, id="gone", why="taken back"),
    )  # fmt: skip
    assert [entry.event.id for entry in before.accepted] == ["r1", "r2"]


def test_serious_and_unsafe_findings_that_stand_are_to_be_watched() -> None:
    def finding(id_: str, severity: Any, text: str | None = None) -> FactNoted:
        return FactNoted(at=AT, id=id_, about="finding", text=id_ if text is None else text, severity=severity)

    before = _told(
        finding("worn", "serious"), finding("cracked", "unsafe"), finding("dirty", "minor"), finding("plain", None),
        finding("sound alone", "serious", ""),
        finding("mistaken", "serious"), EntryWithdrawn(at=AT, id="mistaken", why="taken back"),
    )  # fmt: skip
    assert before.watch == ("worn", "cracked")
