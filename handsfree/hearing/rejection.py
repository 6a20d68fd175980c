"""How far what was heard may be trusted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby, takewhile

from handsfree.phrases.intents import Intent
from handsfree.phrases.utterance import Hearing, RecognitionResult, SecondOpinion
from handsfree.text.numerals import DIGITS, NOUGHTS
from handsfree.text.phonetics import plain, unlike

Interpret = Callable[[tuple[str, ...]], tuple[Intent, ...]]
"""The meanings of a phrase; none where it is no command."""


@dataclass(frozen=True)
class Thresholds:
    """Limits for the built-in recogniser's numbers; they belong to its search settings.

    Derived by ``python -m tests.tools.calibrate_hearing`` from voices that are used for nothing else.
    """

    command: float = 0.5
    noise: float = -1.5
    """Natural log odds that it was a command: from the first it is one, under the second it is talk or noise."""
    margin: float = 0.5
    log_odds: float = 1.0
    """Under these, another command is nearly as likely."""
    figure_margin: float = 1.3
    figure_log_odds: float = 3.0
    """The same where a figure is said: a wrong one is worse than a question."""
    certainty: float = 0.6
    figure_certainty: float = 4.0
    """In place of margin and log odds where a second reader was asked: natural log odds that the meaning is right."""
    noughts: float = 1.0
    """What is asked beyond that where noughts stand after the point or at the end ("point oh oh four"): they run
    together, and each makes ten times more or less."""
    fitting: float = 1.0
    """Taken off where the figure lies within the step's limits: right ones do in nine of ten cases (an assumption),
    wrong ones in three (counted)."""
    unfitting: float = 1.0
    """Put on where it lies outside them. (What is out of limits is spoken of in any case.)"""


DEFAULT = Thresholds()

STAMMER = 4
"""So many times the same word is what a network makes of hammering and of babble ("oh oh oh oh oh oh"), unless both
readers hear it."""

MOST_MORE = 10
"""More words than so many beyond the phrase tell no more."""

_NOUGHTS = frozenset(NOUGHTS)
_DIGITS = _NOUGHTS.union(DIGITS)


def certainty(opinion: SecondOpinion) -> float:
    """Natural log odds that the best phrase means what was said, as far as it was a command."""
    return (
        1.42
        + 0.43 * min(opinion.first, 6.0)
        + 0.38 * min(opinion.both, 8.0)
        - 0.26 * min(max(opinion.gap, 0.0), 4.0)
        + 0.43 * max(opinion.reading, -6.0)
        + 1.47 * (opinion.place == 0)
    )


@dataclass(frozen=True)
class Likeness:
    """How near a free reading is to a phrase: by what share of its phones it differs, how many words it has more."""

    unlike: float
    more: int


def likeness(reading: str, words: tuple[str, ...]) -> Likeness:
    """Of a free reading and a phrase. "Lou reckoned." is near to "lubricant", which no probability told."""
    free = plain(reading)
    return Likeness(unlike(free, " ".join(words)), min(max(0, len(free.split()) - len(words)), MOST_MORE))


def likelihood_alone(gap: float, near: Likeness) -> float:
    """Natural log odds that it was a command, and no talk or noise, by the first reading alone."""
    return 8.26 - 0.83 * min(max(gap, 0.0), 8.0) - 7.43 * near.unlike - 0.45 * near.more


def command_likelihood(opinion: SecondOpinion, near: Likeness) -> float:
    """The same by both readings."""
    agreed = 0.0 if opinion.place is None else 1.44 if opinion.place == 0 else 2.10
    return (
        8.60
        - 0.83 * min(max(opinion.gap, 0.0), 8.0)
        - 5.90 * near.unlike
        - 5.37 * opinion.unlike
        - 0.48 * near.more
        + 0.72 * min(opinion.both, 8.0)
        + agreed
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
    meanings = interpret(heard.alternatives[0].words)
    if not meanings:
        return Hearing.NONE
    figure = any(intent.figure is not None for intent in meanings)
    agreed = heard.second is not None and heard.second.place == 0
    if _longest_run(heard.alternatives[0].words) >= STAMMER and not agreed:
        return Hearing.NONE
    if heard.gap is not None:
        near = likeness(heard.free_text, heard.alternatives[0].words)
        second = heard.second
        likelihood = likelihood_alone(heard.gap, near) if second is None else command_likelihood(second, near)
        if likelihood < thresholds.noise:
            return Hearing.NONE
        if likelihood < thresholds.command:
            return Hearing.NEAR
    if heard.second is not None:
        least = thresholds.certainty
        if figure:
            least = thresholds.figure_certainty + _caution(heard.alternatives[0].words, meanings, thresholds, fits)
        return Hearing.CLEAR if certainty(heard.second) >= least else Hearing.DOUBTFUL
    least_margin = thresholds.figure_margin if figure else thresholds.margin
    least_odds = thresholds.figure_log_odds if figure else thresholds.log_odds
    if heard.margin is not None and heard.margin < least_margin:
        return Hearing.DOUBTFUL
    if heard.log_odds is not None and heard.log_odds < max(0.0, least_odds):
        return Hearing.DOUBTFUL
    return Hearing.CLEAR


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


def with_noughts(words: tuple[str, ...]) -> bool:
    """Whether the decimals begin or end with a nought: how many there are is easily misheard."""
    if "point" not in words:
        return False
    decimals = tuple(takewhile(_DIGITS.__contains__, words[words.index("point") + 1 :]))
    return bool(decimals) and bool(_NOUGHTS & {decimals[0], decimals[-1]})


def _longest_run(words: tuple[str, ...]) -> int:
    return max((len(list(same)) for _, same in groupby(words)), default=0)
