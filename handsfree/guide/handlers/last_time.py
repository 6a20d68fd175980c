"""Last time: what was measured in earlier jobs, for the ear."""

from __future__ import annotations

from handsfree.guide.earlier import EarlierFigure, nearest_figure
from handsfree.guide.session import Turn
from handsfree.measure.formatting import spoken
from handsfree.measure.limits import Decision
from handsfree.phrases.intents import Intent
from handsfree.text.numerals import whole_words
from handsfree.text.prose import listed, sentences

_MOST = 2
"""Characteristics told in one breath."""


def tell_last_time(turn: Turn, intent: Intent) -> None:
    """The newest earlier figure of what is asked for, else of what this step measures: of this very item where there
    is one, else of its kind, else of the same work."""
    here = [measured.name for measured in turn.step.characteristics]
    names = [intent.characteristic] if intent.characteristic else list(dict.fromkeys(here))
    if not names:
        turn.say("Nothing is measured at this step. Say last time, with the name of what you measure.")
        return
    asked = names[:_MOST]
    figures = {name: nearest_figure(turn.session.worked.earlier, name, turn.state.opened) for name in asked}
    missing = [name for name in asked if figures[name] is None]
    said = [_words(turn, *nearest) for nearest in figures.values() if nearest is not None]
    said += [f"no earlier figure for {listed(missing, 'or')}"] if missing else []
    turn.say(sentences(said))


def _words(turn: Turn, earlier: EarlierFigure, whose: str) -> str:
    days = (turn.now.date() - earlier.at.date()).days
    when = "today" if days < 1 else "yesterday" if days == 1 else f"{_ago(days)} ago"
    verdict = "" if earlier.decision == Decision.NO_LIMITS.value else earlier.decision
    figure = f"{earlier.characteristic}, {earlier.occasion}, {spoken(earlier.figure)}"
    return sentences((f"{when}, {whose}: {figure}", verdict))


def _ago(days: int) -> str:
    """ "three weeks": in the largest unit of which there are at least two."""
    for length, one in ((365, "year"), (30, "month"), (7, "week")):
        if days >= 2 * length:
            return f"{whole_words(days // length)} {one}s"
    return f"{whole_words(days)} days"
