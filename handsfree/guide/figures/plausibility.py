"""Whether a figure can be meant where it was said: what the tool can show, what a part at fault can measure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from handsfree.guide.figures.proposed import Proposed
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import one_and_many, spoken
from handsfree.measure.limits import Limits
from handsfree.measure.units import UnitError, convert, unit, unit_in_use
from handsfree.phrases.intents import Intent
from handsfree.procedure.model import Characteristic, Step, Tool
from handsfree.procedure.values import in_unit
from handsfree.procedure.workshop import equipped

FAR = 3
"""A reading this many times the width of the limits beyond them is asked back."""

_SIGNED = frozenset({"temperature", "voltage", "current", "angle", "ratio", "rate", "level"})
"""Kinds that can be minus without more ado."""
_POWER_OF_TEN = re.compile("10*")


def refused(proposed: Proposed) -> str | None:
    """Why the reading cannot be written at all, or None; its figures have fitting units."""
    measured, figure, upper = proposed.measured, proposed.figure, proposed.upper
    wrong_tool = misfit(measured)
    if wrong_tool:
        return wrong_tool
    if proposed.deviation and not measured.deviation:
        return f"{measured.name} is not measured as plus and minus"
    if measured.deviation and not proposed.deviation and figure.value > 0:
        return f"{measured.name} is measured from its target: say plus or minus with the figure"
    if not measured.deviation and not _may_be_minus(measured):
        low = min(end.value for end in (figure, upper) if end is not None)
        if low < 0:
            return f"{measured.name} can't be minus"
    if upper is not None and not proposed.deviation and not _below(figure, upper, measured.unit):
        return "the blade that goes must be thinner than the one that won't"
    return None


def _below(low: Figure, high: Figure, unit_key: str) -> bool:
    return _in(low, unit_key) < _in(high, unit_key)


def _in(figure: Figure, unit_key: str) -> Fraction:
    return convert(figure.value, figure.unit or unit_key, unit_key)


def _may_be_minus(measured: Characteristic) -> bool:
    bounds = (bound for bound in (measured.low, measured.high, measured.target) if bound is not None)
    return unit(measured.unit).kind in _SIGNED or any(bound.value < 0 for bound in bounds)


def misfit(measured: Characteristic) -> str | None:
    """Why the tool cannot measure this at all, or None."""
    tool = measured.tool
    if tool is None:
        return None
    try:
        for size in (tool.resolution, tool.uncertainty, *(tool.range or ())):
            if size is not None:
                in_unit(size, measured.unit)
    except UnitError:
        return f"the {tool.name} does not measure {one_and_many(measured.unit)[1]}"
    return None


def not_shown(proposed: Proposed) -> str | None:
    """Why the tool cannot have shown the reading, or None: half a division, beyond its range, no such blade."""
    tool = proposed.measured.tool
    if tool is None:
        return None
    for figure in filter(None, (proposed.figure, proposed.upper)):
        if tool.range is not None and not proposed.deviation:
            low, high = (in_unit(end, proposed.measured.unit) for end in tool.range)
            if not low <= _in(figure, proposed.measured.unit) <= high:
                return f"{spoken(figure)} is beyond the range of the {tool.name}"
        if tool.blades and (proposed.upper is not None or proposed.feel):
            sizes = {_in(blade, proposed.measured.unit) for blade in tool.blades}
            if _in(figure, proposed.measured.unit) not in sizes:
                return f"there is no blade of {spoken(figure)}"
        elif tool.resolution is not None and not _can_show(
            figure, tool.least_shown or tool.resolution, proposed.measured.unit, deviation=proposed.deviation
        ):
            return f"the {tool.name} can't show {spoken(figure)}"
    return None


def _can_show(figure: Figure, resolution: Figure, unit_key: str, *, deviation: bool) -> bool:
    """Whether the tool can have shown the figure. In its own unit that is a multiple of its resolution; in one of which
    its own is a decimal part the figure may have been rounded, and be half of its last decimal away. In any other unit
    it was read off other divisions (ounces on a balance in grams)."""
    stated, marked = figure.unit or unit_key, unit_in_use(resolution.unit or unit_key, unit_key)
    origin = convert(Fraction(0), stated, marked)
    ratio = convert(Fraction(1), stated, marked) - origin
    if not _POWER_OF_TEN.fullmatch(f"{max(ratio, 1 / ratio)}"):
        return True
    value = figure.value * ratio + (0 if deviation else origin)
    exact = stated == marked or figure.decimals is None
    rounded = Fraction(0) if exact else ratio / (2 * 10 ** (figure.decimals or 0))
    return abs(value - round(value / resolution.value) * resolution.value) <= rounded


def far_outside(value: Fraction, limits: Limits) -> bool:
    """Whether ``value`` is further beyond its limits than a part at fault is likely to be."""
    if limits.low is not None and limits.high is not None:
        width = limits.high - limits.low
    else:
        width = abs(next((bound for bound in (limits.low, limits.high) if bound), Fraction(0)))
    if not width:
        return False
    below = limits.low - value if limits.low is not None else Fraction(0)
    above = value - limits.high if limits.high is not None else Fraction(0)
    return max(below, above) > FAR * width


def implausible(step: Step, tools: Mapping[str, Tool], said: Intent) -> bool:
    """Whether a figure can hardly be meant of anything that is measured at the step: no tool shows it, or it is far out
    of limits. False of what is no figure, and of units that are foreign to the step."""
    if said.figure is None or said.figure.ambiguous_unit is not None:
        return False
    named = [each for each in step.characteristics if said.characteristic in (None, each.name)]
    proposed = [
        Proposed(step, equipped(each, tools, said.tool), said.figure, each.occasion).saying(said) for each in named
    ]
    return bool(proposed) and all(each.fits and _hardly_meant(each) for each in proposed)


def _hardly_meant(proposed: Proposed) -> bool:
    if refused(proposed) or not_shown(proposed):
        return True
    return all(far_outside(value, proposed.measured.limits) for value in proposed.values if value is not None)


def with_point(figure: Figure, measured: Characteristic) -> Figure | None:
    """The same digits with a decimal point, where the limits expect one and the figure was said without; or None."""
    stated = [bound for bound in (measured.low, measured.high, measured.target) if bound is not None]
    if figure.decimals != 0 or not any(bound.decimals for bound in stated):
        return None
    zone = _expected(measured)
    value = _in(figure, measured.unit)
    if zone is None or figure.value <= 0 or zone[0] <= value <= zone[1]:
        return None
    for places in range(1, 5):
        moved = figure.value / 10**places
        if zone[0] <= _in(Figure(moved, places, figure.unit), measured.unit) <= zone[1]:
            return Figure(moved, places, figure.unit)
    return None


def _expected(measured: Characteristic) -> tuple[Fraction, Fraction] | None:
    """Between which values a figure is likely to lie."""
    low, high, target = (
        None if bound is None else bound.value for bound in (measured.low, measured.high, measured.target)
    )
    if low is None and high is None:
        return None if target is None or target <= 0 else (target / 2, 2 * target)
    if low is None:
        assert high is not None
        return (Fraction(0), high) if high > 0 else None
    if high is None:
        return (low, 3 * low) if low > 0 else None
    return low, high
