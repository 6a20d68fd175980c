"""The recogniser that works straight after installation: a small neural model held to the grammar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.audio.weights import verified_meanwhile
from handsfree.hearing.builtin.beam import SearchSettings, beam_search
from handsfree.hearing.builtin.decoder import Decoder
from handsfree.hearing.builtin.model_files import INSTALL_HANDSFREE, INSTALL_MOONSHINE, ModelFiles, find_model_files
from handsfree.hearing.builtin.nbest import by_meaning
from handsfree.hearing.builtin.tokens import FIRST_MERGE, SPACE, Tokenizer
from handsfree.hearing.builtin.trie import Spelling, TrieNode, build
from handsfree.hearing.recogniser import Bias, Meaning
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.utterance import Alternative, RecognitionResult

LONGEST_SECONDS = 30.0
"""The model was not made for longer stretches; what is beyond is left out."""


class BuiltinRecogniser:
    """Closed-grammar decoding of a small English model, its encoder trained for the bench.

    Raises SoundError on construction where the model is not installed or another than the one known here.
    """

    def __init__(
        self,
        files: ModelFiles | None = None,
        *,
        trained: bool = True,
        settings: SearchSettings | None = None,
        alternatives: int = 8,
    ) -> None:
        files = files or find_model_files(trained=trained)
        self.name = "builtin" if trained else "untrained"
        self.settings = settings or SearchSettings()
        self._alternatives = alternatives
        with (
            verified_meanwhile(files.sha256, INSTALL_MOONSHINE),
            verified_meanwhile(files.trained_sha256, INSTALL_HANDSFREE),
        ):
            self._tokenizer = Tokenizer.from_file(files.tokenizer)
            self._decoder = Decoder(files)
        self.files = files
        self._spelling = Spelling(self._tokenizer)
        self._start: TrieNode | None = None

    def hear_with(self, values: Mapping[str, Samples]) -> None:
        """From now on these stand in place of weights of the encoder, as a voice was learned (none: as it came)."""
        self._decoder.hear_with(values)

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
        beam_search(
            self._decoder, self._decoder.start(np.zeros(SAMPLE_RATE, np.float32)), 1.0, self._start, self.settings
        )

    def recognise(
        self, sound: Samples, meaning: Meaning, *, commands: bool = True, bias: Bias | None = None
    ) -> RecognitionResult:
        sound = sound[: int(LONGEST_SECONDS * SAMPLE_RATE)]
        begun, seconds = self._decoder.start(sound), len(sound) / SAMPLE_RATE
        result = beam_search(self._decoder, begun, seconds, self._start if commands else None, self.settings)
        text = self._tokenizer.decode(result.free_tokens)
        exponent = self.settings.length_exponent
        usable = by_meaning(result.phrases, meaning, bias, exponent)
        if not usable:
            return RecognitionResult(self.name, free_text=text)
        best, others = usable[0], usable[1:]
        # Where the search has left no other meaning, it was at least ``drop`` less likely.
        alone = self.settings.drop / best.phrase.length**exponent
        return RecognitionResult(
            self.name,
            tuple(Alternative(each.phrase.words, each.score) for each in usable[: self._alternatives]),
            text,
            gap=(result.free_log_probability - best.phrase.log_probability) / len(best.phrase.words),
            margin=best.score - others[0].score if others else alone,
            log_odds=min([self.settings.drop, *(best.total - each.total for each in others)]),
        )
