"""Bench sums as they are asked for."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any

from handsfree.measure.figure import Figure
from handsfree.measure.sums.asked import Convert, ErrorOf, Percent, PieceCombination, Sum, Total, Travel
from handsfree.measure.threads import Thread
from handsfree.phrases.grammar import Node, either, maybe, says, seq
from handsfree.phrases.quantities.figures import (
    ANY_FIGURE,
    ANY_UNIT_WORD,
    FIGURE,
    UNIT_WORD,
    any_unit_said,
    figures_of_trades,
)
from handsfree.phrases.quantities.threads import THREAD


def _with_figure(said: Figure, rest: Any) -> Sum:
    """ "four thou to millimetres", "four thou plus half a thou"."""
    if isinstance(rest, str):
        return Convert(said, rest)
    sign, other = rest
    return Total(said, other, sign)


def _converted(figure: Node, target: Node) -> Node:
    """What is converted or added to: the first figure, then the unit or the other figure."""
    tail = either(
        seq(either("to", "in"), target),
        seq(says("plus", 1), FIGURE, to=lambda sign, other: (sign, other)),
        seq(says("minus", -1), FIGURE, to=lambda sign, other: (sign, other)),
    )
    return seq(either("convert", "what is"), figure, tail, to=_with_figure)


_starts = seq(either(*(says(f"{word} start", n) for n, word in ((2, "two"), (3, "three"), (4, "four"), (6, "six")))))


def _travel_of(*said: Any) -> Callable[[Figure], Travel]:
    starts, named = said if len(said) == 2 else (1, said[0])
    if isinstance(named, Thread):
        return lambda turns: Travel(turns, named, starts=starts)
    return lambda turns: Travel(turns, None, named, starts)


_OTHERS: Node = either(
    # All that ends in a figure in one sequence: the figure is then compiled once.
    seq(
        either(
            says("blades for", lambda said: PieceCombination("blades", said)),
            says("shims for", lambda said: PieceCombination("shims", said)),
            says("percent of target", Percent),
            says("error of", ErrorOf),
            seq("travel of", maybe(_starts), THREAD, "in", to=_travel_of),
        ),
        FIGURE,
        to=lambda make, said: make(said),
    ),
    # What else would be known from the step, said in full.
    seq(
        seq("travel of", maybe(_starts), FIGURE, "pitch in", to=_travel_of),
        FIGURE,
        to=lambda make, said: make(said),
    ),
    seq("what percent is", FIGURE, "of", FIGURE, to=Percent),
    seq("error of", FIGURE, either("against", "on"), FIGURE, to=ErrorOf),
)
SUM: Node = either(_converted(FIGURE, UNIT_WORD), _OTHERS)
"""The sums that can be asked for; where no target is said it is that of the step."""


def sums_in(measured_in: Collection[str]) -> Node:
    """The same where figures are in the units ``measured_in``: converted are those too that are not heard everywhere,
    and times and angles in two units."""
    units = frozenset((*measured_in, "min", "degree"))
    more = figures_of_trades(units)
    return either(_converted(FIGURE if more is None else either(FIGURE, more), any_unit_said(units)), _OTHERS)


CONVERSION: Node = seq(either("convert", "what is"), ANY_FIGURE, either("to", "in"), ANY_UNIT_WORD, to=Convert)
"""A conversion between any two units, as it may be typed."""
