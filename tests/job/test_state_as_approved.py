"""What each event changes in the state of its job, one after another, and what is made of the job at the counter: word
for word as it was read and found right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from pydantic import BaseModel

from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.counter.before import before_of
from handsfree.job.counter.bench_time import at_the_bench, by_person_and_procedure, spans
from handsfree.job.counter.charges import agreed_amount, charges_of, total_of
from handsfree.job.counter.orders import orders_of, waited_for
from handsfree.job.disassembly import figures_as_found, removals, taken_apart
from handsfree.job.events import (
    ClockSetBack,
    EntryConfirmed,
    EntryWithdrawn,
    Event,
    FactNoted,
    FileAttached,
    HandedOver,
    JobFinished,
    JobPaused,
    JobReopened,
    JobResumed,
    MarkMade,
    NoteKept,
    NoteStretch,
    OutcomeGiven,
    PartFollowed,
    PartsCounted,
    PartsRemoved,
    ProcedureTakenUp,
    PutInTray,
    QuestionAnswered,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    TextTyped,
    TimerAcknowledged,
    TimerRang,
    TimerStarted,
    TimerStopped,
    WorkerChanged,
)
from handsfree.job.state import Entry, JobState, events_of, fold
from handsfree.job.tally import taken_off, tally, unreconciled
from tests.support.approved import assert_approved
from tests.support.everything import EVERYTHING, NAME, OPENED, logged
from tests.support.story import at

APART = ProcedureTakenUp(at=at(23), procedure_name="strip", title="Taking apart", revision="1", procedure_sha256="s",
                         procedure_text="steps:", steps=1, apart=True)  # fmt: skip
BACK = ProcedureTakenUp(at=at(30), procedure_name=NAME, title="Setting", revision="2", procedure_sha256="a", steps=5)
TURNS: list[Event] = [
    OPENED,
    # What names an entry that is not there changes nothing.
    ReadingSettled(at=at(1), id="r99"), EntryWithdrawn(at=at(1), id="r99", why="taken back"),
    OutcomeGiven(at=at(1), id="r99", outcome="accepted"), TextTyped(at=at(1), id="r99", text="x"),
    PartFollowed(at=at(1), id="r99", stage="ordered"), EntryConfirmed(at=at(1), id="r99", point="a point"),
    TimerRang(at=at(1), name="never started", step="cure"), TimerStopped(at=at(1), name="never started"),
    # Questions: the newest answer stands last.
    QuestionAnswered(at=at(2), name="collar", question="?", answer="no", left_out=("collar", "release")),
    QuestionAnswered(at=at(2), name="finish", question="?", answer="blued", left_out=("collar",)),
    QuestionAnswered(at=at(2), name="collar", question="?", answer="yes"),
    # Steps: begun by one, done by another, skipped, done again.
    WorkerChanged(at=at(3), name="Jo Tern"), StepEntered(at=at(3), step="set"), logged(4, "4 thou"),
    WorkerChanged(at=at(5), name="Al Gable"), StepEntered(at=at(5), step="set"),
    StepSkipped(at=at(5), step="set", reason="no time"),
    StepDone(at=at(6), step="set", missing=("no stop gap",), put_back=(("screw", 2),)),
    StepSkipped(at=at(6), step="cure", reason="not now"), StepRedone(at=at(7), step="set", stale_steps=("set", "cure")),
    # A figure that is set again, corrected, taken back.
    logged(8, "9 thou"), OutcomeGiven(at=at(8), id="r8", outcome="set again"), logged(9, "8 thou"),
    logged(10, "4 thou", corrects="r9"), EntryWithdrawn(at=at(10), id="r10", why="taken back"),
    # A note that a crash cut off is of whoever spoke it; a typed fact is of whoever is there.
    NoteStretch(at=at(11), text="it is", seconds=1), JobResumed(at=at(12), step="set"),
    FactNoted(at=at(12), id="f12", about="owner", text="ML"),
    NoteKept(at=at(12), id="n12", text="it is", seconds=1), WorkerChanged(at=at(13), name="Jo Tern"),
    NoteKept(at=at(13), id="n13", text="whole", seconds=1),
    NoteStretch(at=at(14), text="sticks", seconds=1, about="complaint"), WorkerChanged(at=at(14), name="Al Gable"),
    FactNoted(at=at(14), id="f14", about="complaint", text="sticks", to_type=True, seconds=1),
    # A timer for a waiting time, started anew, run twice, rung, got, stopped by its step; a clock set back.
    TimerStarted(at=at(15), step="cure", name="lacquer", seconds=60),
    TimerStarted(at=at(15), step="cure", name="lacquer", seconds=120), TimerRang(at=at(17), name="lacquer"),
    TimerStarted(at=at(18), step="set", name="lacquer", seconds=60, of_step="cure"),
    ClockSetBack(at=at(18), seconds=30),
    TimerRang(at=at(19), name="lacquer"), ClockSetBack(at=at(19), seconds=60), StepDone(at=at(19), step="cure"),
    TimerStarted(at=at(20), name="bath", seconds=60), TimerRang(at=at(21), name="bath"),
    TimerAcknowledged(at=at(21), name="bath"), TimerStarted(at=at(21), name="bath", seconds=5),
    TimerStopped(at=at(21), name="bath"),
    TimerStarted(at=at(21), step="cure", name="lacquer", seconds=5), TimerRang(at=at(22), name="lacquer", step="set"),
    StepRedone(at=at(22), step="cure", stale_steps=("cure",)),
    # Taking apart: numbers that get names, wherever they stand; trays.
    APART, StepEntered(at=at(23), step="strip"),
    PartsRemoved(at=at(23), id="p23", sort="part", what="part one", place="place one", step="strip"),
    PartsRemoved(at=at(23), id="p24", sort="part", what="part ten", place="part one and part ten", step="strip"),
    MarkMade(at=at(24), id="m24", what="two dots", place="part one and place one", parts=("part one", "place one")),
    NoteKept(at=at(24), id="n24", text="the bed", seconds=1, names="place one"),
    TextTyped(at=at(24), id="p23", text="crank"), TextTyped(at=at(25), id="n24", text="bed"),
    PartsRemoved(at=at(25), id="p25", sort="part", what="part one", place="part one side", step="strip"),
    PutInTray(at=at(25), ids=("p23", "p24"), tray=2), PutInTray(at=at(26), ids=("p24",), tray=3),
    TextTyped(at=at(26), id="n13", text="Whole."),
    logged(27, "1 thou", step="strip", occasion="as found", characteristic="end play", decision="no limits"),
    # The job is paused while it rings, and goes on in another procedure; finished, it rings no more.
    TimerStarted(at=at(28), name="oven", seconds=60), TimerRang(at=at(29), name="oven"), JobPaused(at=at(29)),
    BACK, StepEntered(at=at(30), step="release"), JobResumed(at=at(30)),
    PartsCounted(at=at(31), id="c31", part="screw", count=8, way="out"),
    PartsCounted(at=at(31), id="c32", part="screw", count=9, way="out", corrects="c31"),
    # A signature is of the state before it: facts of the counter leave it, work does not.
    FactNoted(at=at(32), id="s32", about="signed off", text="Al Gable"),
    FactNoted(at=at(32), id="f32", about="promised", text="2026-12-04"),
    FileAttached(at=at(32), id="a32", name="x.jpg", sha256="e" * 64, bytes=1),
    FactNoted(at=at(33), id="f33", about="finding", text="worn"),
    JobFinished(at=at(34)), HandedOver(at=at(34)), JobReopened(at=at(35), reason="came back"), JobPaused(at=at(36)),
]  # fmt: skip
"""What the everything of ``tests.support.everything`` does not do, or does once only."""
STORIES = {"everything": EVERYTHING, "turns": TURNS}


@pytest.mark.parametrize("story", STORIES)
def test_what_each_event_changes(story: str) -> None:
    assert_approved(f"state/{story}.txt", "\n".join(_told(STORIES[story])) + "\n")


@pytest.mark.parametrize("story", STORIES)
def test_what_is_made_of_a_job_at_the_counter(story: str) -> None:
    assert_approved(f"state/{story}-at-the-counter.txt", "\n".join(_made_of(STORIES[story])) + "\n")


def _told(events: Sequence[Event]) -> Iterator[str]:
    state = JobState()
    before = dict(_values(state))
    for event in events:
        state.apply(event)
        after = dict(_values(state))
        yield f"{event.kind} {getattr(event, 'id', None) or getattr(event, 'name', None) or event.step or ''}".strip()
        yield from (f"    {name}: {value}" for name, value in after.items() if before.get(name) != value)
        yield from (f"    {name}: gone" for name in before if name not in after)
        before = after


def _values(state: JobState) -> Iterator[tuple[str, str]]:
    """Everything in the state that is not empty, and what is worked out from it, by name."""
    for each in fields(state):
        if each.name not in ("count", "last"):
            yield from _flat(each.name, getattr(state, each.name))
    yield from _flat("purpose", state.purpose)
    yield from _flat("signature", state.signature)
    yield from _flat("hands", sorted(map(str, state.hands)))
    newest = state.last_entry()
    yield from _flat("newest", newest.event.id if newest else None)
    for step in ("set", "cure", "collar", "strip"):
        yield from _flat(f"status of {step}", {"open": ""}.get(state.status(step), state.status(step)))
        yield from _flat(f"hands at {step}", sorted(map(str, state.hands_at(step))))
        yield from _flat(f"check of {step}", getattr(state.check(step), "event", None))
        yield from _flat(f"readings at {step}", [e.event.id for e in state.readings(step, "latch clearance")])
    for about in ("owner", "serial", "item", "complaint"):
        yield from _flat(f"known {about}", state.fact(about))


def _flat(name: str, value: Any) -> Iterator[tuple[str, str]]:
    if isinstance(value, Entry):
        slots = {each.name: getattr(value, each.name) for each in fields(value)}
        slots |= {"text": value.text, "to type": value.to_type, "stands": value.stands}
        yield name, ", ".join(f"{slot} {_plain(held)}" for slot, held in slots.items() if held not in (None, "", False))
    elif isinstance(value, dict):
        for key, each in value.items():
            yield from _flat(f"{name}[{key}]", each)
    elif hasattr(value, "__dataclass_fields__"):
        for each in fields(value):
            yield from _flat(f"{name}.{each.name}", getattr(value, each.name))
    elif value not in (None, "", False, (), [], set(), frozenset()):
        yield name, _plain(value)


def _plain(value: Any) -> str:
    if isinstance(value, BaseModel):
        slots = value.model_dump(exclude_defaults=True)
        left_out = ("kind", "at", "procedure_text", "procedure_sha256", "heard", "recogniser")
        return f"({' '.join(f'{name}={_plain(held)}' for name, held in slots.items() if name not in left_out)})"
    if isinstance(value, datetime):
        return str(value - at(0))
    if isinstance(value, (set, frozenset)):
        return " / ".join(sorted(map(str, value)))
    if isinstance(value, (tuple, list)):
        return " / ".join(map(_plain, value))
    return str(value)


def _made_of(events: Sequence[Event]) -> Iterator[str]:
    state = fold(events)
    made: dict[str, Any] = {
        "tally": tally(state),
        "unreconciled": unreconciled(state),
        "taken off": taken_off(state),
        "removals": [each.id for each in removals(state)],
        "figures as found": [each.id for each in figures_as_found(state)],
        "taken apart": None if (apart := taken_apart(state)) is None else apart.working,
        "orders": orders_of(state),
        "waited for": [order.text for order in waited_for(state)],
        "agreed": agreed_amount(state),
        "time": by_person_and_procedure(events),
        "spans": [f"{span.worker}, {span.procedure}: {span.took}" for span in spans(events)],
        "all of it": at_the_bench(events),
        "events of it": {name: list(events_of(events, name)) for name in (NAME, "cleaning", "strip")},
    }
    hour = Decimal("38.50")
    for said, lines in (
        ("charges", charges_of(state, events, hour, titles={NAME: "Setting"})),
        ("charges for two hours", charges_of(state, events, hour, hours=Decimal(2))),
        ("charges for no time", charges_of(state, events, hour, hours=Decimal(0))),
        ("charges without a price", charges_of(state, events, None)),
    ):
        made[said] = [
            f"{line.what}, {line.by}, {line.procedure}: {line.count} {line.unit} at {line.each}" for line in lines
        ]
        made[f"{said}, together"] = total_of(lines)
    days = {"opened": at(0), "last": at(40)}
    job = JobSummary(id="2026-11-25-1", title="t", procedure=NAME, item="x", serial=None, owner=None, done=1, of=5,
                     status="finished", **days)  # fmt: skip
    earlier = before_of(job, events, date(2027, 1, 1))
    made["before"] = [each for each in vars(earlier).items() if each[0] != "accepted"]
    made["accepted before"] = [entry.event.id for entry in earlier.accepted]
    for name, value in made.items():
        yield f"{name}:"
        listed = value.items() if isinstance(value, dict) else value if isinstance(value, list) else [value]
        yield from (f"    {each}" for each in listed)
