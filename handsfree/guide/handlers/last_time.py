"""Last time: what was measured in earlier jobs, for the ear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from handsfree.guide.turn import Turn
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.limits import Decision
from handsfree.phrases.intents import Intent
from handsfree.text.numerals import whole_words
from handsfree.text.prose import listed, sentences

_MOST = 2
"""Characteristics told in one breath."""


@dataclass(frozen=True)
class Earlier:
    """A figure that stood at the end of an earlier job."""

    job: str
    at: datetime
    item: str | None
    serial: str | None
    procedure: str
    """The procedure's name."""
    characteristic: str
    occasion: str
    figure: Figure
    """As it was stated."""
    decision: str


def last_time(turn: Turn, intent: Intent) -> None:
    """The newest earlier figure of what is asked for, else of what this step measures: of this very item where there
    is one, else of its kind, else of the same work."""
    here = [measured.name for measured in turn.step.characteristics]
    names = [intent.characteristic] if intent.characteristic else list(dict.fromkeys(here))
    if not names:
        turn.say("Nothing is measured at this step. Say last time, with the name of what you measure.")
        return
    found = [(name, best) for name in names[:_MOST] if (best := nearest(turn, name))]
    missing = [name for name in names[:_MOST] if name not in dict(found)]
    said = [_words(turn, best) for _, best in found]
    said += [f"no earlier figure for {listed(missing, 'or')}"] if missing else []
    turn.say(sentences(said))


def nearest(turn: Turn, name: str) -> tuple[Earlier, str] | None:
    """The figure that counts as that of last time, and in a few words whose it is."""
    opened = turn.state.opened
    serial, item = (opened.serial, opened.item) if opened else (None, None)
    procedure = opened.procedure_name if opened else ""
    of_it = [each for each in turn.guide.earlier if each.characteristic == name]
    if serial:
        own = [each for each in of_it if _same(each.serial, serial) and _same(each.item, item)]
        if own:
            return _newest(own), "this one"
    kind = [each for each in of_it if item and _same(each.item, item)]
    if kind:
        return _newest(kind), "the same kind of item"
    work = [each for each in of_it if each.procedure == procedure]
    return (_newest(work), "the same work on another item") if work else None


def _same(one: str | None, other: str | None) -> bool:
    return (one or "").casefold() == (other or "").casefold()


def _newest(figures: Sequence[Earlier]) -> Earlier:
    """Of the newest job: its last figure, of those that were not taken as found where there are such."""
    last = max(figures, key=lambda each: each.at).job
    of_job = [each for each in figures if each.job == last]
    return max(of_job, key=lambda each: (each.occasion != "as found", each.at))


def _words(turn: Turn, found: tuple[Earlier, str]) -> str:
    each, whose = found
    days = (turn.now.date() - each.at.date()).days
    when = "today" if days < 1 else "yesterday" if days == 1 else f"{_ago(days)} ago"
    verdict = "" if each.decision == Decision.NO_LIMITS.value else each.decision
    figure = f"{each.characteristic}, {each.occasion}, {spoken(each.figure)}"
    return sentences((f"{when}, {whose}: {figure}", verdict))


def _ago(days: int) -> str:
    """ "three weeks": in the largest unit of which there are at least two."""
    for length, one in ((365, "year"), (30, "month"), (7, "week")):
        if days >= 2 * length:
            return f"{whole_words(days // length)} {one}s"
    return f"{whole_words(days)} days"
