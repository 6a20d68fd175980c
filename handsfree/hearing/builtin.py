"""The recogniser that works straight after installation: a small neural model held to the grammar."""

from __future__ import annotations

from collections.abc import Hashable, Iterable

import numpy as np

from handsfree.hearing.beam import Phrase, SearchSettings, search
from handsfree.hearing.decoder import Decoder
from handsfree.hearing.model_files import ModelFiles, find_model_files
from handsfree.hearing.recogniser import Meaning, Sound
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

    def recognise(self, sound: Sound, meaning: Meaning, *, commands: bool = True) -> Heard:
        sound = sound[: int(LONGEST_SECONDS * RATE)]
        start = self._start if commands else None
        result = search(self._decoder, sound, len(sound) / RATE, start, self.settings)
        text = self._tokenizer.decode(result.free_tokens)
        usable = [(phrase, meant) for phrase in result.phrases if (meant := meaning(phrase.words)) is not None]
        if not usable:
            return Heard(self.name, free_text=text)
        exponent = self.settings.length_exponent
        usable.sort(key=lambda pair: -pair[0].score(exponent))
        best = usable[0][0]
        margin, log_odds = self._doubt(usable)
        return Heard(
            self.name,
            tuple(Alternative(phrase.words, phrase.score(exponent)) for phrase, _ in usable[: self._alternatives]),
            text,
            gap=(result.free_log_probability - best.log_probability) / len(best.words),
            margin=margin,
            log_odds=log_odds,
        )

    def _doubt(self, usable: list[tuple[Phrase, Hashable]]) -> tuple[float, float]:
        """Margin and log odds of the first of ``usable`` (best first) against all of another meaning.

        Where no other meaning was left in the search, it was at least ``drop`` less likely: that is the answer then.
        """
        exponent = self.settings.length_exponent
        best, meant = usable[0]
        totals: dict[Hashable, float] = {}
        for phrase, its in usable:
            totals[its] = float(np.logaddexp(totals.get(its, -np.inf), phrase.total))
        others = [total for its, total in totals.items() if its != meant]
        log_odds = totals[meant] - max(others) if others else self.settings.drop
        for phrase, its in usable:
            if its != meant:
                return best.score(exponent) - phrase.score(exponent), min(log_odds, self.settings.drop)
        return self.settings.drop / best.length**exponent, log_odds
