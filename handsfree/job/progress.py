"""How far a job is with one of its procedures, and the timers that run meanwhile."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal

StepStatus = Literal["open", "done", "skipped", "not needed"]
"""A step that is not needed does not apply to this item."""


@dataclass
class ProcedureProgress:
    """How far a job is with one of its procedures."""

    steps: dict[str, StepStatus] = field(default_factory=dict)
    step: str | None = None
    """The step at which the job stands."""
    last_done: str | None = None
    answers: dict[str, str] = field(default_factory=dict)
    """The answers about this item by the names of their questions, the newest last."""
    left_out: frozenset[str] = frozenset()
    """The steps that do not apply with these answers."""
    reasons: dict[str, str] = field(default_factory=dict)
    """Why a step was skipped."""
    missing: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """What a step was knowingly left without."""
    waited: dict[str, dict[str | None, float]] = field(default_factory=dict)
    """By the names of timers that ran to their end: how many seconds they ran for the waiting time of which step."""

    put_back: dict[str, tuple[tuple[str, int], ...]] = field(default_factory=dict)
    """What a step that is done puts back of what was taken off, by kinds of part."""
    begun_by: dict[str, str | None] = field(default_factory=dict)
    """Who was at the bench when a step was begun, before it was last to be done again; None: nobody who is named."""
    done_by: dict[str, str | None] = field(default_factory=dict)
    """Who was at the bench when a step was done."""

    def status(self, step: str) -> StepStatus:
        status = self.steps.get(step, "open")
        return "not needed" if step in self.left_out and status != "done" else status

    def reopen(self, steps: Collection[str]) -> None:
        """These steps are to be done again."""
        for step in steps:
            self.steps[step] = "open"
            self.missing.pop(step, None)
            self.put_back.pop(step, None)
            self.begun_by.pop(step, None)
            self.done_by.pop(step, None)
            self.reasons.pop(step, None)
        kept = {
            name: {step: seconds for step, seconds in runs.items() if step not in steps}
            for name, runs in self.waited.items()
        }
        self.waited = {name: runs for name, runs in kept.items() if runs}

    def ran(self, name: str, step: str | None, seconds: float) -> None:
        """A timer of this name ran to its end, for the waiting time of ``step``."""
        runs = self.waited.setdefault(name, {})
        runs[step] = runs.get(step, 0.0) + seconds


@dataclass
class Timer:
    """A running timer."""

    name: str
    seconds: float
    ends: datetime
    step: str | None = None
    """The step at which it was started."""
    procedure: str = ""
    of_step: str | None = None
    """The step whose waiting time it is, where it is one."""


@dataclass
class Ringing:
    """A timer that has run to its end and that nobody has acknowledged."""

    name: str
    since: datetime
    step: str | None = None

    def set_back(self, by: timedelta) -> Ringing:
        """The same on a clock that was set back."""
        return Ringing(self.name, self.since - by, self.step)
