"""What happened in a job, one line for each event, and what was corrected by what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from handsfree.guide.wording import duration
from handsfree.job.events import (
    CheckAnswered,
    EntryWithdrawn,
    Event,
    JobFinished,
    JobOpened,
    JobPaused,
    JobResumed,
    NoteKept,
    OutcomeGiven,
    ProcedureTakenUp,
    QuestionAnswered,
    ReadingLogged,
    StepDone,
    StepRedone,
    StepSkipped,
    TimerStarted,
)
from handsfree.procedure.model import Procedure
from handsfree.review.figures import decision_words, name

_COMMON = {"kind", "at", "step", "heard", "recogniser", "clip", "id"}
_SILENT = {"reading settled", "job opened"}


@dataclass(frozen=True)
class Happening:
    """One line of the time line. ``seq`` is the event's running number in the log, counted from one."""

    seq: int
    at: datetime
    step: int | None
    """Number of the step at which it happened."""
    kind: str
    text: str
    heard: str | None
    recogniser: str | None
    clip: str | None


@dataclass(frozen=True)
class Correction:
    """An entry that no longer stands: what it said, what stands in its place, and how much later that was."""

    at: datetime
    step: int | None
    what: str
    before: str
    after: str
    """The present value, or why there is none: "taken back"."""
    seconds_later: float

    @property
    def words(self) -> str:
        """ "4 thou, corrected from 14 thou, 20 seconds later"."""
        later = f"{duration(self.seconds_later)} later" if self.seconds_later >= 0.5 else "at once"
        if self.after[:1].isdigit() or self.after.startswith("-"):
            return f"{self.after}, corrected from {self.before}, {later}"
        return f"{self.before}, {self.after}, {later}"


def time_line(procedure: Procedure, events: Sequence[Event]) -> list[Happening]:
    """Every event in words, oldest first."""
    numbers = {step.id: number for number, step in enumerate(procedure.steps, 1)}
    entries = {event.id: event for event in events if isinstance(event, (ReadingLogged, CheckAnswered, NoteKept))}
    return [
        Happening(
            seq,
            event.at,
            numbers.get(event.step or ""),
            event.kind,
            event_words(event, entries),
            event.heard,
            event.recogniser,
            event.clip,
        )
        for seq, event in enumerate(events, 1)
    ]


def event_words(event: Event, entries: Mapping[str, Event]) -> str:
    """What an event says; ``entries`` are readings, checks and notes by identifier."""
    match event:
        case JobOpened():
            return f"job opened: {event.title}, revision {event.revision}"
        case ProcedureTakenUp():
            return f"procedure taken up: {event.title}, revision {event.revision}"
        case ReadingLogged():
            words = f"{name(event)}: {event.as_said}"
            return f"{words}, {decision_words(event)}" if event.limits != "none" else words
        case CheckAnswered():
            return f"check answered {'yes' if event.passed else 'no'}: {event.question}"
        case NoteKept():
            return f"note: {event.text or '(not understood)'}"
        case OutcomeGiven():
            reason = f": {event.reason}" if event.reason else ""
            return f"{_entry(entries, event.id)}: {event.outcome}{reason}"
        case EntryWithdrawn():
            return f"{event.why}: {_entry(entries, event.id)}"
        case StepDone():
            return f"step done without: {'; '.join(event.missing)}" if event.missing else "step done"
        case StepSkipped():
            return f"step skipped: {event.reason}"
        case StepRedone():
            return f"step done again; no longer standing: {', '.join(event.stale_steps)}"
        case QuestionAnswered():
            return f"{event.name}: {event.answer}" + (" (by its serial number)" if event.how == "serial number" else "")
        case TimerStarted():
            return f"timer started: {event.name}, {duration(event.seconds)}"
        case JobFinished():
            return f"job finished with: {'; '.join(event.open_points)}" if event.open_points else "job finished"
        case _:
            said = [_plain(value) for key, value in event.model_dump(exclude_none=True).items() if key not in _COMMON]
            named = getattr(event, "id", None)
            said += [_entry(entries, str(named))] if named in entries else []
            return ": ".join(filter(None, (event.kind, ", ".join(filter(None, said)))))


def _plain(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, (list, tuple)) else str(value)


def _entry(entries: Mapping[str, Event], entry: str) -> str:
    event = entries.get(entry)
    if isinstance(event, ReadingLogged):
        return f"{name(event)}, {event.as_said}"
    if isinstance(event, CheckAnswered):
        return "the check"
    return f"the note, {event.text}" if isinstance(event, NoteKept) and event.text else "the note"


def corrections(procedure: Procedure, events: Sequence[Event]) -> list[Correction]:
    """Every entry that was corrected, taken back or set again, or that a step done again made stale."""
    numbers = {step.id: number for number, step in enumerate(procedure.steps, 1)}
    entries: dict[str, ReadingLogged | CheckAnswered | NoteKept] = {}
    found = []
    for event in events:
        for old, after in _ended(event, entries):
            later = (event.at - old.at).total_seconds()
            what, before = _what(old)
            found.append(Correction(event.at, numbers.get(old.step or ""), what, before, after, later))
            entries.pop(old.id, None)
        if isinstance(event, (ReadingLogged, CheckAnswered, NoteKept)):
            entries[event.id] = event
    return found


_Entry = ReadingLogged | CheckAnswered | NoteKept


def _ended(event: Event, entries: Mapping[str, _Entry]) -> Iterator[tuple[_Entry, str]]:
    """The entries that an event ends, each with what stands in its place."""
    match event:
        case ReadingLogged(corrects=str(old)) if old in entries:
            yield entries[old], event.as_said
        case EntryWithdrawn() if event.id in entries:
            yield entries[event.id], event.why
        case OutcomeGiven(outcome="set again") if event.id in entries:
            yield entries[event.id], "set again"
        case StepRedone():
            for entry in list(entries.values()):
                if entry.step in event.stale_steps and not isinstance(entry, NoteKept):
                    yield entry, "no longer standing, as a step was done again"
        case _:
            pass


def _what(event: _Entry) -> tuple[str, str]:
    if isinstance(event, ReadingLogged):
        return name(event), event.as_said
    if isinstance(event, CheckAnswered):
        return event.question, "yes" if event.passed else "no"
    return "note", event.text or "(not understood)"


def step_times(events: Sequence[Event]) -> dict[str, timedelta]:
    """The time at each step, without pauses and the gaps that a crash made."""
    total: dict[str, timedelta] = {}
    here: str | None = None
    before: datetime | None = None
    away = False
    for event in events:
        if before is not None and here is not None and not away and not isinstance(event, JobResumed):
            total[here] = total.get(here, timedelta()) + (event.at - before)
        before = event.at
        away = isinstance(event, JobPaused) or (away and not isinstance(event, JobResumed))
        if event.kind == "step entered":
            here = event.step
        elif isinstance(event, JobFinished):
            here = None
    return total
