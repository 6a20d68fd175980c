"""What the phrases of a search mean: one entry for each meaning, whatever the words."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

import numpy as np

from handsfree.hearing.builtin.beam import PhraseHypothesis
from handsfree.hearing.recogniser import Bias, Meaning


@dataclass
class MeaningHypothesis:
    """The likeliest phrase of one meaning, its score, and the log probability of all phrases that mean the same."""

    meaning: Hashable
    phrase: PhraseHypothesis
    score: float
    total: float


def by_meaning(
    phrases: Iterable[PhraseHypothesis], meaning: Meaning, bias: Bias | None, exponent: float
) -> list[MeaningHypothesis]:
    """The phrases' meanings, best first."""
    found: dict[Hashable, MeaningHypothesis] = {}
    for phrase in phrases:
        its = meaning(phrase.words)
        if its is None:
            continue
        bonus = bias(phrase.words) if bias else 0.0
        score, total = phrase.score(exponent) + bonus / phrase.length**exponent, phrase.total + bonus
        known = found.get(its)
        if known is None:
            found[its] = MeaningHypothesis(its, phrase, score, total)
            continue
        known.total = float(np.logaddexp(known.total, total))
        if score > known.score:
            known.phrase, known.score = phrase, score
    return sorted(found.values(), key=lambda each: -each.score)
