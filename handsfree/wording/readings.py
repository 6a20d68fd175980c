"""A reading in words: read back, spelled out, judged."""

from __future__ import annotations

from fractions import Fraction

from handsfree.job.events import ReadingLogged
from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.formatting import confusable_digits, spoken, spoken_with_other
from handsfree.measure.limits import Decision, Verdict
from handsfree.phrases.intents import Intent
from handsfree.text.numerals import digit_words
from handsfree.text.prose import sentences


def command(intent: Intent) -> str:
    """A command in a few words."""
    figure = spoken(intent.figure) if intent.figure is not None else None
    return " ".join(filter(None, (intent.kind.value, intent.characteristic, figure)))


def tidy(value: Fraction, unit: str) -> Figure:
    """A computed value with as many decimals as it needs (six at most)."""
    places = 0
    while places < 6 and (value * 10**places).denominator != 1:
        places += 1
    return Figure(value, places, unit)


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


def reading_words(event: ReadingLogged) -> str:
    """The logged reading for the ear, with the other system; the two ends where it lies between them."""
    low = figure_from_text(event.value, event.unit)
    if event.upper is not None:
        return f"between {spoken(low)} and {spoken(figure_from_text(event.upper, event.unit))}"
    return spoken_with_other(low) + (f", {event.feel}" if event.feel else "")
