"""The order that matters: what skipping and jumping cost, what can be done now, what was left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.job.log.store import Store
from handsfree.procedure import order
from handsfree.procedure.file.loader import Loaded, load_procedure
from tests.support.played import Play, player

PINION = """
title: Pinion and cover
item: Bench gauge
revision: 1
steps:
  - {id: clean, do: Clean the bore.}
  - {id: pinion, do: Fit the pinion., works on: the pinion, needs: clean}
  - {id: oil, do: Oil the pinion., works on: pinion, gets at: the oil hole}
  - {id: plate, do: Fit the plate., traps: pinion}
  - {id: cover, do: Fit the cover., blocks: oil hole}
  - {id: knob, do: Fit the knob.}
"""


@pytest.fixture
def small(tmp_path: Path) -> Loaded:
    path = tmp_path / "pinion.yaml"
    path.write_text(PINION, encoding="utf-8")
    return load_procedure(path)


def test_jumping_says_what_it_costs_and_asks(play: Play) -> None:
    played = play("next", "go to step four", "no")
    assert (
        played.said[2] == "Step four shuts in the pinion. Steps two and three are not done. Go there anyway? Yes or no."
    )
    assert played.last == "Staying here."
    assert played.state.step == "pinion"


def test_jumping_all_the_same(play: Play) -> None:
    played = play("next", "next", "go to step four", "yes")
    assert played.said[3] == "Step four shuts in the pinion. Step three is not done. Go there anyway? Yes or no."
    assert "Step four. Fit the plate." in played.last
    # What was told in the question and agreed to is not told again.
    assert "shuts in" not in played.last


def test_what_one_step_shuts_and_blocks_is_told_in_one_sentence(tmp_path: Path, store: Store) -> None:
    path = tmp_path / "both.yaml"
    path.write_text(PINION.replace("traps: pinion", "traps: pinion, blocks: oil hole"), encoding="utf-8")
    play = player(load_procedure(path), store)
    asked = play("next", "go to step four").last
    assert asked.startswith("Step four shuts in the pinion and blocks the oil hole. Steps two and three are not done.")
    asked = play("next", "next", "skip this step").last
    assert asked == "Step four will shut in the pinion and block the oil hole. Why is it skipped?"


def test_a_jump_that_costs_nothing_asks_nothing(play: Play) -> None:
    assert play("go to step six").last.startswith("Five steps passed over, still open. Step six.")


def test_a_step_whose_need_is_not_done_says_so(play: Play) -> None:
    assert play("go to step two").last == "Step two needs step one, not done yet. Go there anyway? Yes or no."


def test_skipping_says_what_it_costs_before_the_reason(play: Play) -> None:
    played = play("skip this step", "no solvent")
    assert played.said[1] == "Step two needs it. Why is it skipped?"


def test_skipping_what_frees_a_part_names_the_steps_that_wait_for_it(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(
        "title: t\nitem: i\nrevision: 1\nsteps:\n"
        "  - {id: a, do: Open it., frees: pinion}\n  - {id: b, do: Oil it., works on: pinion}\n",
        "utf-8",
    )
    steps = load_procedure(path).procedure.steps
    costs = order.costs_of_leaving_out(steps, 0, lambda _: "open")
    assert [(cost.what, cost.other) for cost in costs] == [("needs", 1)]


def test_skipping_in_one_breath_says_what_it_costs_afterwards(play: Play) -> None:
    played = play("next", "next", "skip not needed")
    assert (
        "Step three skipped, not needed. Step four will shut in the pinion. Step five will block the oil hole."
        in played.last
    )


def test_going_on_past_what_was_left_open_warns_on_the_way(play: Play) -> None:
    played = play("next", "next", "go to step six", "next")
    assert played.last.startswith("Step three was left open.")
    played = play("yes", "next", "next", "next")
    assert "shuts in" not in played.last


def test_redoing_what_has_been_shut_in_says_so(play: Play) -> None:
    played = play("next", "next", "next", "next", "redo step three", "yes")
    assert played.said[-2] == "The pinion is shut in since step four. Redo? Yes or no."
    assert "Step three." in played.last


def test_what_can_be_done_now(play: Play) -> None:
    played = play("what can be done now", "next", "what can be done now")
    assert played.said[1] == "Steps one, three and six can be done now. Step one: Clean the bore."
    assert played.last == "Steps two, three and six can be done now. Step two: Fit the pinion."


def test_what_was_left_out_and_can_still_be_done(play: Play) -> None:
    played = play("what was left out", "next", "next", "go to step four", "yes", "next", "what was left out")
    assert played.said[1] == "Nothing was left out."
    assert played.last == "Step three was left out. The pinion is shut in since step four."


def test_what_was_left_out_and_nothing_is_in_its_way(play: Play) -> None:
    played = play("next", "redo step one", "go to step two", "yes", "what was left out")
    assert played.last == "Step one was left out, and can still be done."
