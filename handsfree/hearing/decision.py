"""How far what was heard may be trusted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from handsfree.phrases.intents import Intent
from handsfree.phrases.utterance import Heard, Hearing

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
    """In their place where a second reader was asked: fewer of the tuning voices' figures pass wrongly, and fewer of
    them are asked back."""


DEFAULT = Thresholds()


def decide(heard: Heard, interpret: Interpret, thresholds: Thresholds = DEFAULT) -> Hearing:
    """Clear, doubtful, near or none. A number that the recogniser can't give (None) casts no doubt."""
    if not heard.alternatives:
        return Hearing.NONE
    meanings = interpret(heard.alternatives[0].words)
    if not meanings:
        return Hearing.NONE
    if heard.gap is not None and heard.gap > thresholds.reject_gap:
        return Hearing.NONE
    if heard.gap is not None and heard.gap > thresholds.accept_gap:
        return Hearing.NEAR
    figure = any(intent.figure is not None for intent in meanings)
    if heard.certainty is not None:
        least = thresholds.figure_certainty if figure else thresholds.certainty
        return Hearing.DOUBTFUL if heard.certainty < least else Hearing.CLEAR
    least_margin = thresholds.figure_margin if figure else thresholds.margin
    least_odds = thresholds.figure_log_odds if figure else thresholds.log_odds
    if heard.margin is not None and heard.margin < least_margin:
        return Hearing.DOUBTFUL
    if heard.log_odds is not None and heard.log_odds < max(0.0, least_odds):
        return Hearing.DOUBTFUL
    return Hearing.CLEAR
