"""The state of a job: a fold over its events, so that resuming is replaying."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal

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
    QuestionAnswered,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    TimerRang,
    TimerStarted,
    TimerStopped,
)

StepStatus = Literal["open", "done", "skipped", "not needed"]
"""A step that is not needed does not apply to this item."""


@dataclass
class Entry:
    """A reading, a check or a note, with what became of it."""

    event: ReadingLogged | CheckAnswered | NoteKept
    settled: bool = False
    withdrawn: str | None = None
    """Why it no longer stands, or None."""
    stale: bool = False
    """The step it rested on was done again."""
    outcome: str | None = None
    reason: str | None = None

    @property
    def stands(self) -> bool:
        return self.withdrawn is None and not self.stale


@dataclass
class Timer:
    """A running timer."""

    name: str
    seconds: float
    ends: datetime
    step: str | None = None
    """The step at which it was started."""


@dataclass
class JobState:
    """Everything the guide and the review need to know of a job."""

    opened: JobOpened | None = None
    steps: dict[str, StepStatus] = field(default_factory=dict)
    answers: dict[str, str] = field(default_factory=dict)
    """The answers about this item by the names of their questions, the newest last."""
    left_out: frozenset[str] = frozenset()
    """The steps that do not apply with these answers."""
    reasons: dict[str, str] = field(default_factory=dict)
    """Why a step was skipped."""
    missing: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """What a step was knowingly left without."""
    entries: dict[str, Entry] = field(default_factory=dict)
    """Readings, checks and notes by identifier, oldest first."""
    timers: dict[str, Timer] = field(default_factory=dict)
    waited: dict[str, str | None] = field(default_factory=dict)
    """Names of timers that ran to their end, each with the step at which it was started."""
    step: str | None = None
    """The step at which the job stands."""
    last_done: str | None = None
    paused: bool = False
    finished: datetime | None = None
    last: datetime | None = None
    count: int = 0

    def status(self, step: str) -> StepStatus:
        if step in self.left_out and self.steps.get(step, "open") != "done":
            return "not needed"
        return self.steps.get(step, "open")

    def readings(self, step: str, characteristic: str) -> list[Entry]:
        """Readings of a characteristic at a step that stand, oldest first."""
        return [
            entry
            for entry in self.entries.values()
            if isinstance(entry.event, ReadingLogged)
            and entry.event.step == step
            and entry.event.characteristic == characteristic
            and entry.stands
        ]

    def check(self, step: str) -> Entry | None:
        """The answer to a step's check that stands, if there is one."""
        found = [
            entry
            for entry in self.entries.values()
            if isinstance(entry.event, CheckAnswered) and entry.event.step == step and entry.stands
        ]
        return found[-1] if found else None

    def last_entry(self) -> Entry | None:
        """The newest reading, check or note that stands."""
        return next((entry for entry in reversed(list(self.entries.values())) if entry.stands), None)

    def apply(self, event: Event) -> None:
        """Take one event in."""
        self.count += 1
        self.last = event.at
        match event:
            case JobOpened():
                self.opened = event
            case QuestionAnswered():
                self.answers.pop(event.name, None)
                self.answers[event.name] = event.answer
                self.left_out = frozenset(event.left_out)
            case StepEntered(step=str(step)):
                self.step = step
            case StepDone(step=str(step)):
                self.steps[step], self.last_done = "done", step
                self.missing[step] = event.missing
                self.reasons.pop(step, None)
            case StepSkipped(step=str(step)):
                self.steps[step] = "skipped"
                self.reasons[step] = event.reason
            case StepRedone():
                self._make_stale(set(event.stale_steps))
            case ReadingLogged() | CheckAnswered() | NoteKept():
                if isinstance(event, ReadingLogged) and event.corrects in self.entries:
                    self.entries[event.corrects].withdrawn = "corrected"
                self.entries[event.id] = Entry(event, settled=not isinstance(event, ReadingLogged))
            # An event that names an entry which is not there (a damaged log) must not make the job unreadable.
            case ReadingSettled() if event.id in self.entries:
                self.entries[event.id].settled = True
            case EntryWithdrawn() if event.id in self.entries:
                self.entries[event.id].withdrawn = event.why
            case OutcomeGiven() if event.id in self.entries:
                entry = self.entries[event.id]
                entry.outcome, entry.reason = event.outcome, event.reason
                if event.outcome == "set again":
                    entry.withdrawn = "set again"
            case TimerStarted():
                ends = event.at + timedelta(seconds=event.seconds)
                self.timers[event.name] = Timer(event.name, event.seconds, ends, event.step)
            case TimerStopped():
                self.timers.pop(event.name, None)
            case TimerRang():
                timer = self.timers.pop(event.name, None)
                self.waited[event.name] = timer.step if timer else event.step
            case JobPaused():
                self.paused = True
            case JobResumed():
                self.paused = False
            case JobFinished():
                self.finished = event.at
            case _:
                pass

    def _make_stale(self, steps: set[str]) -> None:
        for step in steps:
            self.steps[step] = "open"
            self.missing.pop(step, None)
            self.reasons.pop(step, None)
        self.waited = {name: step for name, step in self.waited.items() if step not in steps}
        for entry in self.entries.values():
            if entry.event.step in steps and not isinstance(entry.event, NoteKept):
                entry.stale = True


def fold(events: Iterable[Event]) -> JobState:
    """The state after ``events``."""
    state = JobState()
    for event in events:
        state.apply(event)
    return state
