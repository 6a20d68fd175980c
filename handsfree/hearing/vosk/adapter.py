"""The recogniser for whoever has fetched a Vosk model: light, and sure of nothing but the words."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.errors import HearingError
from handsfree.hearing.recogniser import Bias, Meaning
from handsfree.hearing.vosk.models import how_to_get_vosk_model, is_model
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.utterance import Alternative, RecognitionResult

UNKNOWN = "[unk]"
MOST_PAIRS = 60_000
"""Pairs of words given to the engine at most; beyond that it gets single words, of which any may follow any."""


class VoskRecogniser:
    """Vosk with the model in folder ``model_path``; HearingError where it or the package can't be had."""

    name = "vosk"

    def __init__(self, model_path: Path) -> None:
        vosk = _library()
        if not is_model(model_path):
            raise HearingError(f"{model_path}: there is no unpacked Vosk model here; {how_to_get_vosk_model()}")
        vosk.SetLogLevel(-1)
        self._vosk = vosk
        try:
            self._model = vosk.Model(str(model_path))
        except Exception as error:  # the binding raises plain Exception
            raise HearingError(f"{model_path}: the Vosk model can't be loaded; unpack it again ({error}).") from error
        self._automaton: WordAutomaton | None = None
        self._closed: Any = None
        self._open: Any = None

    def missing_words(self, words: Iterable[str]) -> list[str]:
        return sorted({word for word in words if not self._knows(word)})

    def set_grammar(self, automaton: WordAutomaton) -> None:
        self._automaton = automaton
        known = {word for word in automaton.words if self._knows(word)}
        if not known:
            raise HearingError("The Vosk model knows none of the words of the commands: is it an English one?")
        chunks = grammar_chunks(automaton, known)
        if self._knows(UNKNOWN):
            chunks.append(UNKNOWN)
        self._closed = self._vosk.KaldiRecognizer(self._model, SAMPLE_RATE, json.dumps(chunks, ensure_ascii=False))

    def recognise(
        self, sound: Samples, meaning: Meaning, *, commands: bool = True, bias: Bias | None = None
    ) -> RecognitionResult:
        """Confidence is not given: the engine's own is not to be relied on."""
        if not commands or self._closed is None or self._automaton is None:
            return RecognitionResult(self.name, free_text=self._free_text(sound))
        text = _decode(self._closed, sound)
        words = tuple(text.split())
        if words and self._automaton.accepts(words) and meaning(words) is not None:
            return RecognitionResult(self.name, (Alternative(words, 0.0),), text)
        return RecognitionResult(self.name, free_text=text.replace(UNKNOWN, "").strip())

    def _free_text(self, sound: Samples) -> str:
        if self._open is None:
            self._open = self._vosk.KaldiRecognizer(self._model, SAMPLE_RATE)
        return _decode(self._open, sound)

    def _knows(self, word: str) -> bool:
        return bool(word) and int(self._model.vosk_model_find_word(word)) >= 0


def grammar_chunks(automaton: WordAutomaton, known: set[str]) -> list[str]:
    """What to give the engine, sorted: single words and the pairs of words that may follow one another.

    The engine makes a word-pair model of it, so pairs say as much as whole phrases would. Only ``known`` words.
    """
    pairs = {
        f"{word} {following}"
        for arcs in automaton.arcs
        for word, target in arcs.items()
        if word in known
        for following in automaton.arcs[target]
        if following in known
    }
    return sorted(known | pairs if len(pairs) <= MOST_PAIRS else known)


def _decode(recogniser: Any, sound: Samples) -> str:
    """The text of one whole utterance. Silences inside it may end a result early: all results count."""
    pcm = (np.clip(sound, -1.0, 1.0) * 32767).astype("<i2").tobytes()
    texts = []
    step = SAMPLE_RATE // 5 * 2
    for start in range(0, len(pcm), step):
        if recogniser.AcceptWaveform(pcm[start : start + step]):
            texts.append(json.loads(recogniser.Result())["text"])
    texts.append(json.loads(recogniser.FinalResult())["text"])
    recogniser.Reset()
    return " ".join(text for text in texts if text)


def _library() -> Any:
    try:
        import vosk  # noqa: PLC0415 - may be missing: then it is said what to install
    except (ImportError, OSError) as error:
        raise HearingError(
            "The package vosk is not installed; run: python -m pip install vosk, or use the built-in recogniser."
        ) from error
    return vosk
