"""What is logged: a figure, a figure with its feel, a gap between two blades, a deviation as plus and minus."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from handsfree.measure.figure import Figure
from handsfree.measure.units import UNITS
from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.quantities.figures import FIGURE, figures_of_trades
from handsfree.phrases.quantities.numbers import SMALL, Number

# Blades and dial gauges: a few units are enough, and every further word makes all the others harder to hear.
_unit = either(*(says(form, key) for key in ("thou", "mm", "micron") for form in UNITS[key].spoken_forms))
_blade = Named(
    seq(SMALL, maybe(_unit), to=lambda n, unit=None: Figure(n.value, n.decimals, unit)),
    "FIGURE",
)
_feel = either(says("drags", "drags"), says("free", "free"), says("is free", "free"), says("binds", "binds"))


def _blades(goes: Figure, will_not: Figure) -> dict[str, Any]:
    # "four goes, five thou won't": the unit is said once.
    unit = goes.unit or will_not.unit
    return {"figure": replace(goes, unit=unit), "upper": replace(will_not, unit=will_not.unit or unit)}


def _plus_minus(plus: Number, *rest: Any) -> dict[str, Any]:
    unit = rest[-1] if rest and isinstance(rest[-1], str) else None
    up = Figure(plus.value, plus.decimals, unit)
    if rest and isinstance(rest[0], Number):
        return {"figure": Figure(-rest[0].value, rest[0].decimals, unit), "upper": up, "deviation": True}
    return {"figure": up, "deviation": True}


READING: Node = Named(
    either(
        seq(FIGURE, to=lambda said: {"figure": said}),
        seq(_blade, _feel, to=lambda said, feel: {"figure": said, "feel": feel}),
        seq(_blade, "goes", _blade, "won't", maybe("go"), to=_blades),
        seq("plus", SMALL, maybe(seq("minus", SMALL)), maybe(_unit), to=_plus_minus),
    ),
    "READING",
)
"""Slots of an intent: ``figure``, and where they were said ``upper``, ``feel`` and ``deviation``."""


def reading_in(measured_in: Collection[str]) -> Node:
    """A reading where figures are in the units ``measured_in``: in those too that are not heard everywhere."""
    more = figures_of_trades(frozenset(measured_in))
    return READING if more is None else either(READING, seq(more, to=lambda said: {"figure": said}))
