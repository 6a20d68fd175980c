"""What can happen in a job: small immutable records, written once and never changed.

A correction is a further event that names the one it corrects. Times are aware datetimes; figures are exact text with
their unit's key beside them; durations are seconds.
"""

from __future__ import annotations

import json
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, TypeAdapter

from handsfree.job.counted_parts import Disposition
from handsfree.job.facts import FACTS, Severity
from handsfree.job.log.numbers import CLIP_PATTERN
from handsfree.measure.figure import figure_from_text
from handsfree.measure.formatting import in_decimals
from handsfree.measure.limits import Decision
from handsfree.measure.units import unit
from handsfree.procedure.parts import AS_FOUND

SCHEMA_VERSION = 6
"""Of the log's file. What each version brought: ``job.log.migration``."""

Clip = Annotated[str, Field(pattern=CLIP_PATTERN)]
"""The name of a sound: it becomes that of a file, so nothing else is taken for one, whatever the log says."""

Purpose = Literal["repair", "rehearsal", "stripping", "tool check"]
"""What a job is for: the real work, practice without an item, taking apart to write the procedure afterwards, or the
check of one of the workshop's tools against a standard."""


class _Event(BaseModel):
    # Built when it is first used: most kinds never are, and all of them together take a twentieth of a second.
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    at: datetime
    step: str | None = None
    """Identifier of the step at which it happened."""
    heard: str | None = None
    """The words as they were heard (None: it did not come from speech)."""
    recogniser: str | None = None
    clip: Clip | None = None
    """SHA-256 of the sound it came from, as kept beside the log."""
    personal: str | None = None
    """The hash under which what is personal of it is kept beside the log (``job.log.beside.personal``)."""


class JobOpened(_Event):
    kind: Literal["job opened"] = "job opened"
    title: str
    revision: str
    procedure_sha256: str
    procedure_text: str
    """The procedure as it stood, so that the job can be read when the file has changed or gone."""
    procedure_name: str
    """Empty, as are title and text, for a job that was taken in before a procedure was chosen."""
    item: str | None = None
    serial: str | None = None
    owner: str | None = None
    purpose: Purpose = "repair"
    parts: tuple[str, ...] = ()
    """Names of parts that can be said besides the usual ones, when taking apart."""

    @property
    def takes_apart(self) -> bool:
        """Whether the procedure that it brings is that of taking apart."""
        return self.purpose == "stripping"


class QuestionAnswered(_Event):
    """What differs between items of this kind, for the one on the bench. A later answer replaces an earlier one."""

    kind: Literal["question answered"] = "question answered"
    name: str
    question: str
    answer: str
    how: Literal["said", "serial number"] = "said"
    left_out: tuple[str, ...] = ()
    """The steps that do not apply with all the answers so far."""


class StepEntered(_Event):
    kind: Literal["step entered"] = "step entered"


class StepDone(_Event):
    kind: Literal["step done"] = "step done"
    missing: tuple[str, ...] = ()
    """What was knowingly left without a figure or an answer."""
    put_back: tuple[tuple[str, int], ...] | None = None
    """What the step puts back of what was taken off in the job: kinds of part, and how many."""


class StepSkipped(_Event):
    kind: Literal["step skipped"] = "step skipped"
    reason: str


class StepRedone(_Event):
    kind: Literal["step redone"] = "step redone"
    stale_steps: tuple[str, ...]
    """Steps whose figures and checks no longer stand: this one and those that rest on it."""


def _figure(text: str) -> str:
    try:
        figure_from_text(text)
    except ArithmeticError:
        raise ValueError(f'"{text}" is no figure') from None
    return text


def _unit(key: str) -> str:
    return unit(key).key


def _decision(text: str) -> str:
    return str(Decision(text).value)


class ReadingLogged(_Event):
    kind: Literal["reading logged"] = "reading logged"
    id: str
    characteristic: str
    place: str | None = None
    """Which of several places it was taken at."""
    occasion: str
    value: Annotated[str, AfterValidator(_figure)]
    unit: Annotated[str, AfterValidator(_unit)]
    as_said: str
    """The figure as it was stated, with its own unit ("4 thou")."""
    upper: Annotated[str, AfterValidator(_figure)] | None = None
    """The other end where the figure is between two: ``value`` is the lower one."""
    feel: str | None = None
    """How it felt: "drags", "free", "binds"."""
    decision: Annotated[str, AfterValidator(_decision)]
    """A value of measure.limits.Decision."""
    beyond: str | None = None
    """How far beyond the limit, with unit, as shown; None inside the limits."""
    side: str | None = None
    limits: str
    """The limits as shown."""
    tool: str | None = None
    tool_identity: str | None = None
    """Which of the workshop's tools it was: what stands on it."""
    tool_calibrated: str | None = None
    """The day on which that was calibrated, as far as was known then (ISO 8601)."""
    tool_overdue: str | None = None
    """The day on which it was due, where that was over."""
    uncertainty: str | None = None
    """The uncertainty that the decision assumed, as shown."""
    uncertainty_assumed: str | None = None
    """How it was come by where nobody stated it ("half the resolution")."""
    corrects: str | None = None
    """Identifier of the entry that this one replaces, and so withdraws."""

    @property
    def shown(self) -> str:
        """As it was stated, for the eye."""
        return in_decimals(self.as_said)

    @property
    def is_finding(self) -> bool:
        """Whether it was taken as found: that is told and left, and nobody sets it again."""
        return self.occasion == AS_FOUND


class ReadingSettled(_Event):
    """The read-back has ended and nobody objected: the figure is no longer provisional."""

    kind: Literal["reading settled"] = "reading settled"
    id: str


class EntryWithdrawn(_Event):
    kind: Literal["entry withdrawn"] = "entry withdrawn"
    id: str
    why: Literal["taken back"] = "taken back"


class OutcomeGiven(_Event):
    """What is done about a figure that is out of limits. "set again" withdraws it."""

    kind: Literal["outcome given"] = "outcome given"
    id: str
    outcome: Literal["set again", "accepted", "left open"]
    reason: str | None = None


class CheckAnswered(_Event):
    kind: Literal["check answered"] = "check answered"
    id: str
    question: str
    passed: bool


def _known(about: str) -> str:
    if about not in FACTS:
        raise ValueError(f'"{about}" is no fact about a job; there are {", ".join(FACTS)}')
    return about


About = Annotated[str, AfterValidator(_known)]
"""The name of a fact, as in ``job.facts``."""


Held = tuple[str, ...]
"""The clips of the stretches of a note, one after the other in its own clip: they need not be kept beside it."""


class NoteStretch(_Event):
    """A part of a note, or of a fact told in free speech, as it was heard: what is known of one that was cut off. The
    whole is kept when the note ends, and then stands for all its stretches."""

    kind: Literal["note stretch"] = "note stretch"
    text: str
    seconds: float
    about: About | None = None
    """The fact that it tells; None: a plain note."""
    severity: Severity | None = None
    names: str | None = None
    """What it tells the name of: something that has a number in place of one ("part seven")."""


class NoteKept(_Event):
    kind: Literal["note kept"] = "note kept"
    id: str
    text: str
    """As far as it was understood; the sound is what counts."""
    seconds: float
    holds: Held = ()
    names: str | None = None
    """What it tells the name of: something that has a number in place of one ("part seven")."""


class PartsRemoved(_Event):
    """What came off in one go while taking apart; the words are those of ``phrases.disassembly``."""

    kind: Literal["parts removed"] = "parts removed"
    id: str
    sort: Literal["fastener", "part", "shim"]
    what: str
    count: int = 1
    size: str | None = None
    head: str | None = None
    finish: str | None = None
    left_hand: bool = False
    place: str | None = None
    way: str | None = None
    thickness: str | None = None
    """With its unit's key ("10 thou")."""


class MarkMade(_Event):
    kind: Literal["mark made"] = "mark made"
    id: str
    what: str
    place: str | None = None
    parts: tuple[str, ...] = ()


class PutInTray(_Event):
    kind: Literal["put in tray"] = "put in tray"
    tray: int
    ids: tuple[str, ...]
    """The removals that lie in it."""


class TimerStarted(_Event):
    kind: Literal["timer started"] = "timer started"
    name: str
    seconds: float
    of_step: str | None = None
    """The step whose waiting time it is; None: that of the step at which it was started, if it has one."""


class TimerStopped(_Event):
    kind: Literal["timer stopped"] = "timer stopped"
    name: str


class TimerRang(_Event):
    kind: Literal["timer rang"] = "timer rang"
    name: str


class WorkerChanged(_Event):
    """From here on this person is at the bench, and everything that follows is theirs; no name: nobody is named."""

    kind: Literal["worker changed"] = "worker changed"
    name: str | None = None


class StoodBy(_Event):
    kind: Literal["stood by"] = "stood by"


class CameBack(_Event):
    kind: Literal["came back"] = "came back"


class JobPaused(_Event):
    kind: Literal["job paused"] = "job paused"


class JobResumed(_Event):
    kind: Literal["job resumed"] = "job resumed"


class JobFinished(_Event):
    kind: Literal["job finished"] = "job finished"
    open_points: tuple[str, ...] = ()


class FactNoted(_Event):
    """Something about the job as a whole; of some facts (``job.facts``) only the newest that stands counts."""

    kind: Literal["fact noted"] = "fact noted"
    id: str
    about: About
    text: str
    to_type: bool = False
    """The text is only what was understood of free speech: the sound counts until somebody types it."""
    seconds: float = 0.0
    severity: Severity | None = None
    """Of a finding."""
    amount: str | None = None
    """Of money, exact, in the currency of the workshop."""
    corrects: str | None = None
    holds: Held = ()


class TextTyped(_Event):
    """What was said in a note or a fact, typed by somebody who listened to it; or the name of what had only a number:
    ``id`` is then the note that tells it, or what came off."""

    kind: Literal["text typed"] = "text typed"
    id: str
    text: str


class PartsCounted(_Event):
    """Parts that came out, went back, or were replaced by new ones."""

    kind: Literal["parts counted"] = "parts counted"
    id: str
    part: str
    """In the singular: "screw"."""
    count: int
    way: Disposition
    corrects: str | None = None


class EntryConfirmed(_Event):
    """In the review somebody looked at this and let it stand."""

    kind: Literal["entry confirmed"] = "entry confirmed"
    id: str | None = None
    """The entry; None for a point that is none (a step left out)."""
    point: str
    """The point in the words of the review."""


class ProcedureTakenUp(_Event):
    """From here on another procedure is worked; steps that are named later are its steps."""

    kind: Literal["procedure taken up"] = "procedure taken up"
    procedure_name: str
    title: str
    revision: str
    procedure_sha256: str
    procedure_text: str | None = None
    """As it stood; None where the job has it already."""
    steps: int = 0
    """How many steps it adds to the job; none where the job has it already."""
    apart: Literal[True] | None = None
    """It is that of taking apart."""

    @property
    def takes_apart(self) -> bool:
        return self.apart is True

    @classmethod
    def again(cls, brought: JobOpened | ProcedureTakenUp, at: datetime) -> ProcedureTakenUp:
        """One that the job has been worked by already: its text was brought by ``brought``."""
        return cls(
            at=at,
            procedure_name=brought.procedure_name,
            title=brought.title,
            revision=brought.revision,
            procedure_sha256=brought.procedure_sha256,
            apart=True if brought.takes_apart else None,
        )


class JobReopened(_Event):
    kind: Literal["job reopened"] = "job reopened"
    reason: str


class TimerAcknowledged(_Event):
    kind: Literal["timer acknowledged"] = "timer acknowledged"
    name: str


class ClockSetBack(_Event):
    """The clock shows an earlier time than the event before: what follows is in the right order all the same."""

    kind: Literal["clock set back"] = "clock set back"
    seconds: float


class EventsLost(_Event):
    """In a rescue from a damaged file nothing could be read between two events."""

    kind: Literal["events lost"] = "events lost"
    first: int
    last: int
    """Running numbers in the damaged file."""


class ClipsDeleted(_Event):
    """Sounds of the job were deleted on purpose. Their hashes stay in the events that named them."""

    kind: Literal["clips deleted"] = "clips deleted"
    clips: tuple[Clip, ...]
    why: str


class PartWanted(_Event):
    """A part that the job needs and that is not in the workshop; a new one replaces the one it ``corrects``."""

    kind: Literal["part wanted"] = "part wanted"
    id: str
    what: str
    """In the singular: "gib screw"."""
    count: int = 1
    size: str | None = None
    """As a procedure writes it ("M2 x 5")."""
    corrects: str | None = None


class PartFollowed(_Event):
    """What became of a part that was wanted."""

    kind: Literal["part followed"] = "part followed"
    id: str
    """Of the part that was wanted."""
    stage: Literal["ordered", "arrived"]


class FileAttached(_Event):
    """A file that somebody else made was copied beside the log (``job.log.beside.attached``)."""

    kind: Literal["file attached"] = "file attached"
    id: str
    name: str
    """Of the file, without its folder."""
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    bytes: int
    shown_as: str | None = None
    """The media type of a picture that a page may show, by its first bytes; None: it is only named."""
    to: str | None = None
    """The entry that it belongs to, by its identifier; None: the job as a whole."""
    text: str | None = None
    """What it shows."""


class AttachedDeleted(_Event):
    """The content of attached files was deleted on purpose. What they were called and their hashes stay in the events
    by which they were attached."""

    kind: Literal["attached files deleted"] = "attached files deleted"
    files: tuple[str, ...]
    """The SHA-256 of each."""
    why: str


class HandedOver(_Event):
    """The owner has the item again: the job has left the workshop."""

    kind: Literal["handed over"] = "handed over"
    given_back: tuple[str, ...] = ()
    """The accessories that went with it, by their identifiers."""
    kept: str | None = None
    """What was left with the item and did not go with it."""


class PersonalForgotten(_Event):
    """What is personal of some events was taken out on purpose: it is kept no more, and shown nowhere. The hashes by
    which those events named it stay."""

    kind: Literal["personal data forgotten"] = "personal data forgotten"
    events: tuple[int, ...]
    """Their running numbers."""
    why: str


Event = Annotated[
    JobOpened
    | QuestionAnswered
    | StepEntered
    | StepDone
    | StepSkipped
    | StepRedone
    | ReadingLogged
    | ReadingSettled
    | EntryWithdrawn
    | OutcomeGiven
    | CheckAnswered
    | NoteStretch
    | NoteKept
    | PartsRemoved
    | MarkMade
    | PutInTray
    | TimerStarted
    | TimerStopped
    | TimerRang
    | WorkerChanged
    | StoodBy
    | CameBack
    | JobPaused
    | JobResumed
    | JobFinished
    | FactNoted
    | TextTyped
    | PartsCounted
    | EntryConfirmed
    | ProcedureTakenUp
    | JobReopened
    | TimerAcknowledged
    | ClockSetBack
    | EventsLost
    | ClipsDeleted
    | FileAttached
    | PartWanted
    | PartFollowed
    | AttachedDeleted
    | HandedOver
    | PersonalForgotten,
    Field(discriminator="kind"),
]

_ADAPTER: TypeAdapter[Event] = TypeAdapter(Event, config=ConfigDict(defer_build=True))


def to_json(event: Event) -> str:
    """One line of JSON, without the slots that are empty."""
    return event.model_dump_json(exclude_none=True)


def from_json(text: str) -> Event:
    """The event that ``to_json`` wrote; pydantic.ValidationError where it is not one."""
    return _ADAPTER.validate_json(text)


def fields_in(text: str) -> dict[str, Any]:
    """What stands in an event's text, of whatever version it is; nothing where it can't be read."""
    try:
        found = json.loads(text)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
