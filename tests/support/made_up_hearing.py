"""Recognisers that hear what a test says: decisions are tried with made-up numbers, without a network or a voice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples, silence
from handsfree.hearing.listening.endpoints import Segment
from handsfree.hearing.recogniser import Bias, Meaning
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.utterance import Alternative, RecognitionResult

TALK = "What it sounded like."


def heard(
    *phrases: str,
    free: str | None = None,
    gap: float | None = 0.5,
    margin: float | None = 2.0,
    log_odds: float | None = 6.0,
    apart: float = 0.4,
) -> RecognitionResult:
    """``phrases`` are the best first, each ``apart`` in score from the one before; ``free`` is what would have been
    written without the grammar (None: the first phrase itself)."""
    alternatives = tuple(Alternative(tuple(phrase.split()), -0.5 - i * apart) for i, phrase in enumerate(phrases))
    written = (phrases or (TALK,))[0].capitalize() + "." if free is None else free
    return RecognitionResult("test", alternatives, written, gap, margin, log_odds)


@dataclass(frozen=True)
class Asked:
    """What a recogniser was asked to hear."""

    sound: Samples
    meaning: Meaning
    commands: bool
    bias: Bias | None


class MadeUpRecogniser:
    """Hears the ``results`` one after the other, and the last of them from then on, as far as they may be meant."""

    name = "test"

    def __init__(self, *results: RecognitionResult) -> None:
        self._results = results
        self.asked: list[Asked] = []
        self.grammars: list[WordAutomaton] = []

    def set_grammar(self, automaton: WordAutomaton) -> None:
        self.grammars.append(automaton)

    def missing_words(self, words: Iterable[str]) -> list[str]:
        return []

    def recognise(
        self, sound: Samples, meaning: Meaning, *, commands: bool = True, bias: Bias | None = None
    ) -> RecognitionResult:
        self.asked.append(Asked(sound, meaning, commands, bias))
        result = self.result_of(sound)
        kept = tuple(a for a in result.alternatives if commands and meaning(a.words) is not None)
        return replace(result, alternatives=kept)

    def result_of(self, sound: Samples) -> RecognitionResult:
        return self._results[min(len(self.asked), len(self._results)) - 1]


PAUSE = 0.3
_SECONDS = 0.4
_LEVEL = 0.3
_STEP = 0.01
_LETTERS = "abcdefgh"


def spoken(letters: str, *, pause: float = PAUSE, end: float | None = None) -> Segment:
    """An utterance of stretches that stand for what was said ("ab": two of them), with a ``pause`` between each; it
    ends at ``end`` seconds where its length does not matter."""
    parts = [silence(pause)]
    for letter in letters:
        level = _LEVEL + _STEP * _LETTERS.index(letter)
        parts += [np.full(round(_SECONDS * SAMPLE_RATE), level, np.float32), silence(pause)]
    sound = np.concatenate(parts)
    return Segment(sound, 0.0, len(sound) / SAMPLE_RATE if end is None else end)


class HearsStretches(MadeUpRecogniser):
    """Hears what ``said`` has for the stretches in the sound; for what is not there, nothing."""

    def __init__(self, said: Mapping[str, RecognitionResult]) -> None:
        super().__init__()
        self._said = said
        self.stretches: list[str] = []

    def result_of(self, sound: Samples) -> RecognitionResult:
        numbers = np.where(np.abs(sound) > _LEVEL / 2, np.round((sound - _LEVEL) / _STEP), -1)
        changes = numbers[np.flatnonzero(np.diff(numbers, prepend=-1.0))]
        letters = "".join(_LETTERS[int(number)] for number in changes if number >= 0)
        self.stretches.append(letters)
        return self._said.get(letters, RecognitionResult("test"))
