"""Bench sums as they are asked for."""

from __future__ import annotations

from typing import Any

from handsfree.measure.figure import Figure
from handsfree.measure.sums.asked import Convert, ErrorOf, Percent, Pieces, Sum, Total, Travel
from handsfree.measure.threads import Thread
from handsfree.phrases.figures import figure, unit_word
from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.threads import thread


def _with_figure(said: Figure, rest: Any) -> Sum:
    """ "four thou to millimetres", "four thou plus half a thou"."""
    if isinstance(rest, str):
        return Convert(said, rest)
    sign, other = rest
    return Total(said, other, sign)


_tail = either(
    seq(either("to", "in"), unit_word),
    seq(says("plus", 1), figure, to=lambda sign, other: (sign, other)),
    seq(says("minus", -1), figure, to=lambda sign, other: (sign, other)),
)

_starts = seq(either(*(says(f"{word} start", n) for n, word in ((2, "two"), (3, "three"), (4, "four"), (6, "six")))))


def _travel_of(*said: Any) -> Travel:
    starts, named, turns = said if len(said) == 3 else (1, *said)
    return Travel(turns, named, starts=starts) if isinstance(named, Thread) else Travel(turns, None, named, starts)


asked: Node = Named(
    either(
        seq(either("convert", "what is"), figure, _tail, to=_with_figure),
        seq("blades for", figure, to=lambda said: Pieces("blades", said)),
        seq("shims for", figure, to=lambda said: Pieces("shims", said)),
        seq("travel of", maybe(_starts), thread, "in", figure, to=_travel_of),
        seq("percent of target", figure, to=Percent),
        seq("error of", figure, to=ErrorOf),
    ),
    "SUM",
)
"""The sums that are asked for at the bench, where the target is that of the step."""

asked_in_full: Node = either(
    asked,
    seq("travel of", maybe(_starts), figure, either("pitch", "lead"), "in", figure, to=_travel_of),
    seq("what percent is", figure, "of", figure, to=Percent),
    seq("error of", figure, either("against", "on"), figure, to=ErrorOf),
)
"""The same with what a bench would know said in full: for the command line."""
