"""The recogniser that works straight after installation: a small neural model held to the grammar."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

import numpy as np

from handsfree.hearing.beam import Phrase, SearchSettings, search
from handsfree.hearing.decoder import Decoder
from handsfree.hearing.model_files import ModelFiles, find_model_files
from handsfree.hearing.recogniser import Favour, Meaning, Sound
from handsfree.hearing.recording import RATE
from handsfree.hearing.tokens import FIRST_MERGE, SPACE, Tokenizer
from handsfree.hearing.trie import Node, Spelling, build
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.utterance import Alternative, Heard

LONGEST_SECONDS = 30.0
"""The model was not made for longer stretches; what is beyond is left out."""


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
    ) -> None:
        files = files or find_model_files()
        self.settings = settings or SearchSettings()
        self._alternatives = alternatives
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
        )


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
