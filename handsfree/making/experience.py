"""What several jobs say about their procedure: figures, order, and where people went back."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from handsfree.job.events import Event, ReadingLogged, StepDone, StepEntered
from handsfree.job.state import JobState, fold
from handsfree.job.stated import value_of
from handsfree.measure.figure import Figure, decimal_text, figure_from_text
from handsfree.measure.formatting import written
from handsfree.measure.limits import Decision
from handsfree.measure.units import convert
from handsfree.procedure.model import Characteristic, Procedure, Step
from handsfree.procedure.parts import AS_FOUND
from handsfree.procedure.variants import holds

FEWEST_JOBS = 3
"""Behind a proposal, where nobody says otherwise."""
MOST_MOVES = 5
"""Moves of a step that are proposed at once."""


@dataclass(frozen=True)
class PastJob:
    """A job that was worked by the procedure, in whichever of its revisions."""

    id: str
    events: Sequence[Event]
    """Those that belong to the procedure, where others were worked in the job too."""
    procedure: str = ""
    """Its name; empty where the job knows no other."""

    @property
    def state(self) -> JobState:
        state = fold(self.events)
        return state.of(self.procedure) if self.procedure else state


@dataclass(frozen=True)
class SetFigure:
    """A value for "target" or "limits" of a characteristic, as the file writes it."""

    step: str
    characteristic: str
    key: str
    value: str
    why: str
    entry: int = 0
    """Which of the step's characteristics, from nought: one name can stand for several variants."""


@dataclass(frozen=True)
class MoveStep:
    """A step that belongs before or after another."""

    step: str
    other: str
    after: bool
    why: str


@dataclass(frozen=True)
class Remark:
    """Something the writer should think about; it goes into the file as a comment on the step."""

    step: str
    why: str


Proposal = SetFigure | MoveStep | Remark


def proposals(procedure: Procedure, jobs: Sequence[PastJob], fewest: int) -> list[Proposal]:
    """Everything that at least ``fewest`` jobs speak for, figures first."""
    states = [job.state for job in jobs]
    moves = list(_moves(procedure, jobs, fewest))
    return [
        *_figures(procedure, states, fewest),
        *moves,
        *_went_back(procedure, jobs, fewest, moves),
        *_set_again(procedure, states, fewest),
    ]


def _jobs(count: int) -> str:
    return f"{count} jobs" if count != 1 else "one job"


# figures
def _figures(procedure: Procedure, states: Sequence[JobState], fewest: int) -> Iterator[Proposal]:
    for step in procedure.steps:
        for entry, measured in enumerate(step.characteristics):
            if measured.occasion == AS_FOUND:
                continue  # how things came in says nothing of how they should be
            of_it = (state for state in states if holds(measured.only_if, state.answers) is not False)
            last = [found for state in of_it if (found := _last(state, step, measured)) is not None]
            if len(last) >= fewest:
                yield from (replace(each, entry=entry) for each in _of_one(step, measured, last))


def _last(state: JobState, step: Step, measured: Characteristic) -> ReadingLogged | None:
    """The newest figure that stands and was not only left open."""
    found = [
        entry.event
        for entry in state.readings(step.id, measured.name)
        if isinstance(entry.event, ReadingLogged)
        and entry.event.occasion != AS_FOUND
        and (entry.event.decision != Decision.OUT.value or entry.outcome == "accepted")
    ]
    return found[-1] if found else None


def _value(reading: ReadingLogged, measured: Characteristic) -> Fraction:
    return convert(value_of(reading), reading.unit, measured.unit)


def _of_one(step: Step, measured: Characteristic, last: Sequence[ReadingLogged]) -> Iterator[SetFigure]:
    values = sorted(_value(reading, measured) for reading in last)
    resolution = measured.resolution
    middle, low, high = statistics.median(values), values[0], values[-1]
    behind = f"set between {_shown(low, measured)} and {_shown(high, measured)} in {_jobs(len(values))}"
    if values[0] == values[-1]:
        behind = f"set to {_shown(low, measured)} in {_jobs(len(values))}"
    if resolution:
        middle = round(middle / resolution) * resolution
        low, high = (low // resolution) * resolution, -((-high) // resolution) * resolution
    bounds = measured.limits
    if bounds.low is None and bounds.high is None and low < high:
        limits = f"[{_text(low)}, {_text(high)}]"
        yield SetFigure(step.id, measured.name, "limits", limits, f"no limits so far; {behind}")
    elif measured.between is not None and bounds.low is not None and bounds.high is not None:
        beyond = sum(reading.decision == Decision.OUT.value for reading in last)
        if beyond and beyond == len(last):
            limits = f"[{_text(min(low, bounds.low))}, {_text(max(high, bounds.high))}]"
            why = f"always accepted although out of limits; {behind}"
            yield SetFigure(step.id, measured.name, "limits", limits, why)
    target = bounds.target
    inside = (bounds.low is None or middle >= bounds.low) and (bounds.high is None or middle <= bounds.high)
    if inside and (target is None or abs(middle - target) > (resolution or measured.uncertainty)):
        why = f"no target so far; {behind}" if target is None else behind
        yield SetFigure(step.id, measured.name, "target", _text(middle), why)


def _text(value: Fraction) -> str:
    """As short a decimal as is exact, or to four places."""
    places = next((n for n in range(5) if (value * 10**n).denominator == 1), 4)
    return decimal_text(value, places)


def _shown(value: Fraction, measured: Characteristic) -> str:
    text = _text(value)
    return written(Figure(figure_from_text(text).value, figure_from_text(text).decimals, measured.unit))


# order
def _done_order(job: PastJob) -> dict[str, int]:
    """When each step was first done, by its place among all that was done."""
    first: dict[str, int] = {}
    for event in job.events:
        if isinstance(event, StepDone) and event.step is not None:
            first.setdefault(event.step, len(first))
    return first


def _moves(procedure: Procedure, jobs: Sequence[PastJob], fewest: int) -> Iterator[MoveStep]:
    orders = [_done_order(job) for job in jobs]
    order = [step.id for step in procedure.steps]
    for _ in range(MOST_MOVES):
        wrong = _always_reversed(order, orders, fewest)
        move = _best_move(procedure, order, wrong)
        if move is None:
            return
        step, other, after = move
        count = wrong[other, step] if not after else wrong[step, other]
        # Told in the order in which it was done: "oil" was done before "float".
        early, late = (other, step) if after else (step, other)
        yield MoveStep(
            step,
            other,
            after,
            # By their names: the move changes the numbers.
            f'"{early}" was done before "{late}" in all {_jobs(count)}',
        )
        _move(order, step, other, after)


def _move(order: list[str], step: str, other: str, after: bool) -> None:
    order.remove(step)
    order.insert(order.index(other) + (1 if after else 0), step)


def _always_reversed(
    order: Sequence[str], orders: Sequence[Mapping[str, int]], fewest: int
) -> dict[tuple[str, str], int]:
    """Pairs that stand in this order in the procedure and were done the other way round in every job that did both."""
    found = {}
    for at, one in enumerate(order):
        for other in order[at + 1 :]:
            both = [job for job in orders if one in job and other in job]
            if len(both) >= fewest and all(job[other] < job[one] for job in both):
                found[one, other] = len(both)
    return found


def _best_move(
    procedure: Procedure, order: Sequence[str], wrong: Mapping[tuple[str, str], int]
) -> tuple[str, str, bool] | None:
    """The move of one step that puts most pairs right, and breaks no dependence: step, other, after."""
    best: tuple[int, tuple[str, str, bool]] | None = None
    for step in order:
        before = [one for one, other in wrong if other == step]
        behind = [other for one, other in wrong if one == step]
        options = []
        if before:
            options.append((len(before), (step, min(before, key=order.index), False)))
        if behind:
            options.append((len(behind), (step, max(behind, key=order.index), True)))
        for gain, move in options:
            if (best is None or gain > best[0]) and _allowed(procedure, order, move):
                best = gain, move
    return best[1] if best else None


def _allowed(procedure: Procedure, order: Sequence[str], move: tuple[str, str, bool]) -> bool:
    step, other, after = move
    here, there = order.index(step), order.index(other)
    passed = order[here + 1 : there + 1] if after else order[there:here]
    if after:
        return not any(step in _before(procedure, each) for each in passed)
    return not set(passed) & _before(procedure, step)


def _before(procedure: Procedure, step: str) -> set[str]:
    """The steps that have to come before a step."""
    found = procedure.by_id(step)
    return {*found.rests_on, *getattr(found, "needs", ())}


# back and forth
def _went_back(
    procedure: Procedure, jobs: Sequence[PastJob], fewest: int, moves: Sequence[MoveStep]
) -> Iterator[Proposal]:
    """Where people went back, unless the moves that are proposed make it a way forwards."""
    later = {move.step for move in moves if move.after}
    order = [step.id for step in procedure.steps]
    for move in moves:
        _move(order, move.step, move.other, move.after)
    numbers = {step.id: number for number, step in enumerate(procedure.steps, 1)}
    times: Counter[tuple[str, str]] = Counter()
    for job in jobs:
        entered = [event.step for event in job.events if isinstance(event, StepEntered) and event.step in numbers]
        times.update(
            {(one, other) for one, other in pairwise(entered) if one and other and numbers[other] < numbers[one]}
        )
    for (one, other), count in sorted(times.items(), key=lambda item: numbers[item[0][0]]):
        if count >= fewest and other not in later and order.index(other) < order.index(one):
            yield Remark(one, f'"{other}" was gone back to from here in {count} of {_jobs(len(jobs))}')


def _set_again(procedure: Procedure, states: Sequence[JobState], fewest: int) -> Iterator[Proposal]:
    for step in procedure.steps:
        for measured in step.characteristics:
            of_it = [state for state in states if holds(measured.only_if, state.answers) is not False]
            firsts = [first for state in of_it if (first := _first(state, step, measured)) is not None]
            out = sum(first.decision == Decision.OUT.value for first in firsts)
            if out >= fewest and measured.occasion != AS_FOUND:
                yield Remark(
                    step.id, f"{measured.name} was out of limits at first in {out} of {_jobs(len(firsts))}: what helps?"
                )


def _first(state: JobState, step: Step, measured: Characteristic) -> ReadingLogged | None:
    """The first figure that was meant: what was corrected or taken back does not count."""
    for entry in state.entries.values():
        event = entry.event
        if (
            isinstance(event, ReadingLogged)
            and (event.step, event.characteristic) == (step.id, measured.name)
            and entry.withdrawn in (None, "set again")
        ):
            return event
    return None
