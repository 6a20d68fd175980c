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
    """Limits for the built-in recogniser's numbers; they belong to its weights and its search settings.

    Derived from what judges nothing: voices, a reading, clips of talk, takes of digits that the network was not trained
    on. For how strangers are heard an encoder stood in that was trained without one of the speakers.
    """

    command: float = 0.75
    noise: float = -0.5
    """Natural log odds that it was a command: from the first it is one, under the second it is talk or noise."""
    brief_command: float = 3.5
    """The same of a single word ("yes", "zero") and of "a millimetre" and its like: strangers' short words come near.
    Under it they are asked back. In quiet that cost no command of the tuning voices (75), in noise 3 in 100 (256)."""
    certainty: float = 1.5
    figure_certainty: float = 4.5
    """Natural log odds that the meaning is right, by one reader: under these, another is nearly as likely. More is
    asked of a figure: a wrong one is worse than a question."""
    certainty_of_both: float = 1.0
    figure_certainty_of_both: float = 4.0
    """The same where a second reader was asked."""
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
"""So many times the same word is what a network makes of hammering and of babble ("oh oh oh oh oh oh"), unless both
readers hear it."""

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
    """Natural log odds that it was a command, and no talk or noise, by the first reading alone."""
    return 7.17 - 1.29 * min(max(gap, 0.0), 8.0) - 6.05 * near.unlike - 0.36 * near.more


def likelihood_of_both(opinion: SecondOpinion, near: Likeness) -> float:
    """The same by both readings."""
    return (
        5.64
        - 1.03 * min(max(opinion.gap, 0.0), 8.0)
        - 2.89 * near.unlike
        - 2.34 * opinion.unlike
        - 0.35 * near.more
        + 0.36 * min(opinion.both, 8.0)
        + 1.87 * (opinion.place is not None)
    )


def certainty(margin: float, log_odds: float, gap: float, near: Likeness) -> float:
    """Natural log odds that the best phrase means what was said, as far as it was a command, by one reader."""
    return (
        1.48
        + 0.55 * min(margin, 6.0)
        + 0.29 * min(max(log_odds, -5.0), 10.0)
        - 0.61 * min(max(gap, 0.0), 4.0)
        - 1.98 * near.unlike
    )


def certainty_of_both(opinion: SecondOpinion) -> float:
    """Natural log odds that the best phrase means what was said, as far as it was a command, by two readers."""
    return (
        1.23
        + 0.63 * min(opinion.first, 6.0)
        + 0.41 * min(opinion.both, 8.0)
        - 0.25 * min(max(opinion.gap, 0.0), 4.0)
        + 0.24 * max(opinion.reading, -6.0)
        + 0.72 * (opinion.place == 0)
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
    if heard.gap is None:
        return Hearing.CLEAR
    near, second = likeness(heard.free_text, heard.alternatives[0].words), heard.second
    likelihood = command_likelihood(heard.gap, near) if second is None else likelihood_of_both(second, near)
    if likelihood < thresholds.noise:
        return Hearing.NONE
    if likelihood < thresholds.command:
        return Hearing.NEAR
    if likelihood < thresholds.brief_command and is_brief(heard.alternatives[0].words):
        return Hearing.DOUBTFUL
    caution = _caution(heard.alternatives[0].words, meanings, thresholds, fits) if figure else 0.0
    if second is not None:
        sure = certainty_of_both(second)
        least = thresholds.figure_certainty_of_both if figure else thresholds.certainty_of_both
    elif heard.margin is None or heard.log_odds is None:
        return Hearing.CLEAR
    elif heard.log_odds < 0:
        # Another meaning is likelier as a whole, however the likeliest phrases compare.
        return Hearing.DOUBTFUL
    else:
        sure = certainty(heard.margin, heard.log_odds, heard.gap, near)
        least = thresholds.figure_certainty if figure else thresholds.certainty
    return Hearing.CLEAR if sure >= least + caution else Hearing.DOUBTFUL


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
    return max((len(list(same)) for _, same in groupby(words)), default=0)
