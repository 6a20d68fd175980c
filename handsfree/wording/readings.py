"""A reading in words: read back, spelled out, judged."""

from __future__ import annotations

from handsfree.job.events import ReadingLogged
from handsfree.job.stated import in_own_unit, kept, stated, step_of_reading
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import confusable_digits, number_words, spoken, spoken_with_other
from handsfree.measure.limits import Decision, Verdict
from handsfree.phrases.intents import Intent
from handsfree.text.numerals import digit_words
from handsfree.text.prose import sentences


def command(intent: Intent) -> str:
    """A command in a few words."""
    figure = spoken(intent.figure) if intent.figure is not None else None
    return " ".join(filter(None, (intent.kind.value, intent.characteristic, figure)))


def verdict_words(verdict: Verdict, beyond: Figure | None) -> str:
    """The verdict in a few words, with how far beyond the limit it is; nothing where there are no limits."""
    way = "over" if verdict.side == "high" else "under"
    if verdict.decision is Decision.IN:
        return "in limits"
    if verdict.decision is Decision.OUT and beyond is not None:
        return f"out of limits, {spoken(beyond)} {way}"
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


def reading_words(event: ReadingLogged) -> str:
    """The logged reading for the ear: as it was stated, and in the unit of what is measured, or of the other system;
    the two ends where it lies between them."""
    if event.upper is not None:
        low, high = kept(event.value, event.unit), kept(event.upper, event.unit)
        return f"between {number_words(low.value, low.decimals)} and {spoken(high)}"
    said = stated(event)
    feel = f", {event.feel}" if event.feel else ""
    if said is not None and said.unit != event.unit:
        return f"{spoken(said)}, about {spoken(in_own_unit(event))}{feel}"
    own = said or kept(event.value, event.unit)
    return spoken_with_other(own, step_of_reading(event)) + feel
