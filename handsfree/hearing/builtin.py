"""The recogniser that works straight after installation: a small neural model held to the grammar."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace

import numpy as np

from handsfree.hearing.beam import Phrase, SearchSettings, search
from handsfree.hearing.decoder import Decoder
from handsfree.hearing.model_files import ModelFiles, find_model_files
from handsfree.hearing.recogniser import Favour, Meaning, Sound
from handsfree.hearing.recording import RATE
from handsfree.hearing.second_reader import LONGEST, SecondReader
from handsfree.hearing.tokens import FIRST_MERGE, SPACE, Tokenizer
from handsfree.hearing.trie import Node, Spelling, build
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.utterance import Alternative, Heard

LONGEST_SECONDS = 30.0
"""The model was not made for longer stretches; what is beyond is left out."""

CERTAIN = 2.5
"""A margin from which on no second reading is asked for."""
READ_AGAIN = 8
"""Meanings that are read a second time."""
SECOND_WEIGHT = 0.7
"""Of the second reading against the first; between 0.5 and 1 it hardly matters."""
GAP_WEIGHT = 0.5
READING_WEIGHT = 0.2
"""What a phrase that fits the sound badly, by the first reading and by the second, takes from its certainty."""


class BuiltinRecogniser:
    """Closed-grammar decoding of the packaged English model.

    Raises HearingError on construction where the model is not installed.
    """

    name = "builtin"

    def __init__(
        self,
        files: ModelFiles | None = None,
        *,
        settings: SearchSettings | None = None,
        alternatives: int = 8,
        second: SecondReader | None = None,
    ) -> None:
        files = files or find_model_files()
        self.settings = settings or SearchSettings()
        self._alternatives = alternatives
        self._second = second
        self._tokenizer = Tokenizer.from_file(files.tokenizer)
        self._spelling = Spelling(self._tokenizer)
        self._decoder = Decoder(files)
        self._start: Node | None = None

    def set_grammar(self, automaton: WordAutomaton) -> None:
        self._start = build(automaton, self._spelling)

    def missing_words(self, words: Iterable[str]) -> list[str]:
        """Words with letters outside the model's pieces (it spells in pieces, so any English word is known)."""
        return sorted(
            {
                word
                for word in words
                if not word or any(token < FIRST_MERGE for token in self._tokenizer.encode(SPACE + word))
            }
        )

    def warm_up(self) -> None:
        """Runs the networks once, so that the first utterance is not slower than the rest."""
        search(self._decoder, np.zeros(RATE, np.float32), 1.0, self._start, self.settings)
        if self._second is not None:
            self._second.log_probabilities(np.zeros(RATE, np.float32), [("next",)])

    def recognise(
        self, sound: Sound, meaning: Meaning, *, commands: bool = True, favour: Favour | None = None
    ) -> Heard:
        sound = sound[: int(LONGEST_SECONDS * RATE)]
        start = self._start if commands else None
        result = search(self._decoder, sound, len(sound) / RATE, start, self.settings)
        text = self._tokenizer.decode(result.free_tokens)
        exponent = self.settings.length_exponent
        usable = _by_meaning(result.phrases, meaning, favour, exponent)
        if not usable:
            return Heard(self.name, free_text=text)
        certainty = None
        if commands and self._worth_a_second_reading(sound, usable):
            usable, certainty = self._read_again(sound, usable, result.free_log_probability)
        best, other = usable[0], usable[1] if len(usable) > 1 else None
        drop = self.settings.drop
        # Where no other meaning was left in the search, it was at least ``drop`` less likely.
        margin = best.score - other.score if other else drop / best.phrase.length**exponent
        log_odds = min([drop, *(best.total - each.total for each in usable[1:])])
        return Heard(
            self.name,
            tuple(Alternative(each.phrase.words, each.score) for each in usable[: self._alternatives]),
            text,
            gap=(result.free_log_probability - best.phrase.log_probability) / len(best.phrase.words),
            margin=margin,
            log_odds=log_odds,
            certainty=certainty,
        )

    def _worth_a_second_reading(self, sound: Sound, usable: list[_Meant]) -> bool:
        """Whether there is a second reader, and something to decide that it can hear."""
        if self._second is None or len(usable) < 2 or len(sound) > LONGEST * RATE:
            return False
        return usable[0].score - usable[1].score < CERTAIN

    def _read_again(self, sound: Sound, usable: list[_Meant], free: float) -> tuple[list[_Meant], float]:
        """The likeliest meanings by both readings together, and how certain the first of them is."""
        assert self._second is not None
        usable = usable[:READ_AGAIN]
        readings = self._second.log_probabilities(sound, [each.phrase.words for each in usable])
        exponent = self.settings.length_exponent
        both = [
            replace(
                each,
                score=each.score + SECOND_WEIGHT * reading / each.phrase.length**exponent,
                total=each.total + SECOND_WEIGHT * reading,
            )
            for each, reading in zip(usable, readings, strict=True)
        ]
        first = max(range(len(both)), key=lambda i: both[i].score)
        others = [i for i in range(len(both)) if i != first]
        words = len(both[first].phrase.words)
        certainty = (
            (usable[first].score - max(usable[i].score for i in others))
            + (both[first].score - max(both[i].score for i in others))
            - GAP_WEIGHT * min(4.0, max(0.0, (free - usable[first].phrase.log_probability) / words))
            + READING_WEIGHT * max(-6.0, readings[first] / words)
        )
        return sorted(both, key=lambda each: -each.score), certainty


@dataclass
class _Meant:
    """The likeliest phrase of one meaning, its score, and the log probability of all phrases that mean the same."""

    phrase: Phrase
    score: float
    total: float


def _by_meaning(phrases: Iterable[Phrase], meaning: Meaning, favour: Favour | None, exponent: float) -> list[_Meant]:
    """The phrases' meanings, best first."""
    found: dict[Hashable, _Meant] = {}
    for phrase in phrases:
        its = meaning(phrase.words)
        if its is None:
            continue
        bonus = favour(phrase.words) if favour else 0.0
        score, total = phrase.score(exponent) + bonus / phrase.length**exponent, phrase.total + bonus
        known = found.get(its)
        if known is None:
            found[its] = _Meant(phrase, score, total)
            continue
        known.total = float(np.logaddexp(known.total, total))
        if score > known.score:
            known.phrase, known.score = phrase, score
    return sorted(found.values(), key=lambda each: -each.score)
