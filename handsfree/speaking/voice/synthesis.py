"""Speech from text, sentence by sentence, with what was spoken or prepared kept at hand."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterable, Iterator
from functools import lru_cache

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples, seconds_of, silence
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice.engine import Job, VoiceEngine, VoiceKind, shared_engine
from handsfree.speaking.voice.pronounce import for_the_ear
from handsfree.speaking.voice.sentences import pieces

__all__ = ["NORMAL_RATE", "SAMPLE_RATE", "Synthesiser", "guessed_seconds"]

NORMAL_RATE = 170
"""Words per minute, unless another rate is asked for."""

_PAUSE = 0.22
_MOST_WAITING = 200
_CHARACTERS_PER_WORD = 5.6


def guessed_seconds(text: str, words_per_minute: int = NORMAL_RATE) -> float:
    """How long ``text`` will take to say, from its length alone (seconds)."""
    return len(text) / _CHARACTERS_PER_WORD * 60 / words_per_minute


@lru_cache(maxsize=512)
def _spoken_pieces(text: str) -> tuple[str, ...]:
    return tuple(pieces(for_the_ear(text)))


class Synthesiser:
    """Turns text into mono samples at SAMPLE_RATE. All instances of a kind of voice share one engine.

    ``cache_seconds`` of sound are kept, the least recently used go first. Safe to use from several threads.
    """

    def __init__(self, cache_seconds: float = 300.0, *, voice: VoiceKind = "neural") -> None:
        """Wait until the engine is there; SpeakingError says in one sentence why there is none."""
        self._engine: VoiceEngine = shared_engine(voice)
        self._engine.wait_until_ready()
        self._most = round(cache_seconds * SAMPLE_RATE)
        self._held = 0
        self._kept: OrderedDict[Job, Samples] = OrderedDict()
        self._lock = threading.Lock()

    @property
    def note(self) -> str:
        """One line that says which voice speaks in place of the one asked for, and why; empty where none does."""
        return self._engine.note

    @staticmethod
    def available() -> bool:
        """Whether a voice engine can be had here."""
        try:
            shared_engine().wait_until_ready()
        except SpeakingError:
            return False
        return True

    def render(self, text: str, words_per_minute: int = NORMAL_RATE) -> Samples:
        """``text`` spoken, without silence at its ends; empty where there is nothing that can be said.

        Raises SpeakingError where the engine fails.
        """
        parts = list(self.stream(text, words_per_minute))
        return np.concatenate(parts) if parts else silence(0)

    def stream(self, text: str, words_per_minute: int = NORMAL_RATE) -> Iterator[Samples]:
        """The same piece by piece (sentences and the pauses between them), each rendered when it is asked for."""
        for number, piece in enumerate(_spoken_pieces(text)):
            if number:
                yield silence(_PAUSE)
            yield self._piece(Job(piece, words_per_minute))

    def seconds(self, text: str, words_per_minute: int = NORMAL_RATE) -> float:
        """How long ``text`` will take: exact for what is kept, by the length of the text for the rest."""
        total = 0.0
        for number, piece in enumerate(_spoken_pieces(text)):
            with self._lock:
                kept = self._kept.get(Job(piece, words_per_minute))
            total += seconds_of(kept) if kept is not None else guessed_seconds(piece, words_per_minute)
            total += _PAUSE if number else 0.0
        return total

    def prepare(self, texts: Iterable[str], words_per_minute: int = NORMAL_RATE) -> None:
        """Render ``texts`` in the background so that they start at once when they are wanted; returns immediately."""
        jobs = [Job(piece, words_per_minute) for text in texts for piece in _spoken_pieces(text)]
        with self._lock:
            jobs = [job for job in jobs if job not in self._kept]
        if jobs:
            self._engine.render_ahead(jobs, self._keep, _MOST_WAITING)

    @property
    def seconds_kept(self) -> float:
        """How many seconds of sound are kept now."""
        return self._held / SAMPLE_RATE

    def _piece(self, job: Job) -> Samples:
        with self._lock:
            kept = self._kept.get(job)
            if kept is not None:
                self._kept.move_to_end(job)
                return kept
        samples = self._engine.render(job)
        self._keep(job, samples)
        return samples

    def _keep(self, job: Job, samples: Samples) -> None:
        samples.setflags(write=False)
        with self._lock:
            if job not in self._kept:
                self._held += len(samples)
            self._kept[job] = samples
            self._kept.move_to_end(job)
            while self._held > self._most and self._kept:
                self._held -= len(self._kept.popitem(last=False)[1])
