"""The tally counts what came off while taking apart, and what the steps put back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.job.counted_parts import counted_as
from handsfree.job.events import StepDone
from handsfree.job.log.store import Store
from handsfree.job.tally import tally
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.procedure.file.loader import load_procedure
from tests.support.played import MORNING, Played, played_out

BACK = """
title: Putting the cover back
item: Bench gauge
revision: 1
steps:
  - {id: lever, do: Fit the front lever.}
  - {id: screws, do: Fit the cover with its screws., fasteners: {count: 2, size: M2 x 5}, closes cover: true}
  - {id: look, do: Look at the gear., check: Does it turn?}
"""

Work = Callable[..., Played]


@pytest.fixture
def at_work(store: Store, tmp_path: Path) -> Work:
    (tmp_path / "back.yaml").write_text(BACK, encoding="utf-8")

    def work(*lines: str) -> Played:
        """What is taken apart first, and then put back with the procedure; the job is the newest one, or begun."""
        jobs = store.jobs()
        apart = not jobs
        loaded = stripping_procedure("Bench gauge") if apart else load_procedure(tmp_path / "back.yaml")
        made = ready(
            loaded, store, MORNING, purpose="stripping" if apart else "repair", job=jobs[0].id if jobs else None
        )
        return played_out(made, store, typed(lines, made.language), MORNING)

    return work


APART = ("removed two screws M two by five", "removed the cover", "removed the front lever", "removed the gear",
         "pause the job")  # fmt: skip


def _out(played: Played) -> dict[str, int]:
    return {each.part: each.still_out for each in tally(played.state)}


@pytest.mark.parametrize(
    ("what", "kind"),
    [("grub screw", "screw"), ("circlip", "clip"), ("spring washer", "washer"), ("balance spring", "spring"),
     ("front cover", "front cover"), ("shim", "shim"), ("lock nut", "nut")],
)  # fmt: skip
def test_what_came_off_is_counted_as_its_kind(what: str, kind: str) -> None:
    assert counted_as(what) == kind


def test_what_comes_off_is_out_until_it_is_put_back_by_the_procedure(at_work: Work) -> None:
    assert _out(at_work(*APART)) == {"screw": 2, "cover": 1, "front lever": 1, "gear": 1}
    played = at_work("next", "yes", "next", "the gear is back", "parts tally")
    assert _out(played) == {"screw": 0, "cover": 0, "front lever": 0, "gear": 0}
    done = [event.put_back for event in played.events if isinstance(event, StepDone)]
    assert done == [(("front lever", 1),), (("cover", 1), ("screw", 2))]
    assert played.last == "All parts accounted for."


def test_before_a_cover_is_closed_what_is_left_in_the_tray_is_asked_about(at_work: Work) -> None:
    at_work(*APART)
    played = at_work("next")
    assert played.last == "One gear still out. Go on to close the cover? Yes or no."


def test_looking_at_a_part_puts_nothing_back(at_work: Work) -> None:
    at_work(*APART)
    played = at_work("next", "yes", "next", "yes", "step done")
    assert _out(played)["gear"] == 1


def test_screws_counted_back_by_voice_are_not_counted_again(at_work: Work) -> None:
    at_work(*APART)
    played = at_work("next", "yes", "two screws back", "next")
    assert _out(played)["screw"] == 0
    assert [event.put_back for event in played.events if isinstance(event, StepDone)][-1] == (("cover", 1),)


def test_a_step_done_again_has_its_parts_out_meanwhile(at_work: Work) -> None:
    at_work(*APART)
    played = at_work("next", "yes", "next", "redo step two", "yes")
    assert _out(played)["screw"] == 2


def test_what_was_taken_back_was_never_out(at_work: Work) -> None:
    assert _out(at_work("removed the cover", "take back")) == {}


def test_a_job_that_takes_nothing_apart_counts_nothing_by_itself(store: Store, tmp_path: Path) -> None:
    (tmp_path / "back.yaml").write_text(BACK, encoding="utf-8")
    made = ready(load_procedure(tmp_path / "back.yaml"), store, MORNING)
    played = played_out(made, store, typed(("next", "next"), made.language), MORNING)
    assert tally(played.state) == []
