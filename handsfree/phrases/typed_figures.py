"""Figures and sums as they are typed, with digits, symbols and threads among the words."""

from __future__ import annotations

import re

from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.sums.asked import Sum
from handsfree.measure.threads import ThreadError, fastener_size
from handsfree.measure.units import unit
from handsfree.phrases.language import plain_words
from handsfree.phrases.quantities.figures import FIGURE as figure_node
from handsfree.phrases.quantities.numbers import NUMBER
from handsfree.phrases.quantities.sums import SUM
from handsfree.procedure.values import figure_with_unit, unit_or_none

_FIGURE = re.compile(r"(?<![\w.])(?P<number>[-+]?(?:\d+ \d+/\d+|\d+/\d+|\d*\.?\d+)) ?(?P<unit>[^\s\d.,;]+(?: m|cm)?)?")
_THREAD = re.compile(r"(?P<before>\btravel of (?:\w+ start )?)(?P<size>.+?) in\b", re.IGNORECASE)
_HYPHENED = re.compile(r"\bthirty-seconds?\b", re.IGNORECASE)
"""Written so, they are parts of an inch; "thirty seconds" may be a time."""
_NO_FIGURE = re.compile(r"\d ?[-+:] ?\d|/ ?0+(?![\d.])")
"""Not to be read as the digits without what stands between them."""


def typed_meanings(text: str) -> tuple[list[Figure], list[Sum]]:
    """The figures and the sums that a typed text may mean; none of either where it means nothing."""
    try:
        return [figure_with_unit(text.strip())], []
    except ValueError:
        pass
    words = plain_words(_in_words(text))
    if not words:
        return [], []
    if _NO_FIGURE.search(text):
        return [], SUM.meanings(words)
    # What is typed is not misheard: round thousands need no unit here, and a lone "oh" is a nought.
    alone = NUMBER.meanings(("zero",) if words == ("oh",) else words)
    figures = figure_node.meanings(words) or [Figure(value.value, value.decimals) for value in alone]
    if _HYPHENED.search(text):
        figures = [figure for figure in figures if figure.value.denominator != 1] or figures
    return figures, SUM.meanings(words)


def _in_words(text: str) -> str:
    """Figures written with symbols ("0.1 mm") among words, as words."""
    text = _FIGURE.sub(_figure_words, _THREAD.sub(_thread_words, text))
    # A symbol alone, as in "convert 4 thou to mm".
    return re.sub(r"\b(to|in) (\S+)$", lambda end: f"{end[1]} {_unit_words(end[2])}", text)


def _figure_words(typed: re.Match[str]) -> str:
    symbol = typed["unit"]
    if symbol and unit_or_none(symbol) is None:
        return typed[0]
    try:
        return f" {spoken(figure_with_unit(typed[0].strip()))} "
    except ValueError:
        return typed[0]


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
