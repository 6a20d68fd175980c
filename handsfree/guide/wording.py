"""What is said: every sentence of the guide that is made of a procedure's parts.

Danger first, then the act, then what is asked for; the rest on request. Nothing here knows the state of a job.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from fractions import Fraction

from handsfree.job.events import MarkMade, PartsRemoved
from handsfree.measure.figure import Figure
from handsfree.measure.limits import Decision, Verdict
from handsfree.measure.threads import spoken_size
from handsfree.measure.wording import (
    confusable_digits,
    digit_words,
    range_words,
    spoken,
    spoken_with_other,
    whole_words,
)
from handsfree.phrases.intents import Intent
from handsfree.phrases.stripping import plural
from handsfree.procedure.model import Characteristic, Fastener, Lubricant, Step
from handsfree.procedure.parts import Mark
from handsfree.procedure.values import figure_with_unit


def sentence(text: str) -> str:
    """``text`` with a capital first letter and a closing mark."""
    text = " ".join(text.split())
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def sentences(texts: Iterable[str]) -> str:
    return " ".join(filter(None, map(sentence, texts)))


def command(intent: Intent) -> str:
    """A command in a few words."""
    figure = spoken(intent.figure) if intent.figure is not None else None
    return " ".join(filter(None, (intent.kind.value, intent.characteristic, figure)))


def listed(words: Sequence[str], joint: str = "and") -> str:
    """ "a, b and c"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joint} {words[-1]}" if words else ""


def number(count: int) -> str:
    return whole_words(count) if count else "no"


def counted(count: int, one: str, many: str | None = None) -> str:
    """ "two steps", "one step", "no steps"."""
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


def numbered(numbers: Sequence[str]) -> str:
    """ "step one", "steps one, two and three"."""
    return f"step{'s' if len(numbers) > 1 else ''} {listed(numbers)}"


def tidy(value: Fraction, unit: str) -> Figure:
    """A computed value with as many decimals as it needs (six at most)."""
    places = 0
    while places < 6 and (value * 10**places).denominator != 1:
        places += 1
    return Figure(value, places, unit)


def limits_words(characteristic: Characteristic) -> str:
    return range_words(characteristic.low, characteristic.high)


def fastener(part: Fastener) -> str:
    """One kind of fastener: count, size, head, finish, where; a left-hand thread always last, on its own."""
    said = [f"{whole_words(part.count)} {spoken_size(part.size)}"]
    said += [word for word in (part.head, part.finish, part.where) if word]
    said += [part.tighten] if part.tighten else []
    return sentence(", ".join(said)) + (" Left-hand thread." if part.left_hand else "")


def lubricant(part: Lubricant) -> str:
    return sentence(", ".join(filter(None, (part.which, part.where, part.how_much))))


def dangers(step: Step) -> str:
    return " ".join(f"Danger. {sentence(danger.say)}" for danger in step.dangers)


def tray(step: Step) -> str:
    """Where the parts of the step lie."""
    said = step.tray or ""
    return sentence(said if "tray" in said.lower() else f"tray {said}") if said else ""


def marks(step: Step) -> str:
    """The marks to be made, and those that meet again."""
    made = [f"{'find' if mark.made_already else 'make'} the {_mark(mark)}: {mark.where}" for mark in step.marks]
    return sentences([*made, *(f"the {_mark(mark)} meets: {mark.where}" for mark in step.marks_met)])


def _mark(mark: Mark) -> str:
    return mark.name if "mark" in mark.name.lower().split() else f"mark {mark.name}"


def asked_for(step: Step) -> str:
    """What the step wants to be told: figures, an answer, a waiting time."""
    said = [
        f"log {measured.name}" + ("" if not _bounded(measured) else f", {limits_words(measured)}")
        for measured in step.characteristics
    ]
    if step.wait is not None:
        said.append(f"wait {duration(step.wait.seconds)}; say start the timer")
    if step.check:
        said.append(f"Check: {step.check}")
    return sentences(said)


def _bounded(measured: Characteristic) -> bool:
    return measured.low is not None or measured.high is not None


def step_words(step: Step, number_: int) -> str:
    """A step as it is announced: the danger, the act, the tray, marks, left-hand threads, cautions, what is asked."""
    told = any(caution.lower().startswith("left-hand thread") for caution in step.cautions)
    left_hand = "Left-hand thread." if not told and any(part.left_hand for part in step.fasteners) else ""
    act = f"Step {whole_words(number_)}. {sentence(step.act)}"
    cautions = sentences(step.cautions)
    said = (dangers(step), act, tray(step), marks(step), left_hand, cautions, asked_for(step))
    return " ".join(filter(None, said))


def duration(seconds: float) -> str:
    """ "ten minutes", "an hour and five minutes", "forty seconds"."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    said = [counted(count, name) for count, name in ((hours, "hour"), (minutes, "minute"), (rest, "second")) if count]
    return listed(said[:2]) if said else "no time"


def time_left(left: timedelta) -> str:
    """A running time, in whole minutes once it is over three."""
    seconds = max(0.0, left.total_seconds())
    return duration(60 * round(seconds / 60) if seconds > 180 else seconds)


def verdict_words(verdict: Verdict, unit: str) -> str:
    """The verdict in a few words; nothing where there are no limits."""
    way = "over" if verdict.side == "high" else "under"
    if verdict.decision is Decision.IN:
        return "in limits"
    if verdict.decision is Decision.OUT and verdict.beyond is not None:
        return f"out of limits, {spoken(tidy(verdict.beyond, unit))} {way}"
    if verdict.decision is Decision.UNDECIDED:
        edge = "upper" if verdict.side == "high" else "lower"
        return f"undecided, too near the {edge} limit for the tool"
    return ""


def read_back(characteristic: str, said: str, occasion: str, verdict: str) -> str:
    """A reading read back: name, what was said, verdict."""
    when = "" if occasion == "as set" else f", {occasion}"
    return sentences((f"{characteristic}{when}, {said}", verdict))


def with_digits(said: str, figure: Figure) -> str:
    """A figure's words, and the figure digit by digit after them where it is easily misheard."""
    digits = confusable_digits(figure)
    return f"{said}, {digits}" if digits else said


def spelled(figure: Figure) -> str:
    """A figure digit by digit, so that it cannot be misheard a second time: "one five", "point nought five"."""
    return digit_words(figure.text)


def full_figure(figure: Figure) -> str:
    return spoken_with_other(figure)


def removed_words(event: PartsRemoved) -> str:
    """What came off, as it is read back: "two screws, M two by five, cheese head, from the top"."""
    said = [f"the {event.what}"] if event.sort == "part" and event.count == 1 else []
    said = said or [counted(event.count, event.what, plural(event.what))]
    said += [spoken_size(event.size)] if event.size else []
    said += [words for words in (event.head, event.finish) if words]
    said += [spoken(figure_with_unit(event.thickness))] if event.thickness else []
    said += ["left-hand thread"] if event.left_hand else []
    said += [words for words in (event.way, f"from {event.place}" if event.place else None) if words]
    return ", ".join(said)


def mark_words(event: MarkMade) -> str:
    """ "mark made at the bottom", "two dots across the cover and the body"."""
    made = "mark made" if event.what == "mark" else event.what
    if not event.place:
        return made
    joint = "across" if len(event.parts) > 1 else "on" if event.parts else "at"
    return f"{made} {joint} {event.place}"
