"""How far what was heard may be trusted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby

from handsfree.phrases.intents import Intent
from handsfree.phrases.utterance import Heard, Hearing, SecondOpinion

Interpret = Callable[[tuple[str, ...]], tuple[Intent, ...]]
"""The meanings of a phrase; none where it is no command."""


@dataclass(frozen=True)
class Thresholds:
    """Limits for the built-in recogniser's numbers; they belong to its search settings.

    Derived by ``python -m tests.calibrate_hearing`` from voices that are used for nothing else.
    """

    accept_gap: float = 2.5
    """Up to this gap between the free reading and the phrase, per word, it is a command."""
    reject_gap: float = 3.4
    """Beyond this gap it is talk or noise."""
    margin: float = 0.5
    log_odds: float = 1.0
    """Under these, another command is nearly as likely."""
    figure_margin: float = 1.3
    figure_log_odds: float = 3.0
    """The same where a figure is said: a wrong one is worse than a question."""
    certainty: float = 0.6
    figure_certainty: float = 3.0
    """In place of margin and log odds where a second reader was asked: natural log odds that the meaning is right."""
    command: float = 0.6
    noise: float = -0.3
    """In place of the gaps there: natural log odds that it was a command; under the second it is talk or noise."""


DEFAULT = Thresholds()

STAMMER = 4
"""So many times the same word is what a network makes of hammering and of babble ("oh oh oh oh oh oh"), unless both
readers hear it."""


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


def command_likelihood(opinion: SecondOpinion) -> float:
    """Natural log odds that it was a command, and no talk or noise."""
    agreed = 0.0 if opinion.place is None else 4.3 if opinion.place == 0 else 4.0
    return 6.1 - 0.94 * min(max(opinion.gap, 0.0), 6.0) + 0.73 * max(opinion.reading, -8.0) + agreed


def decide(heard: Heard, interpret: Interpret, thresholds: Thresholds = DEFAULT) -> Hearing:
    """Clear, doubtful, near or none. A number that the recogniser can't give (None) casts no doubt."""
    if not heard.alternatives:
        return Hearing.NONE
    meanings = interpret(heard.alternatives[0].words)
    if not meanings:
        return Hearing.NONE
    figure = any(intent.figure is not None for intent in meanings)
    agreed = heard.second is not None and heard.second.place == 0
    if _longest_run(heard.alternatives[0].words) >= STAMMER and not agreed:
        return Hearing.NONE
    if heard.second is not None:
        return _decide_by_both(heard.second, figure, thresholds)
    if heard.gap is not None and heard.gap > thresholds.reject_gap:
        return Hearing.NONE
    if heard.gap is not None and heard.gap > thresholds.accept_gap:
        return Hearing.NEAR
    least_margin = thresholds.figure_margin if figure else thresholds.margin
    least_odds = thresholds.figure_log_odds if figure else thresholds.log_odds
    if heard.margin is not None and heard.margin < least_margin:
        return Hearing.DOUBTFUL
    if heard.log_odds is not None and heard.log_odds < max(0.0, least_odds):
        return Hearing.DOUBTFUL
    return Hearing.CLEAR


def _longest_run(words: tuple[str, ...]) -> int:
    return max((len(list(same)) for _, same in groupby(words)), default=0)


def _decide_by_both(opinion: SecondOpinion, figure: bool, thresholds: Thresholds) -> Hearing:
    likelihood = command_likelihood(opinion)
    if likelihood < thresholds.noise:
        return Hearing.NONE
    if likelihood < thresholds.command:
        return Hearing.NEAR
    least = thresholds.figure_certainty if figure else thresholds.certainty
    return Hearing.CLEAR if certainty(opinion) >= least else Hearing.DOUBTFUL
