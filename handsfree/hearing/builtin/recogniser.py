"""The recogniser that works straight after installation: a small neural model held to the grammar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.audio.weights import verified_meanwhile
from handsfree.hearing.builtin.beam import SearchSettings, beam_search
from handsfree.hearing.builtin.decoder import Decoder
from handsfree.hearing.builtin.model_files import INSTALL_HANDSFREE, INSTALL_MOONSHINE, ModelFiles, find_model_files
from handsfree.hearing.builtin.nbest import MeaningHypothesis, by_meaning
from handsfree.hearing.builtin.rescoring import FirstReading, read_again, worth_a_second_reading
from handsfree.hearing.builtin.second_reader import LONGEST_SOUND, WRITES, SecondReader
from handsfree.hearing.builtin.tokens import FIRST_MERGE, SPACE, Tokenizer
from handsfree.hearing.builtin.trie import SOUNDS_LIKE, Spelling, TrieNode, build
from handsfree.hearing.recogniser import Bias, Meaning
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.grammar import automaton, either, seq
from handsfree.phrases.utterance import Alternative, RecognitionResult
from handsfree.phrases.written import phrases_written

LONGEST_SECONDS = 30.0
"""The model was not made for longer stretches; what is beyond is left out."""

WRITTEN = {**SOUNDS_LIKE, **{word: (*SOUNDS_LIKE.get(word, ()), *words) for word, words in WRITES.items()}}
"""The grammar's words for what the second reader may write in their place."""


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
        second: SecondReader | None = None,
    ) -> None:
        files = files or find_model_files(trained=trained)
        self.name = "builtin" if trained else "untrained"
        self.settings = settings or SearchSettings()
        self._alternatives = alternatives
        self._second = second
        with (
            verified_meanwhile(files.sha256, INSTALL_MOONSHINE),
            verified_meanwhile(files.trained_sha256, INSTALL_HANDSFREE),
        ):
            self._tokenizer = Tokenizer.from_file(files.tokenizer)
            self._decoder = Decoder(files)
        self.files = files
        self._spelling = Spelling(self._tokenizer)
        self._start: TrieNode | None = None
        self._automaton: WordAutomaton | None = None

    @property
    def has_second(self) -> bool:
        """Whether a second reader is asked where there is doubt."""
        return self._second is not None

    def hear_with(self, values: Mapping[str, Samples]) -> None:
        """From now on these stand in place of weights of the encoder, as a voice was learned (none: as it came)."""
        self._decoder.hear_with(values)

    def set_grammar(self, automaton: WordAutomaton) -> None:
        self._automaton = automaton
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
        if self._second is not None:
            self._second.listen(np.zeros(SAMPLE_RATE, np.float32)).log_probabilities([("next",)])

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

        def sought(phrases: Sequence[tuple[str, ...]]) -> list[MeaningHypothesis]:
            start = build(automaton(either(*(seq(*words) for words in phrases))), self._spelling)
            sought_phrases = beam_search(self._decoder, begun, seconds, start, self.settings)
            return by_meaning(sought_phrases.phrases, meaning, bias, exponent)

        first, opinion = FirstReading(usable, text, result.free_log_probability, self.settings), None
        if self._second is not None and len(sound) <= LONGEST_SOUND * SAMPLE_RATE and worth_a_second_reading(first):
            usable, opinion = read_again(first, self._second.listen(sound), meaning, self._written, sought)
        best, last = usable[0], FirstReading(usable, text, result.free_log_probability, self.settings)
        return RecognitionResult(
            self.name,
            tuple(
                Alternative(hypothesis.phrase.words, hypothesis.score) for hypothesis in usable[: self._alternatives]
            ),
            text,
            gap=last.gap(best),
            margin=last.margin,
            log_odds=min([self.settings.drop, *(best.total - hypothesis.total for hypothesis in usable[1:])]),
            second=opinion,
        )

    def _written(self, text: str) -> list[tuple[str, ...]]:
        assert self._automaton is not None
        return phrases_written(text, self._automaton, WRITTEN)
