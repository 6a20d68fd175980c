"""The state of a job: a fold over its events, so that resuming is replaying."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Literal, TypeVar, cast

from handsfree.job.attendance import SIGNED_OFF, Signature, alters_the_work, at_the_bench_after
from handsfree.job.events import (
    AttachedDeleted,
    CheckAnswered,
    ClipsDeleted,
    ClockSetBack,
    EntryConfirmed,
    EntryWithdrawn,
    Event,
    EventsLost,
    FactNoted,
    FileAttached,
    HandedOver,
    JobFinished,
    JobOpened,
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
    PartWanted,
    ProcedureTakenUp,
    Purpose,
    PutInTray,
    QuestionAnswered,
    ReadingLogged,
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
)
from handsfree.job.facts import FACTS
from handsfree.job.progress import ProcedureProgress, Ringing, StepStatus, Timer

EntryEvent = (
    ReadingLogged
    | CheckAnswered
    | NoteKept
    | FactNoted
    | PartsCounted
    | PartsRemoved
    | MarkMade
    | PartWanted
    | FileAttached
)
"""The events that make an entry of the log, with an identifier."""

OF_THE_JOB = (FactNoted, PartsCounted, PartWanted, FileAttached)
"""Entries that belong to the job as a whole, whichever of its procedures is worked."""


@dataclass
class Entry:
    """A reading, a check, a note, a fact, a count of parts, or what was said while taking apart, with what became of
    it."""

    event: EntryEvent
    procedure: str | None
    """The procedure of the job that it belongs to; None: the job as a whole."""
    number: int
    """Its event's running number in the log."""
    settled: bool = False
    withdrawn: str | None = None
    """Why it no longer stands, or None."""
    stale: bool = False
    """The step it rested on was done again."""
    stage: Literal["ordered", "arrived"] | None = None
    """How far a part that was wanted is."""
    outcome: str | None = None
    reason: str | None = None
    typed: str | None = None
    """What was said, as somebody typed it later."""
    confirmed: datetime | None = None
    """When it was let stand in a review."""
    by: str | None = None
    """Who was at the bench; None: nobody who is named."""

    @property
    def text(self) -> str:
        """The words of a note or a fact: typed, else as they were understood."""
        return self.typed if self.typed is not None else str(getattr(self.event, "text", ""))

    @property
    def to_type(self) -> bool:
        """Whether its words are still only what was understood of the sound."""
        free = isinstance(self.event, NoteKept) or (isinstance(self.event, FactNoted) and self.event.to_type)
        return free and self.typed is None and self.stands

    @property
    def stands(self) -> bool:
        return self.withdrawn is None and not self.stale


@dataclass
class JobState:
    """Everything the guide and the review need to know of a job.

    Steps, and the entries that belong to steps, are those of one procedure: the one being worked, or the one that was
    asked for (``of``). Facts and counts of parts belong to the job, whichever procedure is worked.
    """

    opened: JobOpened | None = None
    procedures: dict[str, JobOpened | ProcedureTakenUp] = field(default_factory=dict)
    """The procedures of the job by name, in the order of their first use, each with the event that brought its text."""
    working: str = ""
    """The name of the procedure that the steps here belong to; empty where none is worked yet."""
    by_procedure: dict[str, ProcedureProgress] = field(default_factory=dict)
    """How far the job is with each of its procedures that was worked, by name."""
    every_entry: dict[str, Entry] = field(default_factory=dict)
    """The entries of all its procedures by identifier, oldest first."""
    ringing: dict[str, Ringing] = field(default_factory=dict)
    confirmed: dict[str, datetime] = field(default_factory=dict)
    """Points of the review that are no entries and were let stand, by their words."""
    reopened: list[JobReopened] = field(default_factory=list)
    deleted_clips: set[str] = field(default_factory=set)
    deleted_files: dict[str, str] = field(default_factory=dict)
    """The hashes of attached files whose content was deleted, with the reason."""
    trays: dict[str, int] = field(default_factory=dict)
    """The tray in which what was removed lies, by the removal's identifier."""
    names: dict[str, str] = field(default_factory=dict)
    """The names of parts and places that had only a number when they came off ("part seven")."""
    last_trayed: tuple[str, ...] = ()
    """What the last tray that was said holds."""
    timers: dict[str, Timer] = field(default_factory=dict)
    worker: str | None = None
    """Who is at the bench; None: nobody who is named."""
    altered: int = 0
    """The running number of the last event that altered what a signature is about."""
    note_begun: list[NoteStretch] = field(default_factory=list)
    """The stretches of a note that has not ended."""
    note_by: str | None = None
    """Who spoke them."""
    lost: list[tuple[int, int]] = field(default_factory=list)
    """Running numbers (first, last) of the events that a rescue from a damaged file could not read."""
    paused: bool = False
    finished: datetime | None = None
    handed_over: HandedOver | None = None
    """That the owner has the item again."""
    last: datetime | None = None
    count: int = 0

    @property
    def progress(self) -> ProcedureProgress:
        """How far the job is with the procedure being worked."""
        return self.by_procedure.setdefault(self.working, ProcedureProgress())

    @property
    def steps(self) -> dict[str, StepStatus]:
        return self.progress.steps

    @property
    def step(self) -> str | None:
        """The step at which the job stands."""
        return self.progress.step

    @property
    def last_done(self) -> str | None:
        return self.progress.last_done

    @property
    def answers(self) -> dict[str, str]:
        """The answers about this item by the names of their questions, the newest last."""
        return self.progress.answers

    @property
    def reasons(self) -> dict[str, str]:
        """Why a step was skipped."""
        return self.progress.reasons

    @property
    def missing(self) -> dict[str, tuple[str, ...]]:
        """What a step was knowingly left without."""
        return self.progress.missing

    @property
    def waited(self) -> dict[str, dict[str | None, float]]:
        """By timer: how many seconds those that ran to their end ran for the waiting time of which step."""
        return self.progress.waited

    def _entries_here(self) -> Iterator[Entry]:
        return (entry for entry in self.every_entry.values() if entry.procedure in (None, self.working))

    @property
    def entries(self) -> dict[str, Entry]:
        """The entries of the procedure being worked, and of the job as a whole, by identifier, oldest first."""
        return {entry.event.id: entry for entry in self._entries_here()}

    def takes_apart(self, procedure: str) -> bool:
        """Whether a procedure of the job is that of taking apart."""
        brought = self.procedures.get(procedure)
        return brought is not None and brought.takes_apart

    @property
    def purpose(self) -> Purpose:
        """What the job is for. One that was begun to take something apart, and was worked by a procedure since, is a
        repair like any other."""
        purpose: Purpose = "repair" if self.opened is None else self.opened.purpose
        worked = any(not brought.takes_apart for brought in self.procedures.values())
        return "repair" if purpose == "stripping" and worked else purpose

    def of(self, procedure: str) -> JobState:
        """The job as it stands with one of its procedures; changes to neither are meant."""
        if procedure == self.working:
            return self
        other = copy(self)
        other.by_procedure, other.working = dict(self.by_procedure), procedure
        return other

    def entry(self, id_: str | None) -> Entry | None:
        """An entry of whichever procedure of the job; None where there is none of this identifier."""
        return self.every_entry.get(id_ or "")

    def home_of(self, id_: str) -> str:
        """The name of the procedure that an entry belongs to; the one being worked for what belongs to the job."""
        entry = self.every_entry.get(id_)
        return self.working if entry is None or entry.procedure is None else entry.procedure

    def facts(self, about: str) -> list[Entry]:
        """The facts of one sort that stand, oldest first."""
        return [
            entry
            for entry in self.every_entry.values()
            if isinstance(entry.event, FactNoted) and entry.event.about == about and entry.stands
        ]

    def fact(self, about: str) -> str | None:
        """What is known now of the item, its serial number, its owner, the complaint; None: nothing."""
        facts = self.facts(about)
        if facts:
            return facts[-1].text
        return getattr(self.opened, about, None) if FACTS[about].identifies else None

    @property
    def signature(self) -> Signature | None:
        """The sign-off that was given last, if there is one."""
        facts = self.facts(SIGNED_OFF)
        if not facts:
            return None
        given = facts[-1]
        return Signature(given.event.id, given.number, given.text, given.number > self.altered)

    def hands_at(self, step: str) -> set[str | None]:
        """Who did the work of a step: who began it and who logged its figures. None: somebody who was not named."""
        begun = self.progress.begun_by
        hands = {begun[step]} if step in begun else set()
        return hands | {
            entry.by
            for entry in self._entries_here()
            if isinstance(entry.event, ReadingLogged) and entry.event.step == step and entry.stands
        }

    @property
    def hands(self) -> set[str | None]:
        """Who did the work of the whole job, all its procedures."""
        begun = {name for each in self.by_procedure.values() for name in each.begun_by.values()}
        logged = (entry for entry in self.every_entry.values() if isinstance(entry.event, ReadingLogged))
        return begun | {entry.by for entry in logged if entry.stands}

    def status(self, step: str) -> StepStatus:
        return self.progress.status(step)

    def readings(self, step: str, characteristic: str) -> list[Entry]:
        """Readings of a characteristic at a step that stand, oldest first."""
        return [
            entry
            for entry in self._entries_here()
            if isinstance(entry.event, ReadingLogged)
            and entry.event.step == step
            and entry.event.characteristic == characteristic
            and entry.stands
        ]

    def check(self, step: str) -> Entry | None:
        """The answer to a step's check that stands, if there is one."""
        answers = [
            entry
            for entry in self._entries_here()
            if isinstance(entry.event, CheckAnswered) and entry.event.step == step and entry.stands
        ]
        return answers[-1] if answers else None

    @property
    def next_id(self) -> str:
        """An identifier for the next entry; unique in the job and the same on replay."""
        return f"e{self.count + 1}"

    def last_entry(self) -> Entry | None:
        """The newest entry that stands."""
        return next((entry for entry in reversed(list(self._entries_here())) if entry.stands), None)

    def apply(self, event: Event) -> None:
        """Take one event in. One that names an entry which is not there (a damaged log) changes nothing."""
        self.count += 1
        self.last = event.at
        self.worker = at_the_bench_after(self.worker, event)
        if alters_the_work(event):
            self.altered = self.count
        if isinstance(event, NoteStretch):
            self.note_begun.append(event)
            self.note_by = self.worker
        if isinstance(event, EventsLost):
            self.lost.append((event.first, event.last))
        self._apply_to_job(event)
        self._apply_to_steps(event)
        self._apply_to_entries(event)
        self._apply_to_timers(event)
        self._apply_to_files(event)

    def _apply_to_job(self, event: Event) -> None:
        match event:
            case JobOpened():
                self.opened = event
                if event.procedure_name:
                    self.procedures[event.procedure_name] = event
                    self.working = event.procedure_name
            case ProcedureTakenUp():
                known = self.procedures.get(event.procedure_name)
                if known is None or not known.procedure_text:
                    # The one that came first, unless its text is lost.
                    self.procedures[event.procedure_name] = event
                self.working = event.procedure_name
            case JobPaused():
                self.paused = True
            case JobResumed():
                self.paused = False
            case JobFinished():
                self.finished = event.at
                self.ringing.clear()
            case JobReopened():
                self.finished = None
                self.handed_over = None
                self.reopened.append(event)
            case HandedOver():
                self.handed_over = event
            case PartFollowed() if (wanted := self.entry(event.id)) is not None:
                wanted.stage = event.stage
            case _:
                pass

    def _apply_to_files(self, event: Event) -> None:
        """What lies beside the log, or did."""
        match event:
            case ClipsDeleted():
                self.deleted_clips.update(event.clips)
            case FileAttached():
                # Attached again, it is there again.
                self.deleted_files.pop(event.sha256, None)
            case AttachedDeleted():
                self.deleted_files.update(dict.fromkeys(event.files, event.why))
            case _:
                pass

    def _apply_to_steps(self, event: Event) -> None:
        progress = self.progress
        match event:
            case QuestionAnswered():
                progress.answers.pop(event.name, None)
                progress.answers[event.name] = event.answer
                progress.left_out = frozenset(event.left_out)
            case StepEntered(step=str(step)):
                progress.step = step
                progress.begun_by.setdefault(step, self.worker)
            case StepDone(step=str(step)):
                progress.steps[step], progress.last_done = "done", step
                progress.done_by[step] = self.worker
                progress.missing[step] = event.missing
                progress.put_back[step] = event.put_back or ()
                progress.reasons.pop(step, None)
                self.ringing = {name: ringing for name, ringing in self.ringing.items() if ringing.step != step}
            case StepSkipped(step=str(step)):
                progress.steps[step] = "skipped"
                progress.reasons[step] = event.reason
            case StepRedone():
                progress.reopen(event.stale_steps)
                for outdated in self.going_stale(event.stale_steps):
                    outdated.stale = True
            case _:
                pass

    def _apply_to_entries(self, event: Event) -> None:
        match event:
            case (
                ReadingLogged()
                | CheckAnswered()
                | NoteKept()
                | FactNoted()
                | PartsCounted()
                | PartsRemoved()
                | MarkMade()
                | PartWanted()
                | FileAttached()
            ):
                corrects = getattr(event, "corrects", None)
                if (corrected := self.entry(corrects)) is not None:
                    corrected.withdrawn = "corrected"
                home = None if isinstance(event, OF_THE_JOB) else self.working
                settled = not isinstance(event, ReadingLogged)
                by = self.worker
                if isinstance(event, NoteKept) or (isinstance(event, FactNoted) and event.to_type):
                    # Kept after a crash, it is still of whoever spoke it.
                    by = self.note_by if self.note_begun else by
                    self.note_begun = []
                shown = with_names(event, self.names)
                self.every_entry[event.id] = Entry(shown, home, self.count, settled=settled, by=by)
            case ReadingSettled() if (entry := self.entry(event.id)) is not None:
                entry.settled = True
            case EntryWithdrawn() if (entry := self.entry(event.id)) is not None:
                entry.withdrawn = event.why
            case OutcomeGiven() if (entry := self.entry(event.id)) is not None:
                entry.outcome, entry.reason = event.outcome, event.reason
                if event.outcome == "set again":
                    entry.withdrawn = "set again"
            case TextTyped() if (entry := self.entry(event.id)) is not None:
                entry.typed = event.text
                self._take_name(entry, event.text)
            case EntryConfirmed():
                if (confirmed := self.entry(event.id)) is not None:
                    confirmed.confirmed = event.at
                self.confirmed[event.point] = event.at
            case PutInTray():
                self.trays.update(dict.fromkeys(event.ids, event.tray))
                self.last_trayed = event.ids
            case _:
                pass

    def _take_name(self, told: Entry, name: str) -> None:
        """What had only a number has a name from now on, wherever it was named."""
        numbered = getattr(told.event, "names", None) or getattr(told.event, "what", None)
        if numbered is None:
            return
        self.names[numbered] = name
        for entry in self.every_entry.values():
            entry.event = with_names(entry.event, {numbered: name})

    def _apply_to_timers(self, event: Event) -> None:
        match event:
            case TimerStarted():
                ends = event.at + timedelta(seconds=event.seconds)
                of_step = event.of_step or event.step
                self.timers[event.name] = Timer(event.name, event.seconds, ends, event.step, self.working, of_step)
                self.ringing.pop(event.name, None)
            case TimerStopped():
                self.timers.pop(event.name, None)
                self.ringing.pop(event.name, None)
            case TimerAcknowledged():
                self.ringing.pop(event.name, None)
            case TimerRang():
                timer = self.timers.pop(event.name, None)
                if timer is not None:
                    home = self.by_procedure.setdefault(timer.procedure, ProcedureProgress())
                    home.ran(timer.name, timer.of_step, timer.seconds)
                self.ringing[event.name] = Ringing(event.name, event.at, timer.step if timer else event.step)
            case ClockSetBack():
                # The same time is left as before the clock was changed.
                back = timedelta(seconds=event.seconds)
                for running in self.timers.values():
                    running.ends -= back
                self.ringing = {name: rung.set_back(back) for name, rung in self.ringing.items()}
            case _:
                pass

    def going_stale(self, steps: Collection[str]) -> Iterator[Entry]:
        """Those entries of the procedure being worked that no longer stand once ``steps`` are done again."""
        return (entry for entry in self._entries_here() if goes_stale(entry.event, steps))


_Named = TypeVar("_Named", bound=EntryEvent)


def with_names(event: _Named, names: Mapping[str, str]) -> _Named:
    """What came off, or a mark, with the names that its numbered parts and places have by now."""
    if not isinstance(event, (PartsRemoved, MarkMade)):
        return event
    place = event.place
    for numbered, name in names.items():
        place = re.sub(rf"\b{re.escape(numbered)}(?! (?!and\b)\w)", f"the {name}", place) if place else place
    changed: dict[str, Any] = {"place": place}
    if isinstance(event, PartsRemoved):
        changed["what"] = names.get(event.what, event.what)
    else:
        changed["parts"] = tuple(names.get(part, part) for part in event.parts)
    return cast(_Named, event.model_copy(update=changed))


def goes_stale(event: Event, steps: Collection[str]) -> bool:
    """Whether what was written down no longer stands once ``steps`` are done again: their figures and the answers to
    their checks. Notes, facts, counts of parts, removals and marks tell of the item, and stay."""
    return isinstance(event, (ReadingLogged, CheckAnswered)) and event.step in steps


def every_entry(state: JobState) -> list[Entry]:
    """The entries of all the job's procedures, oldest first."""
    return list(state.every_entry.values())


def events_of(events: Sequence[Event], procedure: str) -> dict[int, Event]:
    """The events of a job by running number, without those that belong to another of its procedures."""
    kept: dict[int, Event] = {}
    working = ""
    for seq, event in enumerate(events, 1):
        if isinstance(event, (JobOpened, ProcedureTakenUp)):
            working = event.procedure_name
        if working in ("", procedure) or event.step is None or isinstance(event, OF_THE_JOB):
            kept[seq] = event
    return kept


def fold(events: Iterable[Event]) -> JobState:
    """The state after ``events``."""
    state = JobState()
    for event in events:
        state.apply(event)
    return state
