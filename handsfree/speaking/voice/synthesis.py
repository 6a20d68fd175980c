"""Speech from text, sentence by sentence, with what was spoken or prepared kept at hand."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterable, Iterator

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples, seconds_of, silence
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice.delivery import Stretch, delivered
from handsfree.speaking.voice.engine import Job, VoiceEngine, VoiceKind, shared_engine

__all__ = ["NORMAL_RATE", "SAMPLE_RATE", "Synthesiser", "guessed_seconds"]

NORMAL_RATE = 170
"""Words per minute, unless another rate is asked for."""

_MOST_WAITING = 200
_CHARACTERS_PER_WORD = 5.6


def guessed_seconds(text: str, words_per_minute: int = NORMAL_RATE) -> float:
    """How long ``text`` will take to say, from its length alone (seconds)."""
    return len(text) / _CHARACTERS_PER_WORD * 60 / words_per_minute


def _job(part: Stretch, words_per_minute: int) -> Job:
    return Job(part.text, round(words_per_minute * part.pace), part.second)


class Synthesiser:
    """Turns text into mono samples at SAMPLE_RATE. All instances of a kind of voice share one engine.

    ``cache_seconds`` of sound are kept, the least recently used go first. Safe to use from several threads.
    """

    def __init__(self, cache_seconds: float = 300.0, *, voice: VoiceKind = "neural", two_voices: bool = True) -> None:
        """Wait until the engine is there; SpeakingError says in one sentence why there is none.

        With ``two_voices`` dangers and questions are spoken in another voice than the rest.
        """
        self._two_voices = two_voices
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

    def render(self, text: str, words_per_minute: int = NORMAL_RATE, *, carefully: bool = False) -> Samples:
        """``text`` spoken, without silence at its ends; empty where there is nothing that can be said.

        ``carefully``: with its figures digit by digit. Raises SpeakingError where the engine fails.
        """
        parts = list(self.stream(text, words_per_minute, carefully=carefully))
        return np.concatenate(parts) if parts else silence(0)

    def stream(self, text: str, words_per_minute: int = NORMAL_RATE, *, carefully: bool = False) -> Iterator[Samples]:
        """The same piece by piece (phrases and the rests between them), each rendered when it is asked for."""
        for part in delivered(text, carefully, self._two_voices):
            if part.rest:
                yield silence(part.rest)
            yield self._piece(_job(part, words_per_minute))

    def seconds(self, text: str, words_per_minute: int = NORMAL_RATE, *, carefully: bool = False) -> float:
        """How long ``text`` will take: exact for what is kept, by the length of the text for the rest."""
        total = 0.0
        for part in delivered(text, carefully, self._two_voices):
            job = _job(part, words_per_minute)
            with self._lock:
                kept = self._kept.get(job)
            total += seconds_of(kept) if kept is not None else guessed_seconds(job.text, job.words_per_minute)
            total += part.rest
        return total

    def prepare(self, texts: Iterable[str], words_per_minute: int = NORMAL_RATE) -> None:
        """Render ``texts`` in the background so that they start at once when they are wanted; returns immediately."""
        jobs = [_job(part, words_per_minute) for text in texts for part in delivered(text, False, self._two_voices)]
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
