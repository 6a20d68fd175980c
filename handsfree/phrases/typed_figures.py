"""Figures and sums as they are typed, with digits, symbols and threads among the words."""

from __future__ import annotations

import re

from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.sums.asked import Sum
from handsfree.measure.threads import ThreadError, fastener_size
from handsfree.measure.units import unit
from handsfree.phrases.language import plain_words
from handsfree.phrases.quantities.figures import ANY_FIGURE
from handsfree.phrases.quantities.numbers import NUMBER
from handsfree.phrases.quantities.sums import CONVERSION, SUM
from handsfree.procedure.values import figure_with_unit, unit_or_none

_NUMBER = r"(?:\d+ \d+/\d+|\d+/\d+|\d*\.?\d+)"
_TWO_PARTS = re.compile(
    rf"(?<![\w.,/:-])(?P<first>-?\d+ ?[^\W\d]+|-?\d+°) ?(?P<rest>{_NUMBER} ?(?:[^\W\d]+|[′'\"]))(?![\w])"
)
_FIGURE = re.compile(rf"(?<![\w.,/:])(?P<number>[-+]?{_NUMBER}) ?(?P<unit>[^\s\d.,;][^\s.,;]*(?: m|cm)?)?")
_CLOCK = re.compile(r"(?<![\d:.,])(?:(\d{1,3}):)?(\d{1,3}):([0-5]\d)(?![\d:.,])")
"""A time in minutes and seconds, with hours before them or without."""
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_COMMA = re.compile(r"(?<![\d,.])(?:(\d+), ?|(?<!\S),)(\d+)(?![\d,])")
_CUT_UP = re.compile(r"\d+(?:\.\d+){2,}|\d+(?:[-–:]| [-–:] )\d[\d:]*|\d+ ?/ ?0+(?![\d.])|\d+(?:/\d+){2,}")
_GROUPED = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_THREAD = re.compile(r"(?P<before>\btravel of (?:\w+ start )?)(?P<size>.+?) in\b", re.IGNORECASE)
_HYPHENED = re.compile(r"\bthirty-seconds?\b", re.IGNORECASE)
"""Written so, they are parts of an inch; "thirty seconds" may be a time."""


def unreadable(text: str) -> str | None:
    """Why a typed text holds a figure that can't be read, in one sentence, or None. Another figure must not be made of
    it because a sign was passed over."""
    text = _clocks(_GROUPED.sub("", text))
    comma = _COMMA.search(text)
    if comma:
        whole, decimals = comma.groups()
        return f"{comma[0]} can't be read: write {whole or 0}.{decimals} with a point, or the figures one by one"
    cut_up = _CUT_UP.search(text)
    if cut_up and not _THREAD.search(text):
        return f"{cut_up[0]} can't be read as a figure: write one figure, such as 2.5, 3/8 or 2:10"
    return None


def typed_meanings(text: str) -> tuple[list[Figure], list[Sum]]:
    """The figures and the sums that a typed text may mean; none of either where it means nothing."""
    try:
        return [figure_with_unit(text.strip())], []
    except ValueError:
        pass
    words = words_of_typed(text)
    if not words or unreadable(text):
        return [], []
    # What is typed is not misheard: round thousands need no unit here, and a lone "oh" is a nought.
    alone = NUMBER.meanings(("zero",) if words == ("oh",) else words)
    figures = ANY_FIGURE.meanings(words) or [Figure(value.value, value.decimals) for value in alone]
    if _HYPHENED.search(text):
        figures = [figure for figure in figures if figure.value.denominator != 1] or figures
    return figures, SUM.meanings(words) or CONVERSION.meanings(words)


def words_of_typed(text: str) -> tuple[str, ...]:
    """The words of a typed text, its figures and symbols ("0.1 mm", "3/8 in", "2:10") as they are said."""
    return plain_words(_in_words(text))


def _clocks(text: str) -> str:
    """ "2:10" as "2 min 10 s"."""

    def in_two(clock: re.Match[str]) -> str:
        return f"{60 * int(clock[1] or 0) + int(clock[2])} min {int(clock[3])} s"

    return _CLOCK.sub(in_two, text)


def _in_words(text: str) -> str:
    text = _GROUPED.sub("", text)
    for sign, fraction in _VULGAR.items():
        text = re.sub(rf"(?<=\d) ?{sign}", f" {fraction}", text).replace(sign, fraction)
    text = _TWO_PARTS.sub(_figure_words, _clocks(text))
    text = _FIGURE.sub(_figure_words, _THREAD.sub(_thread_words, text))
    # A symbol alone, as in "convert 4 thou to mm".
    return re.sub(r"\b(to|in) (\S+)$", lambda end: f"{end[1]} {_unit_words(end[2])}", text)


def _figure_words(typed: re.Match[str]) -> str:
    number, symbol = (typed.groupdict().get(part) for part in ("number", "unit"))
    if symbol and unit_or_none(symbol) is None:
        return typed[0]
    try:
        figure = figure_with_unit(typed[0].strip())
    except ValueError:
        return typed[0]
    if number is None or figure.decimals is None:
        return f" {spoken(figure)} "
    # Figure by figure: nothing that was typed is taken for another word.
    return f" {number} {unit(figure.unit).many if figure.unit else ''} "


def _thread_words(typed: re.Match[str]) -> str:
    """A thread written as in a procedure ("6-32", "1/4 BSW") as it is said."""
    try:
        size = fastener_size(typed["size"])
    except ThreadError:
        return typed[0]
    return f"{typed['before']}{size.words} in" if size.thread and size.length_words is None else typed[0]


def _unit_words(symbol: str) -> str:
    key = unit_or_none(symbol)
    return unit(key).many if key and unit(key).many else symbol
