"""Proposals for steps in groups, at several places and in variants: the patch where it can be made, else the reason."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.cli import main
from handsfree.making.experience import MoveStep, Proposal, Remark, SetFigure
from handsfree.making.patch import Patched, patched
from handsfree.procedure.file.loader import parse_procedure

VALVES = """\
title: Valves   # kept
item: bench engine
revision: 1
questions:
  pattern: {ask: Early or late?, answers: [early, late]}

steps:
  # Above the first.
  - id: one
    do: Do the first thing.   # by hand

  - group: stage
    steps:
      - id: two
        do: Do the second thing.
      # About the third.
      - id: three
        do: Do the third thing.
        details: |
          Two lines
            of text.

  - group: valves
    for each: [inlet, exhaust]
    steps:
      - id: turn
        do: Turn the crank for {place}.
      - id: set
        do: Set {place}.
        measure:
          - {name: lift, unit: mm, limits: [1, 2], only if: {pattern: early}}
          - {name: lift, unit: mm, limits: [3, 4], only if: {pattern: late}}   # the later one

  - group: lids
    tray: three
    steps:
      - id: lid
        do: Put the lid on.
      - id: cap
        do: Put the cap on.

  # About the last.
  - id: last
    do: Do the last thing.
"""


def _patched(*proposals: Proposal, text: str = VALVES) -> Patched:
    return patched(parse_procedure(text.encode(), "valves.yaml"), proposals)


def _ids(text: str) -> list[str]:
    return [step.id for step in parse_procedure(text.encode(), "valves.yaml").procedure.steps]


def _kept(text: str, but: Sequence[str] = ()) -> bool:
    """Whether every line is there still, whatever its indent."""
    there = [line.strip() for line in text.splitlines()]
    return all(line.strip() in there or line.strip() in but for line in VALVES.splitlines())


def move(step: str, other: str, after: bool = False) -> MoveStep:
    return MoveStep(step, other, after, "it was done so in all 3 jobs")


def test_a_step_is_moved_past_a_whole_group() -> None:
    made = _patched(move("one", "three", after=True))
    assert _ids(made.text)[:3] == ["two", "three", "one"]
    assert "\n  - id: one\n    do: Do the first thing.   # by hand\n" in made.text
    assert not made.told and _kept(made.text)


def test_a_step_is_moved_into_a_group_and_out_of_one_with_its_indent() -> None:
    made = _patched(move("two", "one"))
    assert _ids(made.text)[:3] == ["two", "one", "three"]
    assert "\n  - id: two\n    do: Do the second thing.\n" in made.text
    made = _patched(move("one", "two", after=True))
    assert _ids(made.text)[:3] == ["two", "one", "three"]
    assert "\n      - id: one\n        do: Do the first thing.   # by hand\n" in made.text
    made = _patched(move("three", "one"))
    assert "\n  # About the third.\n  - id: three\n" in made.text
    assert parse_procedure(made.text.encode(), "p").procedure.by_id("three").details == (
        parse_procedure(VALVES.encode(), "p").procedure.by_id("three").details
    )
    assert _kept(made.text)


def test_a_repeated_step_is_moved_where_it_was_done_so_at_all_its_places() -> None:
    moves = [move(f"turn/{place}", f"set/{place}", after=True) for place in ("inlet", "exhaust")]
    made = _patched(*moves)
    assert _ids(made.text)[3:7] == ["set/inlet", "turn/inlet", "set/exhaust", "turn/exhaust"]
    assert made.text.count("From experience") == 1 and _kept(made.text)
    one = _patched(moves[0])
    assert one.text == VALVES
    assert [reason for _, reason in one.told] == [
        "it is written once for all its places, and was done so at some of them only"
    ]


@pytest.mark.parametrize(
    ("wanted", "reason"),
    [
        (move("lid", "one"), 'the group "lids" has "tray"'),
        (move("one", "lid", after=True), 'the group "lids" has "tray"'),
        (move("last", "set/exhaust"), "this belongs between two of them"),
        (move("turn/inlet", "turn/exhaust", after=True), "both are one step in the file"),
    ],
)
def test_what_can_not_be_moved_is_told_with_the_reason(wanted: MoveStep, reason: str) -> None:
    made = _patched(wanted)
    assert made.text == VALVES
    ((_, told),) = made.told
    assert reason in told


@given(st.lists(st.sampled_from(list(permutations(_ids(VALVES), 2))), max_size=4), st.booleans())
def test_a_move_does_what_it_says_and_loses_nothing(pairs: list[tuple[str, str]], after: bool) -> None:
    moves = [move(step, other, after) for step, other in pairs]
    made = _patched(*moves)
    assert len(made.made) + len(made.told) == len(moves)
    assert _kept(made.text)
    assert sorted(_ids(made.text)) == sorted(_ids(VALVES))
    if len(moves) == 1 and made.made:
        order = _ids(made.text)
        assert (order.index(pairs[0][0]) > order.index(pairs[0][1])) is after


def test_a_figure_goes_to_its_variant_and_only_where_its_places_agree() -> None:
    inlet, exhaust = (SetFigure(f"set/{place}", "lift", "target", "3.5", "3 jobs", 1) for place in ("inlet", "exhaust"))
    made = _patched(inlet, exhaust)
    late = "          - {name: lift, unit: mm, limits: [3, 4], only if: {pattern: late}}   # the later one"
    assert late.replace("[3, 4]", "[3, 4], target: 3.5") in made.text
    assert not made.told and _kept(made.text, but=[late.strip()])
    assert [told for _, told in _patched(inlet).told] == [
        "it is written once for all its places, and they do not agree"
    ]


def test_a_remark_on_a_repeated_step_says_at_which_place() -> None:
    made = _patched(Remark("set/inlet", "lift was out of limits at first in 3 of 3 jobs"))
    assert "      # From experience: inlet: lift was out of limits" in made.text


def test_a_step_of_an_included_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "valves.yaml").write_text(VALVES, "utf-8")
    path = tmp_path / "whole.yaml"
    path.write_text(
        "title: Whole\nitem: rig\nrevision: 1\nsteps:\n  - {id: a, do: Press it.}\n  - {include: valves.yaml}\n",
        "utf-8",
    )
    assert main(["check", str(path)]) == 0
    made = patched(parse_procedure(path.read_bytes(), path), [move("one", "a"), Remark("a", "gone back to")])
    assert [reason for _, reason in made.told] == ["it stands in an included file"]
    assert made.text == path.read_text("utf-8").replace("  - {id: a", "  # From experience: gone back to.\n  - {id: a")
