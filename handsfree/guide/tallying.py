"""The parts tally aloud: counting out, back and replaced, and asking before a cover is closed."""

from __future__ import annotations

from fractions import Fraction

from handsfree.guide import wording
from handsfree.guide.turn import Turn
from handsfree.job.events import PartsCounted
from handsfree.job.state import JobState
from handsfree.job.tally import Tally, tally, unreconciled
from handsfree.measure.figure import Figure
from handsfree.measure.wording import confusable_digits
from handsfree.phrases.commands import PARTS
from handsfree.phrases.intents import Intent
from handsfree.procedure.model import Procedure

FASTENERS = ("screw", "bolt", "nut")
"""The parts that a procedure lists as fasteners of its steps."""


def count_parts(turn: Turn, intent: Intent) -> None:
    """Write a count down and say what it leaves out."""
    write_count(turn, intent.name or "part", intent.count or 0, intent.way or "out")


def write_count(turn: Turn, part: str, count: int, way: str, corrects: str | None = None) -> None:
    turn.record(
        PartsCounted, id=turn.guide.new_id(), part=part, count=count, way=way, corrects=corrects, sounds=turn.sound()
    )
    digits = confusable_digits(Figure(Fraction(count), 0, None))
    said = f"{counted(count, part)}{f', {digits},' if digits else ''} {way}"
    now = next((each for each in tally(turn.state) if each.part == part), None)
    rest = "" if now is None or (way == "out" and now.still_out == count) else balance(now)
    turn.lead = "Corrected." if corrects else turn.lead
    turn.say(wording.sentences((said, rest)), must_hear=True)


def counted(count: int, part: str) -> str:
    """ "eight screws"."""
    return wording.counted(count, part, PARTS.get(part, f"{part}s"))


def balance(each: Tally) -> str:
    """ "one screw still out", "all screws back"."""
    many = PARTS.get(each.part, f"{each.part}s")
    if not each.still_out:
        return f"all {many} accounted for"
    if each.still_out < 0:
        return f"{counted(-each.still_out, each.part)} more in than came out"
    return f"{counted(each.still_out, each.part)} still out"


def sums(each: Tally) -> str:
    """ "eight screws out, seven back, one still out"."""
    said = [f"{counted(each.out, each.part)} out"]
    said += [
        f"{wording.number(count)} {way}" for count, way in ((each.back, "back"), (each.replaced, "replaced")) if count
    ]
    return f"{wording.listed(said)}: {balance(each)}"


def what_is_out(turn: Turn, _: Intent) -> None:
    """The tally, the parts that do not come out even only."""
    counts = tally(turn.state)
    open_ = [sums(each) for each in counts if each.still_out]
    turn.say(wording.sentences(open_) or ("All parts accounted for." if counts else "No parts were counted."))


def before_cover(procedure: Procedure, state: JobState, index: int) -> str:
    """What to ask about before the step that closes a cover; empty where the counts come out even.

    Fasteners that this step and the open ones after it need are still out, and rightly so.
    """
    wanted = sum(
        part.count for step in procedure.steps[index:] if state.status(step.id) == "open" for part in step.fasteners
    )
    uneven = unreconciled(state)
    fasteners = [each for each in uneven if each.part in FASTENERS]
    if wanted and sum(each.still_out for each in fasteners) == wanted:
        uneven = [each for each in uneven if each not in fasteners]
        fasteners = []
    needed = f"{wording.counted(wanted, 'fastener')} needed from here on" if wanted and fasteners else ""
    return wording.sentences((*(sums(each) for each in uneven), needed))
