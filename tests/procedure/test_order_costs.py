"""What doing a step now, or leaving it out, costs the others: told before it is done, not afterwards.

A cover that shuts in a pinion, a bridge that blocks a hole (common practice in any assembly): the expected costs are
what somebody with the parts in hand would find.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.model import Step
from handsfree.procedure.order import (
    BLOCKING,
    TRAPPING,
    Cost,
    StatusOf,
    can_be_done,
    costs,
    costs_of_leaving_out,
)


def steps(*texts: str) -> Sequence[Step]:
    """Steps s1, s2, ... with these keys."""
    lines = "".join(f"  - {{id: s{number}, do: x, {text}}}\n" for number, text in enumerate(texts, 1))
    return parse_procedure(f"title: t\nitem: i\nrevision: 1\nsteps:\n{lines}".encode(), "p.yaml").procedure.steps


def now(**become: str) -> StatusOf:
    """A job in which these steps have become that, and the others are open."""
    return lambda step_id: become.get(step_id, "open")


PLAIN = "why: y"


def test_a_step_costs_nothing_where_nothing_stands_against_it() -> None:
    assert costs(steps(PLAIN, PLAIN), 1, now()) == []


@pytest.mark.parametrize(
    ("first", "cost"),
    [("open", [Cost("needs", 0)]), ("done", []), ("skipped", []), ("not needed", [])],
)
def test_what_a_step_needs_is_told_while_it_is_open(first: str, cost: list[Cost]) -> None:
    assert costs(steps(PLAIN, "needs: s1"), 1, now(s1=first)) == cost


def test_a_step_that_shuts_a_part_in_tells_who_still_works_on_it() -> None:
    order = steps("works on: pinion", "works on: pinion", "traps: pinion", PLAIN)
    shut = [Cost("closes", 0, "pinion", TRAPPING), Cost("closes", 1, "pinion", TRAPPING)]
    assert costs(order, 2, now()) == shut
    assert costs(order, 2, now(s1="done")) == shut[1:]
    assert costs(order, 2, now(s1="done", s2="skipped")) == []


def test_a_step_that_blocks_a_place_tells_who_still_gets_at_it() -> None:
    order = steps("gets at: hole", "blocks: hole")
    assert costs(order, 1, now()) == [Cost("closes", 0, "hole", BLOCKING)]
    assert costs(order, 1, now(s1="done")) == []


def test_only_what_comes_before_is_shut_out_by_a_step() -> None:
    # The third works on it after the second has freed it again.
    order = steps("traps: pinion", "frees: pinion", "works on: pinion")
    assert costs(order, 0, now()) == []


def test_what_has_been_shut_in_is_out_of_reach_and_by_whom_is_told() -> None:
    order = steps("works on: pinion", "traps: pinion")
    assert costs(order, 0, now(s2="done")) == [Cost("closed", 1, "pinion", TRAPPING)]
    assert costs(order, 0, now(s2="skipped")) == []
    blocked = steps("gets at: hole", "blocks: hole")
    assert costs(blocked, 0, now(s2="done")) == [Cost("closed", 1, "hole", BLOCKING)]


def test_what_has_been_freed_again_is_within_reach() -> None:
    order = steps("traps: pinion", "frees: pinion", "works on: pinion")
    assert costs(order, 2, now(s1="done")) == [Cost("closed", 0, "pinion", TRAPPING)]
    assert costs(order, 2, now(s1="done", s2="done")) == []
    # Left out, it has freed nothing.
    assert costs(order, 2, now(s1="done", s2="skipped")) == [Cost("closed", 0, "pinion", TRAPPING)]


def test_what_is_closed_from_the_beginning_waits_for_the_step_that_opens_it() -> None:
    order = steps("frees: pinion", "works on: pinion")
    assert costs(order, 1, now()) == [Cost("not opened", 0, "pinion", TRAPPING)]
    assert costs(order, 1, now(s1="done")) == []
    # A step left out has not opened it, but there is nothing left to wait for.
    assert costs(order, 1, now(s1="skipped")) == []


def test_a_place_that_is_closed_from_the_beginning_waits_too() -> None:
    order = steps("opens: drum", "gets at: drum")
    assert costs(order, 1, now()) == [Cost("not opened", 0, "drum", BLOCKING)]
    assert costs(order, 1, now(s1="done")) == []


def test_a_step_that_opens_a_thing_for_itself_is_not_shut_out_of_it() -> None:
    order = steps("traps: pinion", "frees: pinion, works on: pinion")
    assert costs(order, 1, now(s1="done")) == []


def test_a_step_is_not_shut_out_by_itself() -> None:
    order = steps("works on: pinion, traps: pinion")
    assert costs(order, 0, now(s1="done")) == []


def test_costs_come_in_the_order_of_the_steps_they_concern() -> None:
    order = steps("works on: pinion", PLAIN, "gets at: hole", "needs: s2, traps: pinion, blocks: hole")
    assert [(cost.what, cost.other) for cost in costs(order, 3, now())] == [
        ("closes", 0), ("needs", 1), ("closes", 2),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("last", "cost"),
    [("open", [Cost("needs", 1)]), ("done", []), ("skipped", [])],
)
def test_leaving_a_step_out_costs_those_that_need_it(last: str, cost: list[Cost]) -> None:
    assert costs_of_leaving_out(steps(PLAIN, "needs: s1"), 0, now(s2=last)) == cost


def test_leaving_out_what_frees_a_part_costs_those_that_work_on_it_later() -> None:
    order = steps("traps: pinion", "frees: pinion", "works on: pinion", "works on: pinion")
    assert costs_of_leaving_out(order, 1, now()) == [Cost("needs", 2), Cost("needs", 3)]
    assert costs_of_leaving_out(order, 1, now(s3="done")) == [Cost("needs", 3)]
    opened = steps("blocks: hole", "opens: hole", "gets at: hole")
    assert costs_of_leaving_out(opened, 1, now()) == [Cost("needs", 2)]


def test_what_is_left_out_will_be_shut_in_by_the_first_step_that_does() -> None:
    order = steps("works on: pinion", PLAIN, "traps: pinion", "traps: pinion")
    assert costs_of_leaving_out(order, 0, now()) == [Cost("closes", 2, "pinion", TRAPPING)]
    assert costs_of_leaving_out(order, 0, now(s3="skipped")) == [Cost("closes", 3, "pinion", TRAPPING)]
    blocked = steps("gets at: hole", "blocks: hole")
    assert costs_of_leaving_out(blocked, 0, now()) == [Cost("closes", 1, "hole", BLOCKING)]


def test_what_is_opened_again_first_is_not_shut_out_by_what_follows() -> None:
    order = steps("traps: pinion", "frees: pinion, works on: pinion", "frees: pinion", "traps: pinion")
    assert costs_of_leaving_out(order, 1, now(s1="done")) == []


def test_what_is_freed_before_it_is_shut_in_is_not_shut_out() -> None:
    order = steps("traps: pinion", "frees: pinion, works on: pinion", "traps: pinion")
    assert costs_of_leaving_out(order, 0, now()) == []
    assert costs_of_leaving_out(order, 1, now(s1="done")) == [Cost("closes", 2, "pinion", TRAPPING)]


def test_leaving_out_the_last_step_costs_nothing() -> None:
    assert costs_of_leaving_out(steps("works on: pinion", "traps: pinion"), 1, now()) == []


def test_costs_of_leaving_out_come_in_the_order_of_the_steps_too() -> None:
    order = steps("works on: pinion", "traps: pinion", "needs: s1", "needs: s1")
    assert [cost.other for cost in costs_of_leaving_out(order, 0, now())] == [1, 2, 3]


def test_what_can_be_done_now_stands_in_nobody_s_way() -> None:
    order = steps(PLAIN, "works on: pinion", "traps: pinion", "needs: s3")
    assert can_be_done(order, now()) == [0, 1]
    assert can_be_done(order, now(s1="done", s2="done")) == [2]
    assert can_be_done(order, now(s1="done", s2="done", s3="done")) == [3]
    assert can_be_done(order, now(s1="done", s2="done", s3="done", s4="done")) == []
