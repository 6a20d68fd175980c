"""Last time: what was measured in earlier jobs, for the ear."""

from __future__ import annotations

from collections.abc import Sequence

from handsfree.guide.figures.earlier import EarlierFigure, nearest_figures
from handsfree.guide.session import Turn
from handsfree.measure.formatting import spoken
from handsfree.measure.limits import Decision
from handsfree.phrases.intents import Intent
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, sentences
from handsfree.wording.counter.before import when_words
from handsfree.wording.readings import figure_name

_MOST = 2
"""Characteristics of which figures are told in one breath; the others that have any are named."""
_MOST_NAMED = 3
_MOST_PLACES = 4
"""Places of each."""


def tell_last_time(turn: Turn, intent: Intent) -> None:
    """The newest earlier figure of what is asked for, else of what this step measures: of this very item where there
    is one, else of its kind, else of the same work."""
    here = [measured.name for measured in turn.step.characteristics]
    names = [intent.characteristic] if intent.characteristic else list(dict.fromkeys(here))
    if not names:
        turn.say("Nothing is measured at this step. Say last time, with the name of what you measure.")
        return
    earlier, opened, place = turn.session.worked.earlier, turn.state.opened, turn.step.place
    figures = {name: nearest_figures(earlier, name, opened, place) for name in names}
    known = [name for name in names if figures[name][0]]
    missing = [name for name in names if name not in known]
    said = [_words(turn, *figures[name]) for name in known[:_MOST]]
    said += [f"no earlier figure for {_few(missing, 'or')}"] if missing else []
    rest = known[_MOST:]
    said += [f"for {_few(rest, 'or')}, say last time, and the name"] if rest else []
    turn.say(sentences(said))


def _few(names: Sequence[str], joint: str) -> str:
    more = len(names) - _MOST_NAMED
    return listed([*names[:_MOST_NAMED], *([f"{whole_words(more)} more"] if more > 0 else [])], joint)


def _words(turn: Turn, earlier: Sequence[EarlierFigure], whose: str) -> str:
    """When it was, on what, and the figure at each place."""
    when = when_words(max(figure.at for figure in earlier).date(), turn.now.date())
    told = [words for figure in earlier[:_MOST_PLACES] for words in _figure_words(figure)]
    more = len(earlier) - _MOST_PLACES
    told += [f"and {counted(more, 'more place')}"] if more > 0 else []
    return sentences((f"{when}, {whose}: {told[0]}", *told[1:]))


def _figure_words(earlier: EarlierFigure) -> tuple[str, str]:
    """The figure, and its verdict where it has one."""
    name = figure_name(earlier.characteristic, earlier.place)
    verdict = "" if earlier.decision == Decision.NO_LIMITS.value else earlier.decision
    return f"{name}, {earlier.occasion}, {spoken(earlier.figure)}", verdict
