"""The record of a job as data: a line for each figure, check, note, part and step, and their head."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.measure.formatting import in_decimals
from handsfree.review.findings import Finding
from handsfree.review.timeline import Correction, Happening
from handsfree.wording.readings import figure_name


@dataclass(frozen=True, kw_only=True)
class SignedState:
    """Which state of the job was signed: that of all entries up to ``event``."""

    name: str
    at: str
    event: int
    """Running number in the log of the last event that the signature is about."""
    stands: bool
    """Whether nothing of the work was altered since."""


@dataclass(frozen=True, kw_only=True)
class Head:
    """Which job it is."""

    job: str
    state: str
    """"finished", "paused" or "not finished"."""
    item: str
    serial: str | None
    owner: str | None
    workshop: str | None
    opened: str
    finished: str | None
    last: str
    seconds_at_bench: float
    seconds_in_all: float
    workers: tuple[str, ...]
    """Who was at the bench, in the order of their coming."""
    signed: SignedState | None
    handed_over: str | None
    """When the owner had the item again."""
    not_given_back: str | None
    """What was left with the item and did not go with it; None: everything did, or nothing was handed over yet."""


@dataclass(frozen=True, kw_only=True)
class ProcedureLine:
    """A procedure that was worked in the job; ``procedure`` is its name, by which every other line refers to it."""

    procedure: str
    title: str
    revision: str
    procedure_sha256: str
    variant: tuple[str, ...]
    """What was answered about this item, "question: answer"."""
    seconds: float
    """Time spent at its steps."""
    apart: bool
    """Whether it is that of taking apart."""


@dataclass(frozen=True, kw_only=True)
class StepLine:
    """A step and what became of it; ``state`` is "done", "skipped", "not needed" or "open"."""

    procedure: str
    number: int
    step: str
    act: str
    state: str
    reason: str | None
    missing: tuple[str, ...]
    seconds: float
    by: str | None
    """Who was at the bench when it was done."""


@dataclass(frozen=True, kw_only=True)
class FigureLine:
    """A figure as it was logged, and what became of it."""

    id: str
    at: str
    procedure: str
    step_number: int | None
    step: str | None
    characteristic: str
    place: str | None
    """Which of several places it was taken at: figures of two places are two."""
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
    tool_identity: str | None
    tool_calibrated: str | None
    tool_overdue: str | None
    """The day on which the tool was due, where that was over."""
    uncertainty: str | None
    """The tool's expanded uncertainty that the decision assumed, with its unit."""
    uncertainty_assumed: str | None
    """How it was come by where nobody stated it ("half the resolution")."""
    decision: str
    beyond: str | None
    side: str | None
    judged_by: str | None
    """The procedure of the job by whose limits a figure of taking apart is judged; None: it was judged when it was
    taken."""
    judged_as: str | None = None
    """What that procedure calls it, with its place; it may have been called otherwise while taking apart."""
    state: str
    """"standing", "provisional", "corrected", "taken back", "set again" or "no longer standing"."""
    outcome: str | None
    reason: str | None
    corrects: str | None
    heard: str | None
    recogniser: str | None
    clip: str | None
    by: str | None
    """Who was at the bench when it was logged; None: nobody who is named."""

    @property
    def stands(self) -> bool:
        return self.state in ("standing", "provisional")

    @property
    def shown(self) -> str:
        """As it was stated, for the eye."""
        return in_decimals(self.as_said)

    @property
    def name(self) -> str:
        """What was measured, with its place."""
        return figure_name(self.characteristic, self.place)


@dataclass(frozen=True, kw_only=True)
class CheckLine:
    id: str
    at: str
    procedure: str
    step_number: int | None
    step: str | None
    question: str
    answer: str
    state: str
    heard: str | None
    clip: str | None
    by: str | None


@dataclass(frozen=True, kw_only=True)
class NoteLine:
    id: str
    at: str
    procedure: str
    step_number: int | None
    step: str | None
    text: str
    seconds: float
    to_type: bool
    """Whether the text is only what was understood of free speech."""
    state: str
    clip: str | None
    by: str | None


@dataclass(frozen=True, kw_only=True)
class FactLine:
    """Something noted about the job as a whole."""

    id: str
    at: str
    about: str
    text: str
    severity: str | None
    amount: str | None
    """Of money, in the currency of the workshop."""
    to_type: bool
    """Whether the text is only what was understood of free speech."""
    state: str
    clip: str | None
    by: str | None


@dataclass(frozen=True, kw_only=True)
class AttachedLine:
    """A file that somebody else made, kept beside the log."""

    id: str
    at: str
    name: str
    text: str | None
    """What it shows."""
    sha256: str
    bytes: int
    shown_as: str | None
    """The media type of a picture that a page may show; None: it is only named."""
    to: str | None
    """The entry that it belongs to."""
    state: str
    deleted: str | None
    """Why its content was deleted; None: it is kept."""


@dataclass(frozen=True, kw_only=True)
class OrderLine:
    """A part that the job needs; ``stage`` is "to order", "ordered" or "arrived"."""

    id: str
    at: str
    what: str
    count: int
    size: str | None
    stage: str


@dataclass(frozen=True, kw_only=True)
class PartsLine:
    """The counts of one kind of part; ``still_out`` is less than nought where more went in than came out."""

    part: str
    out: int
    back: int
    replaced: int
    still_out: int


@dataclass(frozen=True, kw_only=True)
class MaterialLine:
    """A lubricant that a finished step called for."""

    procedure: str
    step_number: int
    step: str
    what: str
    where: str | None
    how_much: str | None


@dataclass(frozen=True, kw_only=True)
class RemovalLine:
    """What came off in one go while taking apart."""

    id: str
    at: str
    procedure: str
    words: str
    """As it was read back."""
    sort: str
    what: str
    count: int
    size: str | None
    head: str | None
    finish: str | None
    left_hand: bool
    place: str | None
    way: str | None
    thickness: str | None
    tray: int | None
    state: str
    clip: str | None
    by: str | None


@dataclass(frozen=True, kw_only=True)
class MarkLine:
    """A mark that was made before parts were parted."""

    id: str
    at: str
    procedure: str
    words: str
    what: str
    place: str | None
    parts: tuple[str, ...]
    state: str
    by: str | None


@dataclass(frozen=True, kw_only=True)
class JobRecord:
    """All of it. ``figures``, ``checks`` and ``notes`` hold every entry ever made, oldest first."""

    head: Head
    procedures: tuple[ProcedureLine, ...]
    """In the order of their first use."""
    steps: tuple[StepLine, ...]
    figures: tuple[FigureLine, ...]
    checks: tuple[CheckLine, ...]
    notes: tuple[NoteLine, ...]
    facts: tuple[FactLine, ...]
    removals: tuple[RemovalLine, ...]
    marks: tuple[MarkLine, ...]
    parts: tuple[PartsLine, ...]
    attached: tuple[AttachedLine, ...]
    orders: tuple[OrderLine, ...]
    """Parts to order that were not taken back."""
    materials: tuple[MaterialLine, ...]
    findings: tuple[Finding, ...]
    corrections: tuple[Correction, ...]
    time_line: tuple[Happening, ...]
