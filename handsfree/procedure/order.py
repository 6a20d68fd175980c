"""The order of steps: what has to come first, what shuts a part in, what blocks a place, and what that costs.

A step *needs* others; it *traps* parts that others work on, until one *frees* them; it *blocks* places that others
get at, until one *opens* them. Nothing here knows a job: what is done comes in as a function.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from typing import Literal, Protocol

from handsfree.procedure.variants import Condition, exclude_each_other


class Ordered(Protocol):
    """What the order wants to know of a step."""

    @property
    def id(self) -> str | None: ...
    @property
    def needs(self) -> Sequence[str]: ...
    @property
    def works_on(self) -> Sequence[str]: ...
    @property
    def traps(self) -> Sequence[str]: ...
    @property
    def frees(self) -> Sequence[str]: ...
    @property
    def gets_at(self) -> Sequence[str]: ...
    @property
    def blocks(self) -> Sequence[str]: ...
    @property
    def opens(self) -> Sequence[str]: ...
    @property
    def only_if(self) -> Condition: ...


@dataclass(frozen=True)
class Obstruction:
    """One of the two ways in which a thing goes out of reach; keys as in the file."""

    uses: str
    reopens: str
    closed: str
    """How it is said that it is out of reach."""

    def used(self, step: Ordered) -> Sequence[str]:
        return step.works_on if self is TRAPPING else step.gets_at

    def closed_by(self, step: Ordered) -> Sequence[str]:
        return step.traps if self is TRAPPING else step.blocks

    def reopened_by(self, step: Ordered) -> Sequence[str]:
        return step.frees if self is TRAPPING else step.opens


TRAPPING = Obstruction("works on", "frees", "shut in")
BLOCKING = Obstruction("gets at", "opens", "blocked")
OBSTRUCTIONS = (TRAPPING, BLOCKING)


@dataclass(frozen=True)
class OrderFault:
    """What can't work: position of the step (from nought), key and entry concerned, and the words."""

    at: int
    key: str
    entry: int
    message: str


def faults(steps: Sequence[Ordered]) -> Iterator[OrderFault]:
    """Every order that can't work: circles first, then what stands in the wrong place."""
    in_circles: set[tuple[int, int]] = set()
    for circle in _circles(steps):
        in_circles |= {(one, other) for one in circle for other in circle}
        yield _circle_fault(steps, circle)
    positions = _positions(steps)
    for at, step in enumerate(steps):
        for entry, need in enumerate(step.needs):
            other = positions.get(need)
            if other is not None and other > at and (at, other) not in in_circles:
                yield OrderFault(at, "needs", entry, f'"needs": "{need}" is a later step; put it before this one')
    for way in OBSTRUCTIONS:
        yield from _out_of_reach(steps, way, in_circles)


def _positions(steps: Sequence[Ordered]) -> dict[str, int]:
    return {step.id: at for at, step in reversed(list(enumerate(steps))) if step.id is not None}


def _before(steps: Sequence[Ordered]) -> dict[int, set[int]]:
    """For each step those that have to come before it."""
    positions = _positions(steps)
    before: dict[int, set[int]] = {at: set() for at in range(len(steps))}
    for at, step in enumerate(steps):
        before[at] |= {positions[need] for need in step.needs if need in positions}
    for way in OBSTRUCTIONS:
        ends = {thing for step in steps for thing in way.reopened_by(step)}
        users: dict[str, list[int]] = {}
        for at, step in enumerate(steps):
            for thing in way.used(step):
                users.setdefault(thing, []).append(at)
        for at, step in enumerate(steps):
            for thing in way.closed_by(step):
                # What is opened again later may be used on both sides.
                if thing not in ends:
                    before[at] |= {
                        user
                        for user in users.get(thing, ())
                        if user != at and not exclude_each_other(steps[user].only_if, step.only_if)
                    }
    return before


def _circles(steps: Sequence[Ordered]) -> Iterator[list[int]]:
    before = _before(steps)
    while True:
        try:
            TopologicalSorter(before).prepare()
            return
        except CycleError as error:
            # A list in which each one has to come before the next, closed by its first.
            circle: list[int] = error.args[1]
            yield circle[:-1]
            for one, other in pairwise(circle):
                before[other].discard(one)


def _circle_fault(steps: Sequence[Ordered], circle: list[int]) -> OrderFault:
    first = min(circle)
    if len(circle) == 1:
        return OrderFault(first, "needs", 0, f'"needs": "{steps[first].id}" is this step itself; take it out')
    turned = circle[circle.index(first) :] + circle[: circle.index(first)]
    # ``turned[-1]`` has to come before the first: say that last.
    said = [_why_before(steps, one, other) for one, other in zip(turned, [*turned[1:], turned[0]], strict=True)]
    key = next((key for key in ("needs", "traps", "blocks") if _entries(steps[first], key)), "needs")
    return OrderFault(first, key, 0, f"these steps can't be put in any order: {'; '.join(said)}; take one of these out")


def _entries(step: Ordered, key: str) -> Sequence[str]:
    return {"needs": step.needs, "traps": step.traps, "blocks": step.blocks}[key]


def _why_before(steps: Sequence[Ordered], one: int, other: int) -> str:
    if steps[one].id in steps[other].needs:
        return f"step {other + 1} needs step {one + 1}"
    for way, verb in ((TRAPPING, "shuts in"), (BLOCKING, "blocks")):
        for thing in way.closed_by(steps[other]):
            if thing in way.used(steps[one]):
                return f"step {other + 1} {verb} the {thing} of step {one + 1}"
    return f"step {one + 1} comes before step {other + 1}"


def _out_of_reach(steps: Sequence[Ordered], way: Obstruction, in_circles: set[tuple[int, int]]) -> Iterator[OrderFault]:
    closed: dict[str, list[int]] = {}
    reopened_first = _reopened_first(steps, way)
    for at, step in enumerate(steps):
        for thing in way.reopened_by(step):
            closed.pop(thing, None)
            reopened_first.pop(thing, None)
        for entry, thing in enumerate(way.used(step)):
            if thing in reopened_first:
                yield OrderFault(
                    at, way.uses, entry,
                    f'"{way.uses}": the {thing} is out of reach until step {reopened_first[thing] + 1} '
                    f"{way.reopens} it; put this step after that one",
                )  # fmt: skip
            for by in closed.get(thing, ()):
                if (at, by) not in in_circles and not exclude_each_other(steps[by].only_if, step.only_if):
                    yield OrderFault(
                        at, way.uses, entry,
                        f'"{way.uses}": the {thing} is {way.closed} by step {by + 1}; put this step before that one, '
                        f"or let a step between them say that it {way.reopens} the {thing}",
                    )  # fmt: skip
                    break
        for thing in way.closed_by(step):
            closed.setdefault(thing, []).append(at)


def _reopened_first(steps: Sequence[Ordered], way: Obstruction) -> dict[str, int]:
    """Things that are opened before they are ever closed: so they are closed from the beginning."""
    first: dict[str, tuple[str, int]] = {}
    for at, step in enumerate(steps):
        for thing in way.reopened_by(step):
            first.setdefault(thing, ("reopens", at))
        for thing in way.closed_by(step):
            first.setdefault(thing, ("closes", at))
    return {thing: at for thing, (what, at) in first.items() if what == "reopens"}


StatusOf = Callable[[str], str]
"""What has become of a step: "open", "done", "skipped" or "not needed"."""


@dataclass(frozen=True)
class Cost:
    """Why a step can't well be done now, or what it shuts another out of. ``other`` is that step's position."""

    what: Literal["needs", "closes", "closed", "not opened"]
    other: int
    thing: str = ""
    way: Obstruction = TRAPPING


def costs(steps: Sequence[Ordered], at: int, status: StatusOf) -> list[Cost]:
    """What doing step ``at`` now would cost, in the order of the steps concerned."""
    step, positions = steps[at], _positions(steps)
    found = [Cost("needs", positions[need]) for need in step.needs if need in positions and _open(need, status)]
    for way in OBSTRUCTIONS:
        closed = _closed_now(steps, way, status)
        found += [
            Cost("not opened" if _open(steps[closed[thing]].id, status) else "closed", closed[thing], thing, way)
            for thing in way.used(step)
            if thing in closed and closed[thing] != at and thing not in way.reopened_by(step)
        ]
        found += [
            Cost("closes", other, thing, way)
            for thing in way.closed_by(step)
            for other in _users(steps, way, thing, range(at), status)
        ]
    return sorted(found, key=lambda cost: cost.other)


def costs_of_leaving_out(steps: Sequence[Ordered], at: int, status: StatusOf) -> list[Cost]:
    """What leaving step ``at`` out costs those that follow: who needs it, and who will shut it out."""
    step = steps[at]
    found = [
        Cost("needs", other) for other, each in enumerate(steps) if step.id in each.needs and _open(each.id, status)
    ]
    for way in OBSTRUCTIONS:
        later = range(at + 1, len(steps))
        found += [
            Cost("needs", other)
            for thing in way.reopened_by(step)
            for other in _users(steps, way, thing, later, status)
        ]
        for thing in way.used(step):
            for other in later:
                if thing in way.reopened_by(steps[other]):
                    break
                if thing in way.closed_by(steps[other]) and _open(steps[other].id, status):
                    found.append(Cost("closes", other, thing, way))
                    break
    return sorted(found, key=lambda cost: cost.other)


def can_be_done(steps: Sequence[Ordered], status: StatusOf) -> list[int]:
    """The open steps that nothing stands in the way of and that shut nothing out, in order."""
    return [at for at, step in enumerate(steps) if _open(step.id, status) and not costs(steps, at, status)]


def _open(step_id: str | None, status: StatusOf) -> bool:
    return step_id is not None and status(step_id) == "open"


def _users(
    steps: Sequence[Ordered], way: Obstruction, thing: str, among: Iterable[int], status: StatusOf
) -> Iterator[int]:
    for other in among:
        if thing in way.used(steps[other]) and _open(steps[other].id, status):
            yield other


def _closed_now(steps: Sequence[Ordered], way: Obstruction, status: StatusOf) -> Mapping[str, int]:
    """The things that are out of reach, each with the step that closed it (or the one that is to open it)."""
    closed: dict[str, int] = {
        thing: at
        for thing, at in _reopened_first(steps, way).items()
        if _open(steps[at].id, status)
    }  # fmt: skip
    for at, step in enumerate(steps):
        if step.id is None or status(step.id) != "done":
            continue
        for thing in way.reopened_by(step):
            closed.pop(thing, None)
        for thing in way.closed_by(step):
            closed[thing] = at
    return closed
