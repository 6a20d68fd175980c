"""A step in words: danger first, then the act, then what is asked for; the rest on request."""

from __future__ import annotations

import re

from handsfree.measure.formatting import range_words
from handsfree.measure.threads import spoken_size
from handsfree.procedure.model import Characteristic, Fastener, Lubricant, Step
from handsfree.text.numerals import whole_words
from handsfree.text.prose import duration, sentence, sentences

_TELLS_OF_LEFT_HAND = re.compile(r"\bleft[- ]hand(ed)?,? (thread|screw|nut|bolt)", re.IGNORECASE)
"""A left-hand thread that the step's own words tell of is not told again."""


def limits_words(characteristic: Characteristic) -> str:
    return range_words(characteristic.low, characteristic.high)


def fastener(part: Fastener) -> str:
    """One kind of fastener: count, size, head, finish, where; a left-hand thread always last, on its own."""
    said = [f"{whole_words(part.count)} {spoken_size(part.size)}"]
    said += [word for word in (part.head, part.finish, part.where) if word]
    said += [part.tighten] if part.tighten else []
    left_hand = part.left_hand and not _TELLS_OF_LEFT_HAND.search(" ".join(said))
    return sentence(", ".join(said)) + (" Left-hand thread." if left_hand else "")


def lubricant(part: Lubricant) -> str:
    return sentence(", ".join(filter(None, (part.which, part.where, part.how_much))))


def dangers(step: Step) -> str:
    return " ".join(f"Danger. {sentence(danger.say)}" for danger in step.dangers)


def tray(step: Step) -> str:
    """Where the parts of the step lie."""
    said = step.tray or ""
    name = "trays" if " and " in said or "," in said else "tray"
    return sentence(said if "tray" in said.lower() else f"{name} {said}") if said else ""


def marks(step: Step) -> str:
    """The marks to be made, and those that meet again."""
    made = [
        f"{'find' if mark.made_already else 'make'} the {mark_called(mark.name)}: {mark.where}" for mark in step.marks
    ]
    return sentences([*made, *(f"the {mark_called(mark.name)} meets: {mark.where}" for mark in step.marks_met)])


def mark_called(name: str) -> str:
    """ "mark A", "cover mark": no mark is called a mark twice."""
    return name if "mark" in name.lower().split() else f"mark {name}"


def asked_for(step: Step, wait: str | None = None) -> str:
    """What the step wants to be told: figures, an answer, a waiting time; ``wait`` as of ``step_words``."""
    said = [
        f"log {measured.name}" + ("" if not _bounded(measured) else f", {limits_words(measured)}")
        for measured in step.characteristics
    ]
    if wait is not None:
        said.append(wait)
    elif step.wait is not None:
        said.append(f"wait {duration(step.wait.seconds)}; say start the timer")
    if step.check:
        said.append(f"Check{', by another person' if step.check_by_another else ''}: {step.check}")
    return sentences(said)


def _bounded(measured: Characteristic) -> bool:
    return measured.low is not None or measured.high is not None


def left_hand_words(step: Step) -> str:
    """What a step tells of a left-hand thread: the caution that does, else that there is one; empty where none is."""
    told = (caution for caution in step.cautions if _TELLS_OF_LEFT_HAND.search(caution))
    return next(told, "Left-hand thread." if any(part.left_hand for part in step.fasteners) else "")


def step_words(step: Step, number_: int, *, briefly: bool = False, wait: str | None = None) -> str:
    """A step as it is announced: the danger, the act, the tray, marks, left-hand threads, cautions, what is asked;
    ``briefly`` the danger, the act and left-hand threads alone. ``wait`` is what is said of its waiting time once that
    runs or is over (``gaps.wait_words``)."""
    told = any(map(_TELLS_OF_LEFT_HAND.search, (step.act, *step.cautions, *(danger.say for danger in step.dangers))))
    left_hand = "Left-hand thread." if not told and any(part.left_hand for part in step.fasteners) else ""
    act = f"Step {whole_words(number_)}. {sentence(step.act)}"
    if briefly:
        return " ".join(filter(None, (dangers(step), act, left_hand)))
    cautions = sentences(step.cautions)
    said = (dangers(step), act, tray(step), marks(step), left_hand, cautions, asked_for(step, wait))
    return " ".join(filter(None, said))
