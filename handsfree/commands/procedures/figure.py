"""``handsfree figure``: what a spoken or written figure is understood as, and bench sums."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from handsfree.bench.workshop import load_workshop
from handsfree.commands import output
from handsfree.commands.problems import UseError
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import figure_shown, one_and_many, spoken, spoken_with_other
from handsfree.measure.sums.answer import SumResult, work_out
from handsfree.measure.sums.asked import Setting, SumError
from handsfree.measure.sums.pieces import Stack
from handsfree.measure.units import meanings, si
from handsfree.phrases.quantities.numbers import LARGEST
from handsfree.phrases.typed_figures import typed_meanings, unreadable
from handsfree.procedure.tool_values import set_of

_LARGE = re.compile(r"\b(millions?|billions?|trillions?|milliards?)\b", re.IGNORECASE)
_SIGNED = re.compile(r"\s*plus\b|\s*\+", re.IGNORECASE)

_IN_FULL = {"degree": "degrees of arc", "min": "minutes of time"}


def run_figure(args: argparse.Namespace) -> int:
    """Print what the text means; UseError where it means nothing."""
    text = " ".join(args.text)
    setting = _setting(args)
    figures, sums = typed_meanings(text)
    if not figures and not sums:
        raise UseError(_why_not(text))
    if sums:
        try:
            result = work_out(sums[0], setting)
        except SumError as error:
            raise UseError(f"{error}") from None
        lines, data = [result.written, result.spoken], _sum_data(result)
    else:
        lines, data = _figure_lines(figures), _figure_data(figures)
    if args.json:
        with output.data():
            print(json.dumps(data, ensure_ascii=False))
    else:
        print("\n".join(lines))
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


def _why_not(text: str) -> str:
    large = _LARGE.search(text)
    if large or any(int(digits) > LARGEST for digits in re.findall(r"\d{7,}", text)):
        return f'"{text}" is too large a figure: whole numbers go up to {LARGEST:,}'
    if not text.strip():
        return 'there is no text; say a figure, such as "four and a half thou"'
    cannot_be_read = unreadable(text)
    if cannot_be_read:
        return cannot_be_read
    if _SIGNED.match(text):
        return f'"{text}" is a deviation: plus and minus are logged at a step whose procedure says "deviation: true"'
    return f'"{text}" is no figure and no sum that is understood; try "four and a half thou" or "convert 4 thou to mm"'


def _number(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else float(value)


def _one(figure: Figure) -> dict[str, Any]:
    key = figure.unit
    in_si = si(figure.value, key) if key else (None, None)
    return {
        "value": _number(figure.value),
        "unit": key,
        "si": in_si[0],
        "si_unit": in_si[1],
        "spoken": spoken(figure),
        "written": figure_shown(figure),
    }


def _figure_data(figures: Sequence[Figure]) -> dict[str, Any]:
    """The first meaning, whether there are others, and which units an ambiguous word may mean."""
    first = figures[0]
    word = first.ambiguous_unit
    data = {**_one(first), "ambiguous": len(figures) > 1 or word is not None}
    if word is not None:
        data["spoken"], data["written"] = f"{spoken(first)} {word}", f"{figure_shown(first)} {word}"
        data["meanings"] = [_one(Figure(first.value, first.decimals, key)) for key in meanings(word)]
    elif len(figures) > 1:
        data["meanings"] = [_one(figure) for figure in figures]
    return data


def _figure_lines(figures: Sequence[Figure]) -> list[str]:
    if len(figures) > 1:
        return [f"ambiguous: {' or '.join(figure_shown(figure) for figure in figures)}"]
    first = figures[0]
    if first.ambiguous_unit is not None:
        may_be = " or ".join(_IN_FULL.get(key) or one_and_many(key)[1] for key in meanings(first.ambiguous_unit))
        return [f"{figure_shown(first)} {first.ambiguous_unit}", f"ambiguous: {first.ambiguous_unit} may be {may_be}"]
    return [figure_shown(first) if first.unit else f"{figure_shown(first)} (no unit)", spoken_with_other(first)]


def _sum_data(result: SumResult) -> dict[str, Any]:
    data = {**_one(result.figure), "spoken": result.spoken, "written": result.written}
    if result.exact is not None and result.figure.unit is not None:
        data["si"] = si(result.exact, result.figure.unit)[0]
    data |= {"ambiguous": False, "about": result.about}
    if result.stacks is not None:
        stacks = result.stacks
        data["ways"] = _ways(stacks.exact)
        data["below"], data["above"] = (
            None if stack is None else {"thickness": _number(stack.thickness), "ways": _ways(stack)}
            for stack in (stacks.below, stacks.above)
        )
    return data


def _ways(stack: Stack | None) -> list[list[int | float]]:
    return [] if stack is None else [[_number(piece) for piece in way] for way in stack.ways]
