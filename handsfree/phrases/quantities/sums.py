"""Bench sums as they are asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from handsfree.measure.figure import Figure
from handsfree.measure.sums.asked import Convert, ErrorOf, Percent, PieceCombination, Sum, Total, Travel
from handsfree.measure.threads import Thread
from handsfree.phrases.grammar import Node, either, maybe, says, seq
from handsfree.phrases.quantities.figures import ANY_FIGURE, ANY_UNIT_WORD, FIGURE, UNIT_WORD
from handsfree.phrases.quantities.threads import THREAD


def _with_figure(said: Figure, rest: Any) -> Sum:
    """ "four thou to millimetres", "four thou plus half a thou"."""
    if isinstance(rest, str):
        return Convert(said, rest)
    sign, other = rest
    return Total(said, other, sign)


_tail = either(
    seq(either("to", "in"), UNIT_WORD),
    seq(says("plus", 1), FIGURE, to=lambda sign, other: (sign, other)),
    seq(says("minus", -1), FIGURE, to=lambda sign, other: (sign, other)),
)

_starts = seq(either(*(says(f"{word} start", n) for n, word in ((2, "two"), (3, "three"), (4, "four"), (6, "six")))))


def _travel_of(*said: Any) -> Callable[[Figure], Travel]:
    starts, named = said if len(said) == 2 else (1, said[0])
    if isinstance(named, Thread):
        return lambda turns: Travel(turns, named, starts=starts)
    return lambda turns: Travel(turns, None, named, starts)


SUM: Node = either(
    seq(either("convert", "what is"), FIGURE, _tail, to=_with_figure),
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
"""The sums that can be asked for; where no target is said it is that of the step."""

CONVERSION: Node = seq(either("convert", "what is"), ANY_FIGURE, either("to", "in"), ANY_UNIT_WORD, to=Convert)
"""A conversion between any two units, as it may be typed."""
