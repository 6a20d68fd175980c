"""Every command that can be said, with its wordings: the one place where a command is added.

A command belongs to a group (for the cheat sheet) and its node's value is an ``Intent``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from handsfree.phrases.grammar import Either, Named, Node, Part, Seq, either, maybe, says, seq
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.quantities.figures import duration
from handsfree.phrases.quantities.numbers import count_words, counting
from handsfree.phrases.quantities.readings import reading
from handsfree.phrases.quantities.spelling import code
from handsfree.phrases.quantities.sums import asked

MOST_STEPS = 99
"""All step numbers can be said in every procedure: one that is not there is refused, not heard as another."""

OCCASIONS = ("as found", "as set", "as left")
TIMERS = ("bath", "grease", "oil", "lacquer", "glue", "heat", "cooling", "drying", "soak")
REASONS = (
    "not fitted", "not needed", "already done", "part missing", "part on order", "part worn out", "thread stripped",
    "as the customer wishes", "within wear", "no better to be had", "to be watched",
)  # fmt: skip
"""Reasons that can be given in one breath; any other is spoken freely when asked for."""
CODES = {
    "serial number": "serial",
    "item number": "item",
    "owner": "owner",
    "signed off by": "signed off",
}
"""What can be spelled, with what it is called in the log."""
FACTS = {
    "complaint": "complaint",
    "condition as found": "condition",
    "part replaced": "part replaced",
    "material used": "material",
}
"""What is then said freely, and kept as sound."""
SEVERITIES = ("cosmetic", "minor", "serious", "unsafe")
PARTS = {
    "screw": "screws", "nut": "nuts", "bolt": "bolts", "washer": "washers", "shim": "shims", "pin": "pins",
    "spring": "springs", "ball": "balls", "clip": "clips", "part": "parts",
}  # fmt: skip
"""Parts that can be counted, in the singular and the plural."""
WAYS = {"out": "out", "back": "back", "replaced": "replaced"}


@dataclass(frozen=True)
class Vocabulary:
    """The names that a procedure adds to the language."""

    characteristics: Mapping[str, str] = field(default_factory=dict)
    """Each spoken name of a characteristic with its name in the procedure."""
    units: Mapping[str, str] = field(default_factory=dict)
    """The unit of each characteristic, by its name in the procedure: it goes without saying."""
    timers: Sequence[str] = ()
    tools: Mapping[str, str] = field(default_factory=dict)
    """Each spoken name of a tool with its own name."""
    answers: Sequence[str] = ()
    """The answers to the questions about the item, beyond yes and no."""
    procedures: Mapping[str, str] = field(default_factory=dict)
    """Each spoken name of a procedure that the job may change to, with its own name."""


@dataclass(frozen=True)
class Command:
    """One kind of intent, all its wordings, and where it stands in the cheat sheet."""

    kind: Kind
    group: str
    node: Node
    help: str

    @property
    def wordings(self) -> tuple[str, ...]:
        """How it may be said, each way in a line: [ ] may be left out, ( / ) one of these, capitals for a kind."""
        return tuple(dict.fromkeys(_ways(self.node)))


def _ways(part: Node) -> list[str]:
    """The options of a node one by one where it is a choice from the start, else the whole in one."""
    if isinstance(part, Seq) and len(part.parts) == 1:
        return _ways(part.parts[0])
    if isinstance(part, Either):
        return [way for option in part.options for way in _ways(option)]
    return [part.pattern()]


def _plain(kind: Kind, group: str, help_: str, *wordings: Part) -> Command:
    return Command(kind, group, seq(either(*wordings), to=lambda: Intent(kind)), help_)


Slots = dict[str, Any]


def _together(*slots: Slots) -> Slots:
    return {name: value for slot in slots for name, value in slot.items()}


def _fill(kind: Kind, slots: tuple[Slots, ...]) -> Intent:
    return Intent(kind, **_together(*slots))


def _filled(kind: Kind, group: str, help_: str, *parts: Part) -> Command:
    return Command(kind, group, seq(*parts, to=lambda *slots: _fill(kind, slots)), help_)


def _slot(name: str, part: Node) -> Node:
    return seq(part, to=lambda value: {name: value})


def _changing(group: str, procedures: Mapping[str, str]) -> tuple[Command, ...]:
    """Changing the procedure within the job, where there are any to change to."""
    if not procedures:
        return ()
    name = _slot("name", Named(either(*(says(said, own) for said, own in procedures.items())), "PROCEDURE"))
    change = either("change to", "change procedure to")
    return (
        _filled(Kind.CHANGE_PROCEDURE, group, "work another procedure on the same item", change, name),
        _plain(Kind.PROCEDURES, group, "which procedures there are to change to", "which procedures"),
    )


def commands(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """All commands of the language of one procedure."""
    names = vocabulary.characteristics
    characteristic = _slot(
        "characteristic", Named(either(*(says(name, of) for name, of in names.items())), "CHARACTERISTIC")
    ) if names else None  # fmt: skip
    occasion = _slot("occasion", either(*(says(words, words) for words in OCCASIONS)))
    step = _slot(
        "step", Named(either(*(says(count_words(n), n) for n in range(1, MOST_STEPS + 1))), "NUMBER")
    )  # fmt: skip
    reason = _slot("reason", Named(either(*(says(words, words) for words in REASONS)), "REASON"))
    timers = tuple(dict.fromkeys((*vocabulary.timers, *TIMERS)))
    timer = _slot("name", Named(either(*(says(name, name) for name in timers)), "TIMER"))
    said_answers = tuple(dict.fromkeys(vocabulary.answers))
    answer = (
        _slot("answer", Named(either(*(says(words, words) for words in said_answers)), "ANSWER"))
        if said_answers
        else None
    )
    length = _slot("figure", duration)
    of_what: tuple[Part, ...] = (maybe(characteristic),) if characteristic else ()
    tools = vocabulary.tools
    with_tool: tuple[Part, ...] = (
        (maybe(seq("with the", _slot("tool", Named(either(*(says(n, of) for n, of in tools.items())), "TOOL")))),)
        if tools
        else ()
    )
    # One node for all that is followed by a reading: what ends alike is kept once in the grammar.
    said = seq(reading, *with_tool, to=_together)
    figure_of_what: tuple[Part, ...] = (
        (either(said, seq(characteristic, maybe("is"), said, to=_together)),) if characteristic else (said,)
    )

    moving, asking, writing = "Moving", "Asking", "Writing"
    answering, timing, sums, bench = "Answering", "Timers", "Sums", "The bench"
    record, reviewing = "The job as a whole", "The review at the bench"
    return (
        _plain(Kind.NEXT, moving, "this step is done, go on", "next", "next step", "go on", "step done next"),
        _plain(Kind.DONE, moving, "this step is done, stay here", "done", "step done", "that is done"),
        _plain(
            Kind.LOOK_AHEAD,
            moving,
            "hear the step that follows; logs nothing",
            "what comes after",
            "what comes next",
            "look ahead",
        ),
        _plain(
            Kind.LOOK_BACK,
            moving,
            "look at the step before; logs nothing",
            "back",
            "look back",
            "step before",
        ),
        _filled(Kind.GO_TO, moving, "go to a step", "go to step", step),
        Command(
            Kind.REDO,
            moving,
            seq(
                "redo",
                either("this step", "the step", seq("step", step)),
                to=lambda *slots: _fill(Kind.REDO, slots),
            ),
            "do a step again: what rests on it has to be proved again",
        ),
        _filled(
            Kind.SKIP,
            moving,
            "leave a step out, with the reason",
            either("skip", "skip this step", "leave it out"),
            maybe(reason),
        ),
        _plain(Kind.WHERE, moving, "which step this is", "where am i", "which step"),
        _plain(Kind.LEFT, moving, "what is left to do", "what is left", "what is left to do", "how far am i"),
        _plain(
            Kind.CAN_DO,
            moving,
            "the steps with nothing in their way",
            "what can be done now",
            "what can i do now",
        ),
        _plain(
            Kind.LEFT_OUT,
            moving,
            "what was left out, and what of it can still be done",
            "what was left out",
            "what did i leave out",
        ),
        *_changing(moving, vocabulary.procedures),
        _plain(Kind.REPEAT, asking, "hear the last words again", "repeat", "say again", "say that again"),
        _plain(Kind.DETAILS, asking, "more about this step", "details", "more", "tell me more"),
        _plain(
            Kind.FASTENERS,
            asking,
            "the fasteners of this step, with their sizes",
            "fasteners",
            "screws",
            "which screws",
            "what size are the screws",
        ),
        _plain(
            Kind.LUBRICANT,
            asking,
            "which lubricant, where, how much",
            "lubricant",
            "which oil",
            "which grease",
        ),
        _plain(Kind.CAUTIONS, asking, "dangers and cautions", "cautions", "dangers", "what to watch"),
        _plain(Kind.WHY, asking, "the reason for this step", "why", "what for"),
        _plain(Kind.TRAY, asking, "where the parts of this step lie", "which tray", "where are the parts"),
        _plain(Kind.TOOLS, asking, "the tools of this step", "which tools", "what tools"),
        _plain(Kind.MARKS, asking, "the alignment marks of this step", "which marks", "where are the marks"),
        _plain(Kind.VARIANT, asking, "what is known of this item", "which variant", "which pattern is it"),
        _plain(Kind.ASK_AGAIN, asking, "put the last question about the item again", "ask me again"),
        _plain(Kind.HELP, asking, "what can be said now", "help", "what can i say"),
        _plain(Kind.LAST_HEARD, asking, "what was heard last", "last heard", "what did you hear"),
        _filled(
            Kind.LOG,
            writing,
            "write a figure down",
            either("log", "write down", "put down"),
            *of_what,
            maybe(occasion),
            said,
        ),
        _filled(
            Kind.CORRECT,
            writing,
            "the last figure was wrong, this is right",
            either(
                "wrong",
                "correction",
                seq(either("wrong", "no"), either("it is", "make it", "make that")),
                "make it",
                "make that",
            ),
            said,
        ),
        _plain(
            Kind.TAKE_BACK,
            writing,
            "withdraw the last entry",
            "take back",
            "take it back",
            "take that back",
            "strike the last entry",
        ),
        _filled(Kind.READ_BACK, writing, "hear the last entry, or one characteristic's", "read back", *of_what),
        _filled(
            Kind.READINGS,
            writing,
            "repeated readings: how many, mean, range, standard deviation",
            "readings",
            *((maybe(seq("of", characteristic)),) if characteristic else ()),
        ),
        _filled(
            Kind.LAST_TIME,
            writing,
            "hear what it measured in an earlier job",
            either(
                seq("last time", *of_what, to=_together),
                seq("what did i set last time", to=dict),
                *((seq("what was", characteristic, "last time", to=_together),) if characteristic else ()),
            ),
        ),
        _plain(Kind.NOTE, writing, "keep what is said next, as sound and as text", "note", "make a note"),
        _plain(Kind.END_NOTE, writing, "the note is finished", "end of note", "end note"),
        _plain(
            Kind.SET_AGAIN,
            writing,
            "a figure out of limits: it will be set again",
            "set again",
            "i will set it again",
        ),
        _filled(
            Kind.ACCEPT,
            writing,
            "a figure out of limits: accept it, with the reason",
            either("accept", "accept it"),
            maybe(reason),
        ),
        _plain(Kind.LEAVE_OPEN, writing, "a figure out of limits: decide later", "leave open", "leave it open"),
        _plain(Kind.YES, answering, "yes", "yes", "it does", "that is so"),
        _plain(Kind.NO, answering, "no", "no", "it does not"),
        _filled(Kind.FIGURE, answering, "a figure, when one is asked for", *figure_of_what),
        *(
            (_filled(Kind.ANSWER, answering, "an answer about the item, when it is asked for", answer),)
            if answer is not None
            else ()
        ),
        _plain(Kind.CANCEL, answering, "drop the question", "never mind", "drop it"),
        _filled(
            Kind.TIMER_START,
            timing,
            "start a timer",
            either(
                seq(maybe("start"), "timer", timer, length, to=_together),
                seq(maybe("start"), timer, "timer", length, to=_together),
                seq(maybe("start"), "timer", length),
                seq("start", maybe("the"), "timer", to=dict),
            ),
        ),
        _filled(
            Kind.TIMER_STOP,
            timing,
            "stop a timer",
            "stop",
            either(
                seq("timer", timer),
                seq(timer, "timer"),
                "timer",
                "the timer",
            ),
        ),
        _plain(
            Kind.ACKNOWLEDGE, timing, "heard that the time is up: it need not be said again", "got it", "time noted"
        ),
        _filled(Kind.TIMER_LEFT, timing, "how long a timer has left", "how long is left", maybe(seq("on", timer))),
        _filled(Kind.SUM, sums, "a sum; nothing is logged", _slot("sum", asked)),
        _filled(
            Kind.CODE,
            record,
            "spell a number or initials; a new one replaces the old",
            _slot("name", either(*(says(words, about) for words, about in CODES.items()))),
            _slot("text", code),
        ),
        _filled(Kind.MORE_CODE, record, "the rest of a long number", "add", _slot("text", code)),
        _filled(
            Kind.FACT,
            record,
            "keep what is said next about the job, as sound and as text",
            either(
                _slot("name", either(*(says(words, about) for words, about in FACTS.items()))),
                seq(
                    _slot("text", either(*(says(severity, severity) for severity in SEVERITIES))),
                    "finding",
                    to=lambda slot: slot | {"name": "finding"},
                ),
            ),
        ),
        _plain(Kind.LUBRICANT_USED, record, "this step's lubricant was used", "lubricant used", "grease used"),
        _plain(Kind.SIGN_OFF, record, "sign the job with the name given at the start", "sign off", "sign the job off"),
        _filled(
            Kind.COUNT_PARTS,
            record,
            "count parts out, back, or replaced",
            maybe("log"),
            either(
                seq(
                    _slot("name", either(*(says(f"one {part}", part) for part in PARTS))), to=lambda s: s | {"count": 1}
                ),
                seq(
                    _slot("count", counting),
                    _slot("name", either(*(says(many, part) for part, many in PARTS.items()))),
                    to=_together,
                ),
            ),
            _slot("way", either(*(says(words, way) for words, way in WAYS.items()))),
        ),
        _plain(Kind.TALLY, record, "which parts are still out", "parts tally", "what is still out"),
        _plain(Kind.REVIEW, reviewing, "hear what wants attention, then each point", "review", "review the job"),
        _plain(Kind.PLAY, reviewing, "hear the sound of this point, or of the last entry", "play it", "play the sound"),
        _plain(Kind.CONFIRM, reviewing, "this point may stand", "confirm", "confirmed"),
        _filled(
            Kind.HISTORY,
            reviewing,
            "what became of a figure before it was what it is",
            "history",
            maybe(seq("of", characteristic)) if characteristic else "",
        ),
        _plain(Kind.END_REVIEW, reviewing, "the review is over", "end of review", "end review"),
        _plain(Kind.STAND_BY, bench, "stop listening until called back", "stand by"),
        _plain(Kind.COME_BACK, bench, "listen again", "back at the bench"),
        _plain(
            Kind.PAUSE,
            bench,
            "stop here for today; the job can be taken up again",
            "pause the job",
            "pause job",
        ),
        _plain(Kind.FINISH, bench, "the job is finished", "finish the job", "finish job", "job finished"),
        _plain(Kind.SLOWER, bench, "speak slower", "slower", "speak slower"),
        _plain(Kind.FASTER, bench, "speak faster", "faster", "speak faster"),
        _plain(Kind.LOUDER, bench, "speak louder", "louder", "speak louder"),
        _plain(Kind.QUIETER, bench, "speak more quietly", "quieter", "softer"),
    )
