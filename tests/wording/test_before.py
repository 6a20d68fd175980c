"""An item that was here before: what is told of it, at the bench and at the counter."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from handsfree.bench.looking_back import seen_before
from handsfree.job.counter.before import EarlierJob
from handsfree.job.log.store import Store
from handsfree.procedure.settings.terms import Terms
from handsfree.wording.counter.before import before_spoken, before_written, when_words
from tests.support.played import MORNING, SMALL, Play

TODAY = MORNING.date()
WORK = (
    "serial number one one four", "next", "log clearance nine thou", "accept it to be watched",
    "serious finding", "the pivot is oval", "end of note", "finish the job", "yes",
)  # fmt: skip


def test_a_serial_number_that_was_here_before_is_said_to_be_at_once(play: Play) -> None:
    play(*WORK)
    played = play("serial number one one four", at=MORNING + timedelta(days=21))
    assert played.last == (
        "Here before, three weeks ago: Adjustment of the gate latch. Accepted out of limits: latch clearance, "
        "nine thou, to be watched. To be watched: the pivot is oval."
    )


def test_a_serial_number_that_is_new_is_read_back_and_nothing_else(play: Play) -> None:
    play(*WORK)
    assert play("serial number one one five", at=MORNING + timedelta(days=1)).last == "Serial number one one five."


def test_the_job_itself_and_rehearsals_are_not_before(play: Play, store: Store) -> None:
    played = play("serial number one one four", "serial number one one four")
    assert not any("Here before" in said for said in played.said)
    assert len(store.jobs()) == 1


def test_the_warranty_of_the_workshops_file_is_told(make_play: Callable[..., Play]) -> None:
    play = make_play(SMALL, "terms: {warranty: 6 months}")
    play(*WORK)
    again = play("serial number one one four", at=MORNING + timedelta(days=100))
    assert "Under warranty." in again.last
    too_late = play("yes", "finish the job", "yes", at=MORNING + timedelta(days=101))
    assert too_late.over == "finished"
    assert "Under warranty" not in play("serial number one one four", at=MORNING + timedelta(days=400)).last


def test_on_paper_the_figure_has_its_limits_and_its_reason(play: Play, store: Store) -> None:
    play(*WORK)
    before = seen_before(store, "Bench gauge, pattern C", "114", None, Terms(warranty="6 months"))
    lines = list(before_written(before, TODAY + timedelta(days=7)))
    assert lines[1:] == [
        "  accepted out of limits: latch clearance 9 thou (limits 3 to 5 thou), to be watched",
        "  to be watched: the pivot is oval",
        "  under warranty until 2026-09-02",
    ]
    assert lines[0].startswith(f"Here before: job {store.jobs()[0].id}, {TODAY} (seven days ago)")
    assert list(before_written(before, date(2027, 1, 1)))[-1] == "  out of warranty since 2026-09-02"


@pytest.mark.parametrize(
    ("item", "serial", "owner", "found"),
    [
        ("bench gauge, PATTERN c", "114", None, True),
        (None, "114", None, True),
        ("Bench gauge", "114", None, True),
        ("Gauge", "114", None, True),
        ("Bench vice", "114", None, False),
        ("Clock", "114", None, False),
        ("Bench gauge, pattern C", None, "Mill Lane", False),
        ("Bench gauge, pattern C", None, None, False),
    ],
)
def test_the_same_item_is_one_of_its_serial_number_or_one_of_the_same_owner(
    play: Play, store: Store, item: str | None, serial: str | None, owner: str | None, found: bool
) -> None:
    play(*WORK)
    assert bool(seen_before(store, item, serial, owner, Terms())) is found


def test_an_item_of_the_same_owner_is_known_without_a_serial_number(play: Play, store: Store) -> None:
    play("owner mike lima", "finish the job", "yes")
    assert len(seen_before(store, "Bench gauge, pattern C", None, "ml", Terms())) == 1


def test_how_long_ago_is_told_in_the_largest_unit_of_which_there_are_two() -> None:
    ahead = {0: "today", 1: "yesterday", 13: "thirteen days ago", 14: "two weeks ago", 59: "eight weeks ago"}
    for days, words in {**ahead, 60: "two months ago", 729: "twenty four months ago", 730: "two years ago"}.items():
        assert when_words(TODAY - timedelta(days=days), TODAY) == words


def test_a_job_that_is_still_open_is_told_as_open_and_has_no_warranty_yet(play: Play, store: Store) -> None:
    play(*WORK)
    play("serial number one one four", "pause the job", at=MORNING + timedelta(days=1))
    before = seen_before(store, "Bench gauge", "114", None, Terms(warranty="6 months"))
    assert list(before_written(before, TODAY + timedelta(days=1)))[:2] == [
        f"Open already: job {store.jobs()[0].id}: Adjustment of the gate latch",
        f"Here before: job {store.jobs()[1].id}, {TODAY} (yesterday): Adjustment of the gate latch",
    ]
    assert before_spoken(before, TODAY).startswith("Job one on it is open. Here before, today")


def test_the_job_that_an_item_comes_back_from_is_told_whatever_it_is_called_now(play: Play, store: Store) -> None:
    play(*WORK)
    (job,) = store.jobs()
    assert [each.job for each in seen_before(store, "Fork", None, "ML", Terms(), returns=job.id)] == [job.id]


def test_several_jobs_are_counted_and_the_newest_is_told() -> None:
    jobs = [
        EarlierJob(job=f"j{n}", day=TODAY - timedelta(days=n), finished=n > 1, titles=(), accepted=(), watch=())
        for n in (1, 2, 3)
    ]
    assert before_spoken(jobs, TODAY) == "Here before, yesterday. That job is not finished. Two more jobs before that."
    assert before_spoken([], TODAY) == ""
    assert list(before_written(jobs, TODAY, most=1))[-1] == "2 more before that: handsfree history shows them."
