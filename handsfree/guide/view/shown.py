"""Everything that may be shown of a job at one moment, as plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handsfree.guide.view.scale import ScalePlace
from handsfree.guide.view.understood import Understood
from handsfree.job.progress import StepStatus
from handsfree.wording.points import PointShown


@dataclass(frozen=True)
class Shown:
    """A figure that stands in the log."""

    step: int
    """Number of the step at which it was logged."""
    name: str
    occasion: str
    figure: str
    """As stated."""
    other: str
    """In the other system of units, or empty."""
    limits: str
    """As the log has them."""
    verdict: str
    """In words; empty where there are no limits."""
    by: str
    """How far out of limits, or why it is undecided; else empty."""
    out: bool
    outcome: str
    """What was decided about a figure out of limits, or empty."""
    provisional: bool
    """Whether its read-back has not ended yet."""
    scale: Scale | None


@dataclass(frozen=True)
class Scale:
    """Limits and a reading to be drawn, with what stands at the lower and the upper limit (empty: no such limit)."""

    place: ScalePlace
    low: str
    high: str
    target: str = ""
    """What stands at the target, likewise."""


@dataclass(frozen=True)
class Asked:
    """What the step wants to be told: a figure, the answer to a check, or that a waiting time has run."""

    kind: Literal["figure", "check", "wait"]
    what: str
    wanted: str
    """Limits, "yes or no", or the time."""
    more: str = ""
    """Target and tool of a figure; the answer that was given to a check."""
    reading: Shown | None = None
    """The last reading of this characteristic at this step."""
    scale: Scale | None = None
    """The limits alone, for as long as there is no reading."""
    timer: str = ""
    """Name of the timer that runs for a waiting time."""


@dataclass(frozen=True)
class DangerShown:
    """A danger to the person that is present now."""

    say: str
    lasting: str
    """ "since step 1, until step 5 is done"; without the first for the step in view, empty for that step alone."""


@dataclass(frozen=True)
class TimerShown:
    name: str
    left: float
    """Seconds; negative when it is over and not yet told."""
    of: float


@dataclass(frozen=True)
class OtherItem:
    """Another item that is open on the bench, while this one is worked."""

    item: str
    where: str
    """Where its job stands: "step 3 of 18"."""
    timers: tuple[TimerShown, ...]


@dataclass(frozen=True)
class QuestionShown:
    prompt: str
    expires_in: float | None
    """Seconds until it is dropped; None while it is being put, or when it waits as long as it takes."""


@dataclass(frozen=True)
class View:
    """Everything that may be shown."""

    title: str
    revision: str
    item: str
    serial: str
    workshop: str
    number: int
    """Number of the step in view."""
    of: int
    act: str
    status: StepStatus
    looking: bool
    """Whether the job stands at another step (``at``) and this one is only looked at."""
    at: int
    heading: str
    """The step's number of all and how it stands, or that something is being taken apart."""
    stage: str
    """How far the whole is, in words; while taking apart, what has been logged."""
    steps: tuple[StepStatus, ...]
    state: str
    """A state of guide.machine."""
    microphone: str
    """Whether it is open, in words."""
    asked: tuple[Asked, ...]
    last: Shown | None
    """The newest figure of the job that stands, be it of another step."""
    fasteners: tuple[str, ...]
    lubricants: tuple[str, ...]
    cautions: tuple[str, ...]
    dangers: tuple[DangerShown, ...]
    heard: Understood | None
    said: str
    """What was spoken last."""
    question: QuestionShown | None
    point: PointShown | None
    """Where the review stands while it is gone through by voice, else None."""
    note: str | None
    """The note under way as far as it is understood; None when none is being taken."""
    timers: tuple[TimerShown, ...]
    phrases: tuple[str, ...]
    events: int
    """How many events the log of the job holds."""
    left_hand: str = ""
    """What is told of a left-hand thread at this step: one of the ``cautions``, or that there is one; else empty."""
    rehearsal: bool = False
    """Whether nothing of this is done to an item."""
    others: tuple[OtherItem, ...] = ()
    """The other items that are open on the bench, the one that was left last first."""
