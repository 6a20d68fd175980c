"""What doing or leaving out a step costs: what is shut in or blocked can't be got at (common practice)."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.procedure.order import BLOCKING, TRAPPING, Cost, can_be_done, costs, costs_of_leaving_out


@dataclass(frozen=True)
class Step:
    """A step with only what the order asks of it."""

    id: str
    needs: tuple[str, ...] = ()
    works_on: tuple[str, ...] = ()
    traps: tuple[str, ...] = ()
    frees: tuple[str, ...] = ()
    gets_at: tuple[str, ...] = ()
    blocks: tuple[str, ...] = ()
    opens: tuple[str, ...] = ()

    @property
    def only_if(self) -> dict[str, tuple[str, ...]]:
        return {}


PINION = (Step("set", works_on=("pinion",)), Step("cover", traps=("pinion",)), Step("lift", frees=("pinion",)),
          Step("oil", works_on=("pinion",)))  # fmt: skip


class Status:
    """Steps are open but for those that are named."""

    def __init__(self, **became: str) -> None:
        self._became = became

    def __call__(self, step: str) -> str:
        return self._became.get(step, "open")


def test_what_is_needed_and_not_done_costs_and_what_is_done_does_not() -> None:
    steps = (Step("one"), Step("two", needs=("one",)))
    assert costs(steps, 1, Status()) == [Cost("needs", 0)]
    assert costs(steps, 1, Status(one="done")) == []


def test_shutting_a_part_in_costs_those_before_that_still_work_on_it() -> None:
    assert costs(PINION, 1, Status()) == [Cost("closes", 0, "pinion", TRAPPING)]
    assert costs(PINION, 1, Status(set="done")) == []


def test_a_part_is_out_of_reach_from_when_it_is_shut_in_until_it_is_freed() -> None:
    assert costs(PINION, 3, Status(cover="done")) == [Cost("closed", 1, "pinion", TRAPPING)]
    assert costs(PINION, 3, Status(cover="done", lift="done")) == []


def test_a_step_that_was_skipped_has_closed_nothing_and_opened_nothing() -> None:
    assert costs(PINION, 3, Status(cover="skipped")) == []
    assert costs(PINION, 3, Status(cover="done", lift="skipped")) == [Cost("closed", 1, "pinion", TRAPPING)]


def test_what_is_closed_from_the_beginning_wants_its_opening_first() -> None:
    steps = (Step("open", opens=("drum",)), Step("clean", gets_at=("drum",)))
    assert costs(steps, 1, Status()) == [Cost("not opened", 0, "drum", BLOCKING)]
    assert costs(steps, 1, Status(open="done")) == []


def test_a_step_that_itself_frees_the_part_it_works_on_is_not_kept_from_it() -> None:
    steps = (Step("cover", traps=("pinion",)), Step("take out", works_on=("pinion",), frees=("pinion",)))
    assert costs(steps, 1, Status(cover="done")) == []


def test_leaving_out_what_frees_a_part_costs_those_that_work_on_it_later() -> None:
    assert costs_of_leaving_out(PINION, 2, Status(set="done", cover="done")) == [Cost("needs", 3)]
    assert costs_of_leaving_out(PINION, 2, Status(set="done", cover="done", oil="done")) == []


def test_a_step_left_out_is_shut_out_by_the_next_that_closes_unless_it_is_opened_before() -> None:
    assert costs_of_leaving_out(PINION, 0, Status()) == [Cost("closes", 1, "pinion", TRAPPING)]
    opened_first = (
        Step("set", works_on=("pinion",)),
        Step("lift", frees=("pinion",)),
        Step("cover", traps=("pinion",)),
    )
    assert costs_of_leaving_out(opened_first, 0, Status()) == []


def test_can_be_done_are_the_open_steps_with_nothing_in_their_way_that_shut_nothing_out() -> None:
    steps = (Step("set", works_on=("pinion",)), Step("cover", traps=("pinion",)), Step("wipe"))
    assert can_be_done(steps, Status()) == [0, 2]
    assert can_be_done(steps, Status(set="done", wipe="skipped")) == [1]
