"""How far what was heard may be trusted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby, takewhile

from handsfree.phrases.intents import Intent
from handsfree.phrases.utterance import Hearing, RecognitionResult
from handsfree.text.numerals import DIGITS, NOUGHTS
from handsfree.text.phonetics import plain, unlike

Interpret = Callable[[tuple[str, ...]], tuple[Intent, ...]]
"""The meanings of a phrase; none where it is no command."""


@dataclass(frozen=True)
class Thresholds:
    """Limits for the built-in recogniser's numbers; they belong to its weights and its search settings.

    Derived from what judges nothing: voices, a reading, clips of talk, takes of digits that the network was not trained
    on. For how strangers are heard an encoder stood in that was trained without one of the speakers.
    """

    command: float = 0.75
    noise: float = -0.25
    """Natural log odds that it was a command: from the first it may be one, under the second it is talk or noise."""
    clear_command: float = 3.0
    """From here it is one: under it, it is asked back. Of 1,352 pieces of talk of the tuning sounds none was clear from
    0.75 on, so it lies as high as costs next to nothing: in quiet no command, in noise 6 of 885."""
    brief_command: float = 3.5
    """The same of a single word ("yes", "zero") and of "a millimetre" and its like: strangers' short words come near.
    In quiet that cost no command of the tuning voices (75), in noise 3 in 100 (256)."""
    certainty: float = 1.5
    figure_certainty: float = 3.75
    """Natural log odds that the meaning is right: under these, another is nearly as likely. More is asked of a figure:
    a wrong one is worse than a question."""
    noughts: float = 0.75
    """What is asked beyond that where noughts stand after the point or at the end ("point oh oh four"): they run
    together, and each makes ten times more or less."""
    fitting: float = 1.0
    """Taken off where the figure lies within the step's limits: right ones do in nine of ten cases (an assumption),
    wrong ones in three (counted)."""
    unfitting: float = 1.0
    """Put on where it lies outside them. (What is out of limits is spoken of in any case.)"""


DEFAULT = Thresholds()

STAMMER = 4
"""So many times the same word is what a network makes of hammering and of babble ("oh oh oh oh oh oh")."""

MOST_MORE = 10
"""More words than so many beyond the phrase tell no more."""

_NOUGHTS = frozenset(NOUGHTS)
_DIGITS = _NOUGHTS.union(DIGITS)


@dataclass(frozen=True)
class Likeness:
    """How near a free reading is to a phrase: by what share of its phones it differs, how many words it has more."""

    unlike: float
    more: int


def likeness(reading: str, words: tuple[str, ...]) -> Likeness:
    """Of a free reading and a phrase. "Lou reckoned." is near to "lubricant", which no probability told."""
    free = plain(reading)
    return Likeness(unlike(free, " ".join(words)), min(max(0, len(free.split()) - len(words)), MOST_MORE))


def command_likelihood(gap: float, near: Likeness) -> float:
    """Natural log odds that it was a command, and no talk or noise."""
    return 7.17 - 1.29 * min(max(gap, 0.0), 8.0) - 6.05 * near.unlike - 0.36 * near.more


def certainty(margin: float, log_odds: float, gap: float, near: Likeness) -> float:
    """Natural log odds that the best phrase means what was said, as far as it was a command."""
    return (
        1.48
        + 0.55 * min(margin, 6.0)
        + 0.29 * min(max(log_odds, -5.0), 10.0)
        - 0.61 * min(max(gap, 0.0), 4.0)
        - 1.98 * near.unlike
    )


def decide(  # noqa: PLR0911 - one reason after another, the strongest first
    heard: RecognitionResult,
    interpret: Interpret,
    thresholds: Thresholds = DEFAULT,
    fits: Callable[[Intent], bool | None] = lambda intent: None,
) -> Hearing:
    """Clear, doubtful, near or none. A number that the recogniser can't give (None) casts no doubt.

    ``fits`` tells of a figure whether it lies within the limits of what is measured (None: nobody knows).
    """
    if not heard.alternatives:
        return Hearing.NONE
    words = heard.alternatives[0].words
    meanings = interpret(words)
    if not meanings:
        return Hearing.NONE
    figure = any(intent.figure is not None for intent in meanings)
    if _longest_run(words) >= STAMMER:
        return Hearing.NONE
    if heard.gap is None:
        return Hearing.CLEAR
    near = likeness(heard.free_text, words)
    likelihood = command_likelihood(heard.gap, near)
    if likelihood < thresholds.noise:
        return Hearing.NONE
    if likelihood < thresholds.command:
        return Hearing.NEAR
    if likelihood < (thresholds.brief_command if is_brief(words) else thresholds.clear_command):
        return Hearing.DOUBTFUL
    if heard.margin is None or heard.log_odds is None:
        return Hearing.CLEAR
    if heard.log_odds < 0:
        # Another meaning is likelier as a whole, however the likeliest phrases compare.
        return Hearing.DOUBTFUL
    least = thresholds.certainty
    if figure:
        least = thresholds.figure_certainty + _caution(words, meanings, thresholds, fits)
    return Hearing.CLEAR if certainty(heard.margin, heard.log_odds, heard.gap, near) >= least else Hearing.DOUBTFUL


def _caution(
    words: tuple[str, ...],
    meanings: tuple[Intent, ...],
    thresholds: Thresholds,
    fits: Callable[[Intent], bool | None],
) -> float:
    """What is asked of a figure's certainty beyond the usual."""
    caution = thresholds.noughts if with_noughts(words) else 0.0
    fitting = {fits(intent) for intent in meanings}
    if fitting == {True}:
        return caution - thresholds.fitting
    return caution + (thresholds.unfitting if False in fitting else 0.0)


def is_brief(words: tuple[str, ...]) -> bool:
    """Whether it is a single word, or one with an article before it ("a minute")."""
    return len(words) == 1 or (len(words) == 2 and words[0] in ("a", "an"))


def with_noughts(words: tuple[str, ...]) -> bool:
    """Whether the decimals begin or end with a nought: how many there are is easily misheard."""
    if "point" not in words:
        return False
    decimals = tuple(takewhile(_DIGITS.__contains__, words[words.index("point") + 1 :]))
    return bool(decimals) and bool(_NOUGHTS & {decimals[0], decimals[-1]})


def _longest_run(words: tuple[str, ...]) -> int:
    return max(len(list(same)) for _, same in groupby(words))
