"""Bench sums by voice: answered from the step in view, and never logged."""

from __future__ import annotations

from handsfree.guide.session import Turn
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.sums.answer import work_out
from handsfree.measure.sums.asked import (
    Convert,
    ErrorOf,
    Percent,
    PieceCombination,
    Setting,
    Sum,
    SumError,
    Total,
    Travel,
)
from handsfree.phrases.intents import Intent
from handsfree.text.prose import number_or_no, sentence


def tell_sum(turn: Turn, intent: Intent) -> None:
    """Say what was understood and what it comes to."""
    asked = intent.sum
    assert asked is not None
    try:
        turn.say(sentence(f"{_asked_words(asked)}: {work_out(asked, setting(turn)).spoken}"))
    except SumError as error:
        turn.say(sentence(str(error)))


def setting(turn: Turn) -> Setting:
    """What goes without saying at the step in view."""
    measured_here = turn.step.characteristics
    unit = measured_here[0].unit if len({measured.unit for measured in measured_here}) == 1 else None
    target = measured_here[0].target if len(measured_here) == 1 else None
    tools = [measured.tool for measured in measured_here if measured.tool is not None]
    at_hand = [turn.session.tools.get(tool.name, tool) for tool in tools] + list(turn.session.tools.values())
    return Setting(
        unit,
        target,
        blades=next((tool.blades for tool in at_hand if tool.blades is not None), None),
        shims=next((tool.shims for tool in at_hand if tool.shims is not None), None),
    )


def _asked_words(asked: Sum) -> str:
    match asked:
        case Total(one, other, sign):
            return f"{spoken(one)} {'plus' if sign > 0 else 'minus'} {spoken(other)}"
        case Travel(turns, thread):
            starts = f", {number_or_no(asked.starts)} starts" if asked.starts > 1 else ""
            screw = thread.words if thread else f"pitch {spoken(asked.pitch)}" if asked.pitch else "pitch"
            return f"{screw}{starts}, {spoken(turns)}"
        case PieceCombination(what, figure):
            return f"{what} for {spoken(figure)}"
        case Percent(figure, Figure() as other):
            return f"{spoken(figure)} of {spoken(other)}"
        case ErrorOf(figure, Figure() as other):
            return f"{spoken(figure)} against {spoken(other)}"
        case Convert(figure) | Percent(figure) | ErrorOf(figure):
            return spoken(figure)
