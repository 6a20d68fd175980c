"""What can be meant: the closed list of intents and their slots."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from handsfree.measure.figure import Figure
from handsfree.measure.sums.asked import Sum
from handsfree.phrases.disassembly.removal import Marking, Removal
from handsfree.phrases.quantities.days import SpokenDay


class Changes(Enum):
    """What a command may change."""

    NOTHING = "nothing"
    """It tells or shows something, or sets how the bench speaks: it may be taken even when it was heard doubtfully."""
    LOG = "log"
    PLACE = "place"
    """The place in the procedure or in the review, and with it the log."""
    ATTENDANCE = "attendance"
    """Who is at the bench, and whether anybody is; the job goes on later where it was left."""
    END = "end"
    """The job is over with it."""
    ASKED = "asked"
    """It answers: it may change whatever was asked about."""


class Kind(str, Enum):
    """Kinds of intent; the values are the names used in the log and by ``handsfree hear --json``."""

    # moving through the procedure
    NEXT = "next"
    DONE = "done"
    LOOK_AHEAD = "look ahead"
    LOOK_BACK = "look back"
    GO_TO = "go to"
    REDO = "redo"
    SKIP = "skip"
    WHERE = "where"
    LEFT = "left"
    CAN_DO = "can do"
    LEFT_OUT = "left out"
    CHANGE_PROCEDURE = "change procedure"
    PROCEDURES = "procedures"
    OPEN_JOBS = "open jobs"
    GO_TO_JOB = "go to job"
    # asking
    REPEAT = "repeat"
    DETAILS = "details"
    FASTENERS = "fasteners"
    LUBRICANT = "lubricant"
    CAUTIONS = "cautions"
    WHY = "why"
    LIMITS = "limits"
    TRAY = "tray"
    TOOLS = "tools"
    MARKS = "marks"
    VARIANT = "variant"
    ASK_AGAIN = "ask again"
    HELP = "help"
    LAST_HEARD = "last heard"
    # writing
    LOG = "log"
    CORRECT = "correct"
    TAKE_BACK = "take back"
    READ_BACK = "read back"
    LAST_TIME = "last time"
    NOTE = "note"
    END_NOTE = "end note"
    SET_AGAIN = "set again"
    ACCEPT = "accept"
    LEAVE_OPEN = "leave open"
    # figures already there, and sums
    READINGS = "readings"
    SUM = "sum"
    # the job as a whole
    CODE = "code"
    MORE_CODE = "more code"
    FACT = "fact"
    LUBRICANT_USED = "lubricant used"
    SIGN_OFF = "sign off"
    WORKER = "worker"
    WAITING_CHECKS = "waiting checks"
    TELL_FACT = "tell fact"
    ACCESSORY = "accessory"
    PROMISED = "promised"
    AMOUNT = "amount"
    HAND_OVER = "hand over"
    ORDER = "order"
    ARRIVED = "arrived"
    ORDERS = "orders"
    COUNT_PARTS = "count parts"
    TALLY = "tally"
    # reviewing
    REVIEW = "review"
    PLAY = "play"
    CONFIRM = "confirm"
    HISTORY = "history"
    END_REVIEW = "end of review"
    # taking apart
    TAKE_APART = "take apart"
    END_APART = "end of taking apart"
    REMOVED = "removed"
    PUT_IN_TRAY = "put in tray"
    IN_TRAY = "in tray"
    MARKED = "marked"
    NEW_WORD = "new word"
    GIVE_NAME = "give name"
    # answers
    YES = "yes"
    NO = "no"
    FIGURE = "figure"
    ANSWER = "answer"
    CANCEL = "cancel"
    # timers
    TIMER_START = "timer start"
    TIMER_STOP = "timer stop"
    TIMER_LEFT = "timer left"
    ACKNOWLEDGE = "acknowledge"
    # the bench
    STAND_BY = "stand by"
    COME_BACK = "back at the bench"
    PAUSE = "pause"
    FINISH = "finish"
    SLOWER = "slower"
    FASTER = "faster"
    LOUDER = "louder"
    QUIETER = "quieter"
    SHORT = "short answers"
    WHOLE = "full answers"

    @property
    def changes(self) -> Changes:
        """What a command of this kind may change."""
        return _CHANGES[self]

    @property
    def takes_figure(self) -> bool:
        """Whether a figure is given with it, which is asked back itself where it is doubtful."""
        return self in WITH_FIGURE

    @property
    def only_answers(self) -> bool:
        """Whether it says nothing unless it was asked for."""
        return self in (Kind.FIGURE, Kind.YES, Kind.NO)

    @property
    def closes(self) -> bool:
        """Whether it says nothing unless something was begun before: a question, a note."""
        return self in (Kind.CANCEL, Kind.END_NOTE)


WITH_FIGURE = (Kind.LOG, Kind.CORRECT, Kind.FIGURE)
"""Kinds with which a figure is given to be logged."""

_CHANGES: Mapping[Kind, Changes] = {
    kind: changes
    for changes, kinds in {
        Changes.NOTHING: (
            Kind.LOOK_AHEAD, Kind.LOOK_BACK, Kind.WHERE, Kind.LEFT, Kind.REPEAT, Kind.DETAILS, Kind.FASTENERS,
            Kind.LUBRICANT, Kind.CAUTIONS, Kind.WHY, Kind.LIMITS, Kind.HELP, Kind.LAST_HEARD, Kind.READ_BACK,
            Kind.TIMER_LEFT, Kind.READINGS, Kind.SUM, Kind.LAST_TIME, Kind.IN_TRAY, Kind.CAN_DO, Kind.LEFT_OUT,
            Kind.TRAY, Kind.TOOLS,
            Kind.MARKS, Kind.VARIANT, Kind.TALLY, Kind.PLAY, Kind.HISTORY, Kind.PROCEDURES, Kind.SLOWER, Kind.FASTER,
            Kind.OPEN_JOBS, Kind.WAITING_CHECKS,
            Kind.LOUDER, Kind.QUIETER, Kind.SHORT, Kind.WHOLE, Kind.COME_BACK, Kind.CANCEL, Kind.TELL_FACT, Kind.ORDERS,
        ),
        Changes.LOG: (
            Kind.LOG, Kind.CORRECT, Kind.TAKE_BACK, Kind.NOTE, Kind.END_NOTE, Kind.SET_AGAIN, Kind.ACCEPT,
            Kind.LEAVE_OPEN, Kind.CODE, Kind.MORE_CODE, Kind.FACT, Kind.LUBRICANT_USED, Kind.SIGN_OFF,
            Kind.ACCESSORY, Kind.PROMISED, Kind.AMOUNT, Kind.HAND_OVER, Kind.ORDER, Kind.ARRIVED,
            Kind.COUNT_PARTS, Kind.CONFIRM, Kind.REMOVED, Kind.PUT_IN_TRAY, Kind.MARKED, Kind.NEW_WORD,
            Kind.GIVE_NAME, Kind.TIMER_START,
            Kind.TIMER_STOP, Kind.ACKNOWLEDGE,
        ),
        Changes.PLACE: (
            Kind.NEXT, Kind.DONE, Kind.GO_TO, Kind.REDO, Kind.SKIP, Kind.CHANGE_PROCEDURE, Kind.ASK_AGAIN, Kind.REVIEW,
            Kind.END_REVIEW, Kind.TAKE_APART, Kind.END_APART,
        ),
        Changes.ATTENDANCE: (Kind.STAND_BY, Kind.PAUSE, Kind.WORKER, Kind.GO_TO_JOB),
        Changes.END: (Kind.FINISH,),
        Changes.ASKED: (Kind.YES, Kind.NO, Kind.FIGURE, Kind.ANSWER),
    }.items()
    for kind in kinds
}  # fmt: skip


@dataclass(frozen=True)
class Intent:
    """One meaning. Slots that a kind does not use stay None."""

    kind: Kind
    characteristic: str | None = None
    """The characteristic's name as in the procedure, whichever of its names was said."""
    figure: Figure | None = None
    occasion: str | None = None
    """"as found", "as set" or "as left"."""
    step: int | None = None
    """A step's number, counted from one."""
    reason: str | None = None
    name: str | None = None
    """A timer's name, what a fact or a code is about, the kind of part that was counted, or a procedure's name."""
    upper: Figure | None = None
    """The blade that will not go, where ``figure`` is the one that goes; the plus where ``figure`` is the minus."""
    deviation: bool = False
    """Whether the figure was said with a plus: a deviation from the target."""
    feel: str | None = None
    """How it feels at the figure: "drags", "free", "binds"."""
    tool: str | None = None
    """The name of the tool that was named with the figure."""
    sum: Sum | None = None
    answer: str | None = None
    """An answer to a question about the item."""
    text: str | None = None
    """A code as it is written ("AB417"), or the severity of a finding."""
    count: int | None = None
    way: str | None = None
    """What became of counted parts: "out", "back" or "replaced"."""
    day: SpokenDay | None = None
    """A day that was said."""
    removal: Removal | None = None
    marking: Marking | None = None
    tray: int | None = None
