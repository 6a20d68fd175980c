"""The record of a job: everything its log holds, put in order once for the page and the exports.

Field names and meanings are those of the JSON and CSV files; DATA.md lists them. Figures are exact text with their
unit's key beside them, times are ISO 8601 with their offset, durations are seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.job.events import CheckAnswered, Event, FactNoted, NoteKept, ReadingLogged
from handsfree.job.state import Entry, JobState
from handsfree.job.tally import tally
from handsfree.procedure.model import Characteristic, Procedure
from handsfree.review.figures import readings
from handsfree.review.findings import Finding, findings
from handsfree.review.text import at_the_bench
from handsfree.review.timeline import Correction, Happening, corrections, step_times, time_line


@dataclass(frozen=True)
class Head:
    """Which job it is."""

    job: str
    state: str
    """"finished", "paused" or "not finished"."""
    item: str
    serial: str | None
    owner: str | None
    procedure: str
    revision: str
    procedure_sha256: str
    workshop: str | None
    opened: str
    finished: str | None
    last: str
    seconds_at_bench: float
    seconds_in_all: float


@dataclass(frozen=True)
class StepLine:
    """A step and what became of it; ``state`` is "done", "skipped" or "open"."""

    number: int
    step: str
    act: str
    state: str
    reason: str | None
    missing: tuple[str, ...]
    seconds: float


@dataclass(frozen=True)
class FigureLine:
    """A figure as it was logged, and what became of it."""

    id: str
    at: str
    step_number: int | None
    step: str | None
    characteristic: str
    occasion: str
    value: str
    unit: str
    as_said: str
    low: str | None
    """Limits and target in ``unit``, as the procedure has them."""
    high: str | None
    target: str | None
    limits: str
    tool: str | None
    uncertainty: str | None
    """The tool's expanded uncertainty that the decision assumed, with its unit."""
    decision: str
    beyond: str | None
    side: str | None
    state: str
    """"standing", "provisional", "corrected", "taken back", "set again" or "no longer standing"."""
    outcome: str | None
    reason: str | None
    corrects: str | None
    heard: str | None
    recogniser: str | None
    clip: str | None

    @property
    def stands(self) -> bool:
        return self.state in ("standing", "provisional")


@dataclass(frozen=True)
class CheckLine:
    id: str
    at: str
    step_number: int | None
    step: str | None
    question: str
    answer: str
    state: str
    heard: str | None
    clip: str | None


@dataclass(frozen=True)
class NoteLine:
    id: str
    at: str
    step_number: int | None
    step: str | None
    text: str
    seconds: float
    state: str
    clip: str | None


@dataclass(frozen=True)
class FactLine:
    """Something noted about the job as a whole."""

    id: str
    at: str
    about: str
    text: str
    severity: str | None
    to_type: bool
    """Whether the text is only what was understood of free speech."""
    state: str
    clip: str | None


@dataclass(frozen=True)
class PartsLine:
    """The counts of one kind of part; ``still_out`` is less than nought where more went in than came out."""

    part: str
    out: int
    back: int
    replaced: int
    still_out: int


@dataclass(frozen=True)
class MaterialLine:
    """A lubricant that a finished step called for."""

    step_number: int
    step: str
    what: str
    where: str | None
    how_much: str | None


@dataclass(frozen=True)
class JobRecord:
    """All of it. ``figures``, ``checks`` and ``notes`` hold every entry ever made, oldest first."""

    head: Head
    steps: tuple[StepLine, ...]
    figures: tuple[FigureLine, ...]
    checks: tuple[CheckLine, ...]
    notes: tuple[NoteLine, ...]
    facts: tuple[FactLine, ...]
    parts: tuple[PartsLine, ...]
    materials: tuple[MaterialLine, ...]
    findings: tuple[Finding, ...]
    corrections: tuple[Correction, ...]
    time_line: tuple[Happening, ...]


def record_of(procedure: Procedure, state: JobState, events: Sequence[Event], *, job: str) -> JobRecord:
    """The record of the job of this identifier; ``state`` is the fold of ``events``. ValueError without a beginning."""
    numbers = {step.id: number for number, step in enumerate(procedure.steps, 1)}
    entries = list(state.entries.values())
    return JobRecord(
        _head(procedure, state, events, job),
        _steps(procedure, state, events),
        tuple(_figure(reading.event, reading.entry, procedure, numbers) for reading in readings(state)),
        tuple(_check(entry.event, entry, numbers) for entry in entries if isinstance(entry.event, CheckAnswered)),
        tuple(_note(entry.event, entry, numbers) for entry in entries if isinstance(entry.event, NoteKept)),
        tuple(_fact(entry.event, entry) for entry in entries if isinstance(entry.event, FactNoted)),
        tuple(PartsLine(each.part, each.out, each.back, each.replaced, each.still_out) for each in tally(state)),
        _materials(procedure, state),
        tuple(findings(procedure, state)),
        tuple(corrections(procedure, events)),
        tuple(time_line(procedure, events)),
    )


def _head(procedure: Procedure, state: JobState, events: Sequence[Event], job: str) -> Head:
    opened, last = state.opened, state.last
    if opened is None or last is None:
        raise ValueError(f"job {job} has no beginning")
    brought = state.procedures.get(state.working, opened)
    whole = (state.finished or last) - opened.at
    return Head(
        job,
        "finished" if state.finished else "paused" if state.paused else "not finished",
        state.fact("item") or procedure.item,
        state.fact("serial"),
        state.fact("owner"),
        procedure.title,
        procedure.revision,
        brought.procedure_sha256,
        procedure.workshop,
        opened.at.isoformat(),
        state.finished.isoformat() if state.finished else None,
        last.isoformat(),
        at_the_bench(events).total_seconds(),
        whole.total_seconds(),
    )


def _steps(procedure: Procedure, state: JobState, events: Sequence[Event]) -> tuple[StepLine, ...]:
    times = step_times(events)
    return tuple(
        StepLine(
            number,
            step.id,
            step.act,
            state.status(step.id),
            state.reasons.get(step.id),
            state.missing.get(step.id, ()),
            times[step.id].total_seconds() if step.id in times else 0.0,
        )
        for number, step in enumerate(procedure.steps, 1)
    )


def measured(procedure: Procedure, step: str | None, characteristic: str) -> Characteristic | None:
    """What the procedure says of a characteristic at a step; None where it says nothing."""
    found = (each for candidate in procedure.steps if candidate.id == step for each in candidate.characteristics)
    return next((each for each in found if each.name == characteristic), None)


def entry_state(entry: Entry) -> str:
    if entry.withdrawn is not None:
        return entry.withdrawn
    if entry.stale:
        return "no longer standing"
    return "standing" if entry.settled else "provisional"


def _figure(event: ReadingLogged, entry: Entry, procedure: Procedure, numbers: dict[str, int]) -> FigureLine:
    asked = measured(procedure, event.step, event.characteristic)
    # The procedure's bounds are in its own unit: beside a figure in another they would be false.
    own = asked is not None and asked.unit == event.unit
    low, high, target = (asked.low, asked.high, asked.target) if asked and own else (None, None, None)
    return FigureLine(
        event.id,
        event.at.isoformat(),
        numbers.get(event.step or ""),
        event.step,
        event.characteristic,
        event.occasion,
        event.value,
        event.unit,
        event.as_said,
        low.text if low else None,
        high.text if high else None,
        target.text if target else None,
        event.limits,
        event.tool,
        event.uncertainty,
        event.decision,
        event.beyond,
        event.side,
        entry_state(entry),
        entry.outcome,
        entry.reason,
        event.corrects,
        event.heard,
        event.recogniser,
        event.clip,
    )


def _check(event: CheckAnswered, entry: Entry, numbers: dict[str, int]) -> CheckLine:
    return CheckLine(
        event.id,
        event.at.isoformat(),
        numbers.get(event.step or ""),
        event.step,
        event.question,
        "yes" if event.passed else "no",
        entry_state(entry),
        event.heard,
        event.clip,
    )


def _note(event: NoteKept, entry: Entry, numbers: dict[str, int]) -> NoteLine:
    return NoteLine(
        event.id,
        event.at.isoformat(),
        numbers.get(event.step or ""),
        event.step,
        entry.text,
        event.seconds,
        entry_state(entry),
        event.clip,
    )


def _fact(event: FactNoted, entry: Entry) -> FactLine:
    return FactLine(
        event.id,
        event.at.isoformat(),
        event.about,
        entry.text,
        event.severity,
        entry.to_type,
        entry_state(entry),
        event.clip,
    )


def _materials(procedure: Procedure, state: JobState) -> tuple[MaterialLine, ...]:
    return tuple(
        MaterialLine(number, step.id, part.which, part.where, part.how_much)
        for number, step in enumerate(procedure.steps, 1)
        if state.status(step.id) == "done"
        for part in step.lubricants
    )
