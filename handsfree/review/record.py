"""The record of a job: everything its log holds, put in order once for the page and the exports.

Field names and meanings are those of the JSON and CSV files; DATA.md lists them. Figures are exact text with their
unit's key beside them, times are ISO 8601 with their offset, durations are seconds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta

from handsfree.job.attendance import workers_of
from handsfree.job.counter.bench_time import at_the_bench
from handsfree.job.counter.orders import orders_of
from handsfree.job.events import (
    CheckAnswered,
    Event,
    FactNoted,
    FileAttached,
    MarkMade,
    NoteKept,
    PartsRemoved,
    ReadingLogged,
)
from handsfree.job.state import Entry, JobState, every_entry
from handsfree.job.stated import in_own_unit, resolution_of
from handsfree.job.tally import tally
from handsfree.procedure.model import Characteristic, Procedure
from handsfree.review.findings import findings_of_job
from handsfree.review.judged_as_found import JudgedAsFound, judged_as_found
from handsfree.review.record_lines import (
    AttachedLine,
    CheckLine,
    FactLine,
    FigureLine,
    Head,
    JobRecord,
    MarkLine,
    MaterialLine,
    NoteLine,
    OrderLine,
    PartsLine,
    ProcedureLine,
    RemovalLine,
    SignedState,
    StepLine,
)
from handsfree.review.timeline import corrections, step_times, time_line
from handsfree.wording.disassembly import mark_words, removed_words
from handsfree.wording.readings import figure_name


def record_of(procedures: Mapping[str, Procedure], state: JobState, events: Sequence[Event], *, job: str) -> JobRecord:
    """The record of the job of this identifier; ``procedures`` are those of the job by name, ``state`` is the fold of
    ``events``. ValueError without a beginning."""
    places = _Places(procedures, state)
    entries = every_entry(state)
    times = step_times(events)
    found = judged_as_found(procedures, state)
    return JobRecord(
        head=_head(procedures, state, events, job),
        procedures=tuple(_procedure(name, each, state, times) for name, each in procedures.items()),
        steps=tuple(line for name, each in procedures.items() for line in _steps(name, each, state.of(name), times)),
        figures=tuple(
            _figure(e.event, e, procedures, places, found.get(e.event.id))
            for e in entries
            if isinstance(e.event, ReadingLogged)
        ),
        checks=tuple(_check(e.event, e, places) for e in entries if isinstance(e.event, CheckAnswered)),
        notes=tuple(_note(e.event, e, places) for e in entries if isinstance(e.event, NoteKept)),
        facts=tuple(_fact(e.event, e) for e in entries if isinstance(e.event, FactNoted)),
        removals=tuple(
            _removal(e.event, e, state.trays.get(e.event.id)) for e in entries if isinstance(e.event, PartsRemoved)
        ),
        marks=tuple(_mark(e.event, e) for e in entries if isinstance(e.event, MarkMade)),
        parts=tuple(
            PartsLine(part=each.part, out=each.out, back=each.back, replaced=each.replaced, still_out=each.still_out)
            for each in tally(state)
        ),
        attached=tuple(
            _attached(e.event, e, state.deleted_files) for e in entries if isinstance(e.event, FileAttached)
        ),
        orders=tuple(
            OrderLine(
                id=each.id, at=each.at.isoformat(), what=each.what, count=each.count, size=each.size, stage=each.stage
            )
            for each in orders_of(state)
        ),
        materials=tuple(line for name, each in procedures.items() for line in _materials(name, each, state.of(name))),
        findings=tuple(findings_of_job(procedures, state)),
        corrections=tuple(corrections(procedures, events)),
        time_line=tuple(time_line(procedures, events)),
    )


class _Places:
    """Which procedure and step an entry belongs to."""

    def __init__(self, procedures: Mapping[str, Procedure], state: JobState) -> None:
        self._of = {id_: name for name in procedures for id_ in state.of(name).entries}
        self._numbers = {
            (name, step.id): number for name, each in procedures.items() for number, step in enumerate(each.steps, 1)
        }

    def __call__(self, id_: str, step: str | None) -> tuple[str, int | None]:
        """The procedure's name, and the step's number."""
        name = self._of.get(id_, "")
        return name, self._numbers.get((name, step or ""))


def _head(procedures: Mapping[str, Procedure], state: JobState, events: Sequence[Event], job: str) -> Head:
    opened, last = state.opened, state.last
    if opened is None or last is None:
        raise ValueError(f"job {job} has no beginning")
    first = next(iter(procedures.values()), None)
    whole = (state.finished or last) - opened.at
    return Head(
        job=job,
        state="finished" if state.finished else "paused" if state.paused else "not finished",
        item=state.fact("item") or (first.item if first else "not given"),
        serial=state.fact("serial"),
        owner=state.fact("owner"),
        workshop=next((each.workshop for each in procedures.values() if each.workshop), None),
        opened=opened.at.isoformat(),
        finished=state.finished.isoformat() if state.finished else None,
        last=last.isoformat(),
        seconds_at_bench=at_the_bench(events).total_seconds(),
        seconds_in_all=whole.total_seconds(),
        workers=tuple(workers_of(events)),
        signed=_signed(state),
        handed_over=state.handed_over.at.isoformat() if state.handed_over else None,
        not_given_back=state.handed_over.kept if state.handed_over else None,
    )


def _signed(state: JobState) -> SignedState | None:
    given = state.signature
    if given is None:
        return None
    at = state.every_entry[given.entry].event.at.isoformat()
    return SignedState(name=given.name, at=at, event=given.number - 1, stands=given.stands)


def _procedure(
    name: str, procedure: Procedure, state: JobState, times: Mapping[tuple[str, str], timedelta]
) -> ProcedureLine:
    brought = state.procedures.get(name)
    return ProcedureLine(
        procedure=name,
        title=procedure.title,
        revision=procedure.revision,
        procedure_sha256=brought.procedure_sha256 if brought is not None else "",
        variant=tuple(f"{question}: {answer}" for question, answer in state.of(name).answers.items()),
        seconds=sum(took.total_seconds() for (of, _), took in times.items() if of == name),
        apart=state.takes_apart(name),
    )


def _steps(
    name: str, procedure: Procedure, state: JobState, times: Mapping[tuple[str, str], timedelta]
) -> Iterator[StepLine]:
    for number, step in enumerate(procedure.steps, 1):
        yield StepLine(
            procedure=name,
            number=number,
            step=step.id,
            act=step.act,
            state=state.status(step.id),
            reason=state.reasons.get(step.id),
            missing=state.missing.get(step.id, ()),
            seconds=times.get((name, step.id), timedelta()).total_seconds(),
            by=state.progress.done_by.get(step.id),
        )


def measured(procedure: Procedure | None, step: str | None, characteristic: str) -> Characteristic | None:
    """What the procedure says of a characteristic at a step; None where it says nothing."""
    if procedure is None:
        return None
    found = (each for candidate in procedure.steps if candidate.id == step for each in candidate.characteristics)
    return next((each for each in found if each.name == characteristic), None)


def entry_state(entry: Entry) -> str:
    if entry.withdrawn is not None:
        return entry.withdrawn
    if entry.stale:
        return "no longer standing"
    return "standing" if entry.settled else "provisional"


def _figure(
    event: ReadingLogged,
    entry: Entry,
    procedures: Mapping[str, Procedure],
    places: _Places,
    judged: JudgedAsFound | None,
) -> FigureLine:
    name, number = places(event.id, event.step)
    asked = judged.measured if judged else measured(procedures.get(name), event.step, event.characteristic)
    # The procedure's bounds are in its own unit: beside a figure in another they would be false.
    own = asked is not None and asked.unit == event.unit
    low, high, target = (asked.low, asked.high, asked.target) if asked and own else (None, None, None)
    return FigureLine(
        id=event.id,
        at=event.at.isoformat(),
        procedure=name,
        step_number=number,
        step=event.step,
        characteristic=event.characteristic,
        place=event.place,
        occasion=event.occasion,
        value=in_own_unit(event, resolution_of(event, procedures.get(name))).text,
        unit=event.unit,
        as_said=event.as_said,
        low=low.text if low else None,
        high=high.text if high else None,
        target=target.text if target else None,
        limits=judged.limits if judged else event.limits,
        tool=event.tool,
        tool_identity=event.tool_identity,
        tool_calibrated=event.tool_calibrated,
        tool_overdue=event.tool_overdue,
        uncertainty=judged.uncertainty if judged else event.uncertainty,
        uncertainty_assumed=event.uncertainty_assumed,
        decision=judged.decision if judged else event.decision,
        beyond=judged.beyond if judged else event.beyond,
        side=judged.side if judged else event.side,
        judged_by=judged.procedure if judged else None,
        judged_as=figure_name(judged.measured.name, judged.place) if judged else None,
        state=entry_state(entry),
        outcome=entry.outcome,
        reason=entry.reason,
        corrects=event.corrects,
        heard=event.heard,
        recogniser=event.recogniser,
        clip=event.clip,
        by=entry.by,
    )


def _check(event: CheckAnswered, entry: Entry, places: _Places) -> CheckLine:
    procedure, number = places(event.id, event.step)
    return CheckLine(
        id=event.id,
        at=event.at.isoformat(),
        procedure=procedure,
        step_number=number,
        step=event.step,
        question=event.question,
        answer="yes" if event.passed else "no",
        state=entry_state(entry),
        heard=event.heard,
        clip=event.clip,
        by=entry.by,
    )


def _note(event: NoteKept, entry: Entry, places: _Places) -> NoteLine:
    procedure, number = places(event.id, event.step)
    return NoteLine(
        id=event.id,
        at=event.at.isoformat(),
        procedure=procedure,
        step_number=number,
        step=event.step,
        text=entry.text,
        seconds=event.seconds,
        to_type=entry.to_type,
        state=entry_state(entry),
        clip=event.clip,
        by=entry.by,
    )


def _removal(event: PartsRemoved, entry: Entry, tray: int | None) -> RemovalLine:
    return RemovalLine(
        id=event.id,
        at=event.at.isoformat(),
        procedure=entry.procedure or "",
        words=removed_words(event),
        sort=event.sort,
        what=event.what,
        count=event.count,
        size=event.size,
        head=event.head,
        finish=event.finish,
        left_hand=event.left_hand,
        place=event.place,
        way=event.way,
        thickness=event.thickness,
        tray=tray,
        state=entry_state(entry),
        clip=event.clip,
        by=entry.by,
    )


def _mark(event: MarkMade, entry: Entry) -> MarkLine:
    return MarkLine(
        id=event.id,
        at=event.at.isoformat(),
        procedure=entry.procedure or "",
        words=mark_words(event),
        what=event.what,
        place=event.place,
        parts=event.parts,
        state=entry_state(entry),
        by=entry.by,
    )


def _fact(event: FactNoted, entry: Entry) -> FactLine:
    return FactLine(
        id=event.id,
        at=event.at.isoformat(),
        about=event.about,
        text=entry.text,
        severity=event.severity,
        amount=event.amount,
        to_type=entry.to_type,
        state=entry_state(entry),
        clip=event.clip,
        by=entry.by,
    )


def _attached(event: FileAttached, entry: Entry, deleted: Mapping[str, str]) -> AttachedLine:
    return AttachedLine(
        id=event.id,
        at=event.at.isoformat(),
        name=event.name,
        text=event.text,
        sha256=event.sha256,
        bytes=event.bytes,
        shown_as=event.shown_as,
        to=event.to,
        state=entry_state(entry),
        deleted=deleted.get(event.sha256),
    )


def _materials(name: str, procedure: Procedure, state: JobState) -> Iterator[MaterialLine]:
    for number, step in enumerate(procedure.steps, 1):
        if state.status(step.id) == "done":
            for part in step.lubricants:
                yield MaterialLine(
                    procedure=name,
                    step_number=number,
                    step=step.id,
                    what=part.which,
                    where=part.where,
                    how_much=part.how_much,
                )
