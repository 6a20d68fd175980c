"""What happened in a job, one line for each event, and what was corrected by what."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from handsfree.job.attendance import named_at_each
from handsfree.job.counter.orders import part_text
from handsfree.job.events import (
    AttachedDeleted,
    CheckAnswered,
    ClipsDeleted,
    ClockSetBack,
    EntryWithdrawn,
    Event,
    EventsLost,
    FactNoted,
    FileAttached,
    HandedOver,
    JobFinished,
    JobOpened,
    JobPaused,
    JobResumed,
    MarkMade,
    NoteKept,
    NoteStretch,
    OutcomeGiven,
    PartFollowed,
    PartsCounted,
    PartsRemoved,
    PartWanted,
    ProcedureTakenUp,
    PutInTray,
    QuestionAnswered,
    ReadingLogged,
    StepDone,
    StepRedone,
    StepSkipped,
    TimerStarted,
    WorkerChanged,
)
from handsfree.job.facts import FACTS
from handsfree.job.state import EntryEvent, goes_stale
from handsfree.measure.formatting import in_decimals
from handsfree.procedure.model import Procedure
from handsfree.text.prose import counted, duration, listed
from handsfree.wording.corrections import corrected_from, later, stated_words
from handsfree.wording.disassembly import few_words, mark_words, removed_words
from handsfree.wording.entries import entry_named
from handsfree.wording.facts import fact_written
from handsfree.wording.gaps import lost_words
from handsfree.wording.readings import measured_words, reading_written

_COMMON = {"kind", "at", "step", "heard", "recogniser", "clip", "id", "personal"}
_SILENT = {"reading settled", "job opened"}


@dataclass(frozen=True, kw_only=True)
class Happening:
    """One line of the time line. ``seq`` is the event's running number in the log, counted from one."""

    seq: int
    at: datetime
    procedure: str
    """The name of the procedure that was worked."""
    step: int | None
    """Number of the step at which it happened."""
    kind: str
    text: str
    heard: str | None
    recogniser: str | None
    clip: str | None
    by: str | None
    """Who was at the bench; None: nobody who is named."""


@dataclass(frozen=True, kw_only=True)
class Correction:
    """An entry that no longer stands: what it said, what stands in its place, and how much later that was."""

    at: datetime
    procedure: str
    step: int | None
    what: str
    before: str
    after: str
    """The present value, or why there is none: "taken back"."""
    seconds_later: float
    replaced: bool = False
    """Whether ``after`` is a value."""

    @property
    def words(self) -> str:
        """ "4 thou, corrected from 14 thou, 20 seconds later"."""
        after = timedelta(seconds=self.seconds_later)
        if self.replaced:
            return f"{self.after}, {corrected_from(self.before, after)}"
        return f"{self.before}, {self.after}, {later(after)}"


def in_procedures(events: Sequence[Event]) -> Iterator[tuple[str, Event]]:
    """The events of a job, each with the name of the procedure that was being worked."""
    working = ""
    for event in events:
        if isinstance(event, (JobOpened, ProcedureTakenUp)):
            working = event.procedure_name
        yield working, event


def _numbers(procedures: Mapping[str, Procedure]) -> dict[tuple[str, str], int]:
    """The number of each step by its procedure and its own name."""
    return {(name, step.id): at for name, each in procedures.items() for at, step in enumerate(each.steps, 1)}


def _number_of(numbers: Mapping[tuple[str, str], int], procedure: str, step: str) -> str:
    """The number of a step; its own name where the procedure has none of that name."""
    return str(numbers.get((procedure, step), step))


def time_line(procedures: Mapping[str, Procedure], events: Sequence[Event]) -> list[Happening]:
    """Every event in words, oldest first; ``procedures`` are those of the job by name."""
    numbers = _numbers(procedures)
    entries = {event.id: event for event in events if isinstance(event, EntryEvent)}
    return [
        Happening(
            seq=seq,
            at=event.at,
            procedure=working,
            step=numbers.get((working, event.step or "")),
            kind=event.kind,
            text=event_words(event, entries, partial(_number_of, numbers, working)),
            heard=event.heard,
            recogniser=event.recogniser,
            clip=event.clip,
            by=worker,
        )
        for seq, ((working, event), worker) in enumerate(
            zip(in_procedures(events), named_at_each(events), strict=True), 1
        )
    ]


def event_words(  # noqa: C901, PLR0911, PLR0912 - a line for each kind of event
    event: Event, entries: Mapping[str, Event], number: Callable[[str], str]
) -> str:
    """What an event says; ``entries`` are readings, checks and notes by identifier, ``number`` tells that of a step."""
    match event:
        case JobOpened(procedure_name=""):
            return "job taken in, before a procedure was chosen"
        case JobOpened():
            return f"job opened: {event.title}, revision {event.revision}"
        case ProcedureTakenUp():
            return f"procedure taken up: {event.title}, revision {event.revision}"
        case ReadingLogged():
            return reading_written(event)
        case CheckAnswered():
            return f"check answered {'yes' if event.passed else 'no'}: {event.question}"
        case WorkerChanged():
            return f"at the bench: {event.name}" if event.name else "nobody is named at the bench"
        case NoteStretch():
            return f"note, as it was heard: {event.text or '(not understood)'}"
        case NoteKept():
            return f"note: {event.text or '(not understood)'}"
        case FactNoted():
            return fact_written(event, event.text)
        case PartWanted():
            return f"part to order: {part_text(event.what, event.count, event.size)}"
        case FileAttached():
            about = f": {event.text}" if event.text else ""
            return f"file attached: {event.name} (SHA-256 {event.sha256[:8]}){about}"
        case AttachedDeleted():
            hashes = ", ".join(sha[:8] for sha in event.files)
            return f"content of attached files deleted ({hashes}): {event.why}"
        case ClipsDeleted():
            return f"{counted(len(event.clips), 'clip')} deleted: {event.why}"
        case PartFollowed():
            return f"{_entry(entries, event.id)}: {event.stage}"
        case HandedOver():
            return f"handed over; not given back: {event.kept}" if event.kept else "handed over"
        case PartsRemoved():
            return f"removed: {removed_words(event)}"
        case MarkMade():
            return mark_words(event)
        case PutInTray():
            return f"tray {event.tray}: {_listed(entries, event.ids)}"
        case PartsCounted():
            return f"parts counted: {_entry(entries, event.id)}"
        case OutcomeGiven():
            reason = f": {event.reason}" if event.reason else ""
            return f"{_entry(entries, event.id)}: {event.outcome}{reason}"
        case EntryWithdrawn():
            return f"{event.why}: {_entry(entries, event.id)}"
        case StepDone():
            words = f"step done, still open: {'; '.join(event.missing)}" if event.missing else "step done"
            return "; ".join((words, *(f"{counted(count, part)} back" for part, count in event.put_back or ())))
        case StepSkipped():
            return f"step skipped: {event.reason}"
        case StepRedone():
            stale = [number(step) for step in event.stale_steps]
            return f"step done again; no longer standing: {'step' if len(stale) == 1 else 'steps'} {listed(stale)}"
        case QuestionAnswered():
            return f"{event.name}: {event.answer}" + (" (by its serial number)" if event.how == "serial number" else "")
        case TimerStarted():
            return f"timer started: {event.name}, {duration(event.seconds)}"
        case EventsLost():
            return lost_words(event.first, event.last)
        case ClockSetBack():
            return f"clock set back by {duration(event.seconds)}"
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
    return entry_named(event) if isinstance(event, EntryEvent) else "the note"


def _listed(entries: Mapping[str, Event], ids: Sequence[str]) -> str:
    named = (entries[id_] for id_ in ids if id_ in entries)
    return ", ".join(few_words(event, size=True) for event in named if isinstance(event, PartsRemoved))


def corrections(procedures: Mapping[str, Procedure], events: Sequence[Event]) -> list[Correction]:
    """Every entry that was corrected, taken back or set again, or that a step done again made stale."""
    numbers = _numbers(procedures)
    entries: dict[str, tuple[str, EntryEvent]] = {}
    corrected: list[Correction] = []
    for working, event in in_procedures(events):
        if isinstance(event, FactNoted) and event.corrects is None:
            corrected += _since_opening(event, events[0], working)
        for id_, after in list(_ended(event, working, entries)):
            working_then, old = entries.pop(id_)
            seconds = (event.at - old.at).total_seconds()
            step = numbers.get((working_then, old.step or ""))
            replaced = getattr(event, "corrects", None) == id_
            corrected.append(
                Correction(
                    at=event.at,
                    procedure=working_then,
                    step=step,
                    what=_what(old),
                    before=in_decimals(stated_words(old)),
                    after=after,
                    seconds_later=seconds,
                    replaced=replaced,
                )
            )
        if isinstance(event, EntryEvent):
            entries[event.id] = (working, event)
    return corrected


def _since_opening(event: FactNoted, opened: Event, working: str) -> Iterator[Correction]:
    """What was given when the job was opened and is replaced for the first time."""
    before = getattr(opened, event.about, None) if FACTS[event.about].identifies else None
    if before and before != event.text:
        seconds = (event.at - opened.at).total_seconds()
        yield Correction(
            at=event.at,
            procedure=working,
            step=None,
            what=FACTS[event.about].said,
            before=before,
            after=event.text,
            seconds_later=seconds,
            replaced=True,
        )


def _ended(event: Event, working: str, entries: Mapping[str, tuple[str, EntryEvent]]) -> Iterator[tuple[str, str]]:
    """The entries that an event ends, by identifier, each with what stands in its place."""
    match event:
        case (
            ReadingLogged(corrects=str(old))
            | FactNoted(corrects=str(old))
            | PartsCounted(corrects=str(old))
            | PartWanted(corrects=str(old))
        ) if old in entries:
            yield old, in_decimals(stated_words(event))
        case EntryWithdrawn() if event.id in entries:
            yield event.id, event.why
        case OutcomeGiven(outcome="set again") if event.id in entries:
            yield event.id, "set again"
        case StepRedone():
            for id_, (there, entry) in entries.items():
                if there == working and goes_stale(entry, event.stale_steps):
                    yield id_, "no longer standing, as a step was done again"
        case _:
            pass


def _what(event: EntryEvent) -> str:  # noqa: PLR0911 - a line for each kind of entry
    match event:
        case ReadingLogged():
            return measured_words(event)
        case CheckAnswered():
            return event.question
        case FactNoted():
            return FACTS[event.about].said
        case PartsCounted():
            return f"{event.part}, {event.way}"
        case PartsRemoved():
            return "what came off"
        case MarkMade():
            return "mark"
        case PartWanted():
            return "part to order"
        case FileAttached():
            return "file"
    return "note"


def step_times(events: Sequence[Event]) -> dict[tuple[str, str], timedelta]:
    """The time at each step by its procedure and its own name, without pauses and the gaps that a crash made."""
    total: dict[tuple[str, str], timedelta] = {}
    here: tuple[str, str] | None = None
    left: tuple[datetime, tuple[str, str] | None] | None = None
    before: datetime | None = None
    away = False
    for working, event in in_procedures(events):
        if before is not None and here is not None and not away and not isinstance(event, JobResumed):
            total[here] = total.get(here, timedelta()) + max(event.at - before, timedelta())
        before = event.at
        away = isinstance(event, JobPaused) or (away and not isinstance(event, JobResumed))
        if event.kind == "step entered" and event.step is not None:
            here = (working, event.step)
        elif isinstance(event, ProcedureTakenUp):
            # Left and taken up again at one moment, for a figure that was corrected: the work went on.
            if left is not None and left[0] == event.at:
                here, left = left[1], None
            else:
                here, left = None, (event.at, here)
        elif isinstance(event, JobFinished):
            here = None
    return total
