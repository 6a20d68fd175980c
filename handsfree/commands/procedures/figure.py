"""``handsfree figure``: what a spoken or written figure is understood as, and bench sums."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from handsfree.bench.workshop import load_workshop
from handsfree.commands.problems import UseError
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import one_and_many, spoken, spoken_with_other, written
from handsfree.measure.sums.answer import Answer, answer
from handsfree.measure.sums.asked import Setting, SumError
from handsfree.measure.sums.pieces import Stack
from handsfree.measure.threads import ThreadError, fastener_size
from handsfree.measure.units import meanings, si, unit
from handsfree.phrases.language import plain_words
from handsfree.phrases.quantities.figures import figure as figure_node
from handsfree.phrases.quantities.numbers import MOST, number
from handsfree.phrases.quantities.sums import asked
from handsfree.procedure.tool_values import set_of
from handsfree.procedure.values import figure_with_unit, unit_or_none

_LARGE = re.compile(r"\b(millions?|billions?|trillions?|milliards?)\b", re.IGNORECASE)
_WRITTEN = re.compile(r"(?<![\w.])(?P<number>[-+]?(?:\d+ \d+/\d+|\d+/\d+|\d*\.?\d+)) ?(?P<unit>[^\s\d.,;]+(?: m|cm)?)?")
_THREAD = re.compile(r"(?P<before>\btravel of (?:\w+ start )?)(?P<size>.+?) in\b", re.IGNORECASE)
_HYPHENED = re.compile(r"\bthirty-seconds?\b", re.IGNORECASE)
"""Written so, they are parts of an inch; "thirty seconds" may be a time."""
_NO_FIGURE = re.compile(r"\d ?[-+:] ?\d|/ ?0+(?![\d.])")
"""Not to be read as the digits without what stands between them."""
_SIGNED = re.compile(r"\s*plus\b|\s*\+", re.IGNORECASE)

_IN_FULL = {"degree": "degrees of arc", "min": "minutes of time"}


def run_figure(args: argparse.Namespace) -> int:
    """Print what the text means; UseError where it means nothing."""
    text = " ".join(args.text)
    setting = _setting(args)
    found, sums = understood(text)
    if not found and not sums:
        raise UseError(_why_not(text))
    if sums:
        try:
            done = answer(sums[0], setting)
        except SumError as error:
            raise UseError(f"{error}") from None
        shown, data = [done.written, done.spoken], _sum_data(done)
    else:
        shown, data = _figure_lines(found), figure_data(found)
    print(json.dumps(data, ensure_ascii=False) if args.json else "\n".join(shown))
    return 0


def _setting(args: argparse.Namespace) -> Setting:
    workshop = load_workshop(args.workshop, args.english)
    return Setting(
        blades=workshop.pieces("blades") if args.blades is None else _set("blades", args.blades),
        shims=workshop.pieces("shims") if args.shims is None else _set("shims", args.shims),
    )


def _set(what: str, text: str) -> tuple[Figure, ...]:
    try:
        return set_of(text, needs_unit=False)
    except ValueError as error:
        raise UseError(f"--{what} {error}") from None


def understood(text: str) -> tuple[list[Figure], list[Any]]:
    """The figures and the sums that a text may mean."""
    try:
        return [figure_with_unit(text.strip())], []
    except ValueError:
        pass
    words = plain_words(_in_words(text))
    if not words:
        return [], []
    if _NO_FIGURE.search(text):
        return [], asked.meanings(words)
    # What is typed is not misheard: round thousands need no unit here, and a lone "oh" is a nought.
    alone = number.meanings(("zero",) if words == ("oh",) else words)
    found = figure_node.meanings(words) or [Figure(said.value, said.decimals) for said in alone]
    if _HYPHENED.search(text):
        found = [each for each in found if each.value.denominator != 1] or found
    return found, asked.meanings(words)


def _in_words(text: str) -> str:
    """Figures written with symbols ("0.1 mm") among words, as words."""

    def said(found: re.Match[str]) -> str:
        symbol = found["unit"]
        key = unit_or_none(symbol) if symbol else None
        if symbol and key is None:
            return found[0]
        try:
            return f" {spoken(figure_with_unit(found[0].strip()))} "
        except ValueError:
            return found[0]

    text = _WRITTEN.sub(said, _THREAD.sub(_thread_words, text))
    # A symbol alone, as in "convert 4 thou to mm".
    return re.sub(r"\b(to|in) (\S+)$", lambda m: f"{m[1]} {_unit_words(m[2])}", text)


def _thread_words(found: re.Match[str]) -> str:
    """A thread written as in a procedure ("6-32", "1/4 BSW") as it is said."""
    try:
        size = fastener_size(found["size"])
    except ThreadError:
        return found[0]
    return f"{found['before']}{size.words} in" if size.thread and size.length_words is None else found[0]


def _unit_words(symbol: str) -> str:
    key = unit_or_none(symbol)
    return unit(key).many if key and unit(key).many else symbol


def _why_not(text: str) -> str:
    large = _LARGE.search(text)
    if large or any(int(digits) > MOST for digits in re.findall(r"\d{7,}", text)):
        return f'"{text}" is too large a figure: whole numbers go up to {MOST:,}'
    if not text.strip():
        return 'there is no text; say a figure, such as "four and a half thou"'
    if _SIGNED.match(text):
        return f'"{text}" is a deviation: plus and minus are logged at a step whose procedure says "deviation: true"'
    return f'"{text}" is no figure and no sum that is understood; try "four and a half thou" or "convert 4 thou to mm"'


def _number(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else float(value)


def _one(found: Figure) -> dict[str, Any]:
    key = found.unit
    in_si = si(found.value, key) if key else (None, None)
    return {
        "value": _number(found.value),
        "unit": key,
        "si": in_si[0],
        "si_unit": in_si[1],
        "spoken": spoken(found),
        "written": written(found),
    }


def figure_data(found: Sequence[Figure]) -> dict[str, Any]:
    """The first meaning, whether there are others, and which units an ambiguous word may mean."""
    first = found[0]
    word = first.ambiguous_unit
    data = {**_one(first), "ambiguous": len(found) > 1 or word is not None}
    if word is not None:
        data["spoken"], data["written"] = f"{spoken(first)} {word}", f"{written(first)} {word}"
        data["meanings"] = [_one(Figure(first.value, first.decimals, key)) for key in meanings(word)]
    elif len(found) > 1:
        data["meanings"] = [_one(each) for each in found]
    return data


def _figure_lines(found: Sequence[Figure]) -> list[str]:
    if len(found) > 1:
        return [f"ambiguous: {' or '.join(written(each) for each in found)}"]
    first = found[0]
    if first.ambiguous_unit is not None:
        may_be = " or ".join(_IN_FULL.get(key) or one_and_many(key)[1] for key in meanings(first.ambiguous_unit))
        return [f"{written(first)} {first.ambiguous_unit}", f"ambiguous: {first.ambiguous_unit} may be {may_be}"]
    return [written(first) if first.unit else f"{written(first)} (no unit)", spoken_with_other(first)]


def _sum_data(done: Answer) -> dict[str, Any]:
    data = {**_one(done.figure), "spoken": done.spoken, "written": done.written}
    if done.exact is not None and done.figure.unit is not None:
        data["si"] = si(done.exact, done.figure.unit)[0]
    data |= {"ambiguous": False, "about": done.about}
    if done.stacks is not None:
        found = done.stacks
        data["ways"] = _ways(found.exact)
        data["below"], data["above"] = (
            None if stack is None else {"thickness": _number(stack.thickness), "ways": _ways(stack)}
            for stack in (found.below, found.above)
        )
    return data


def _ways(stack: Stack | None) -> list[list[int | float]]:
    return [] if stack is None else [[_number(piece) for piece in way] for way in stack.ways]
