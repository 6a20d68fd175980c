"""The likeliest meanings by two readers together: each may propose, and each judges what the other proposes."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace

from handsfree.hearing.builtin.beam import SearchSettings
from handsfree.hearing.builtin.nbest import MeaningHypothesis
from handsfree.hearing.builtin.second_reader import Listening
from handsfree.hearing.recogniser import Meaning
from handsfree.hearing.rejection import command_likelihood, likeness
from handsfree.phrases.quantities.numbers import NUMBER_WORDS
from handsfree.phrases.utterance import SecondOpinion
from handsfree.phrases.written import Words

SURE_MARGIN = 2.5
SURE_GAP = 1.0
"""Beyond this margin and within this gap no second reading is asked for, unless there is a figure. (Where the phrase
is much likelier than the free reading, that ran on: many people talk at once.)"""
HOPELESS = -4.0
"""Under these log odds by the first reading it is talk."""
READ_AGAIN = 4
"""The first reader's meanings that are read a second time, besides those that the second reader proposes itself."""
AGREED = 3
"""So many of them where the likeliest of both is the same."""
MOST_NEW = 4
"""Meanings of the second reader alone that are put before the first."""
SECOND_WEIGHT = 0.7
"""Of the second reading against the first; between 0.5 and 1 it hardly matters."""


@dataclass(frozen=True)
class FirstReading:
    """The first reader's meanings, best first (one at least), and its free reading with its log probability."""

    meanings: list[MeaningHypothesis]
    text: str
    free: float
    settings: SearchSettings

    def gap(self, meant: MeaningHypothesis) -> float:
        """By how much the free reading beats it, per word."""
        return (self.free - meant.phrase.log_probability) / len(meant.phrase.words)

    def alone(self, meant: MeaningHypothesis) -> float:
        """The margin where the search has left no other meaning: it was at least ``drop`` less likely."""
        return float(self.settings.drop / meant.phrase.length**self.settings.length_exponent)

    @property
    def margin(self) -> float:
        best = self.meanings[0]
        return best.score - self.meanings[1].score if len(self.meanings) > 1 else self.alone(best)


def worth_a_second_reading(first: FirstReading) -> bool:
    """Whether there is doubt, or a figure, and some hope that it was a command."""
    best = first.meanings[0]
    gap, words = first.gap(best), best.phrase.words
    if first.margin >= SURE_MARGIN and abs(gap) <= SURE_GAP and not NUMBER_WORDS & set(words):
        return False
    return command_likelihood(gap, likeness(first.text, words)) >= HOPELESS


def read_again(
    first: FirstReading,
    listening: Listening,
    meaning: Meaning,
    written: Callable[[str], Sequence[Words]],
    sought: Callable[[Sequence[Words]], list[MeaningHypothesis]],
) -> tuple[list[MeaningHypothesis], SecondOpinion]:
    """The meanings ranked by both readers, and what they make of the first of them.

    ``written`` gives the phrases that a free reading may stand for, ``sought`` what the first reader makes of given
    phrases.
    """
    places: dict[Hashable, int] = {}
    proposed: dict[Hashable, Words] = {}
    readings = listening.readings()
    for place, text in enumerate(readings):
        for words in written(text):
            meant = meaning(words)
            if meant is not None:
                places.setdefault(meant, place)
                proposed.setdefault(meant, words)
    if places.get(first.meanings[0].meaning) == 0:
        # Agreed at once: it hardly ever changes by looking further.
        candidates = first.meanings[:AGREED]
    else:
        known = {each.meaning for each in first.meanings}
        new = [words for meant, words in proposed.items() if meant not in known][:MOST_NEW]
        candidates = [
            each for number, each in enumerate(first.meanings) if number < READ_AGAIN or each.meaning in places
        ] + (sought(new) if new else [])
    fits = listening.log_probabilities([each.phrase.words for each in candidates])
    both = [_joined(each, fit, first.settings) for each, fit in zip(candidates, fits, strict=True)]
    best = max(range(len(both)), key=lambda i: both[i].score)
    chosen, others = candidates[best], [i for i in range(len(both)) if i != best]
    alone = first.alone(chosen)
    opinion = SecondOpinion(
        first=min((chosen.score - candidates[i].score for i in others), default=alone),
        both=min((both[best].score - both[i].score for i in others), default=alone),
        gap=first.gap(chosen),
        reading=fits[best] / len(chosen.phrase.words),
        place=places.get(chosen.meaning),
        unlike=likeness(readings[0] if readings else "", chosen.phrase.words).unlike,
    )
    return sorted(both, key=lambda each: -each.score), opinion


def _joined(meant: MeaningHypothesis, reading: float, settings: SearchSettings) -> MeaningHypothesis:
    added = SECOND_WEIGHT * reading
    return replace(
        meant,
        score=float(meant.score + added / meant.phrase.length**settings.length_exponent),
        total=meant.total + added,
    )
