"""Sounds placed on a time line, mixed together and written as one recording."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile

from handsfree.audio.samples import LIMITER_BLOCK, SAMPLE_RATE, Samples, limited
from handsfree.speaking.errors import SpeakingError

_CEILING = 0.97
_WINDOW = 20 * SAMPLE_RATE
_MARGIN = 2 * LIMITER_BLOCK


class TimeLine:
    """Sounds (mono, SAMPLE_RATE) with the times at which they begin. They are mixed only when the whole is written."""

    def __init__(self) -> None:
        self._sounds: list[tuple[int, Samples]] = []
        self._end = 0

    @property
    def seconds(self) -> float:
        """The end of the last sound."""
        return self._end / SAMPLE_RATE

    def add(self, samples: Samples, at: float) -> None:
        """Let ``samples`` begin at ``at`` seconds; what would lie before zero is left out."""
        start = round(at * SAMPLE_RATE)
        samples = np.asarray(samples, dtype=np.float32)[max(0, -start) :]
        start = max(0, start)
        if len(samples):
            self._sounds.append((start, samples))
            self._end = max(self._end, start + len(samples))

    def mixed(self) -> Iterator[Samples]:
        """The whole, window by window, its peaks turned down smoothly so that nothing clips."""
        by_window: defaultdict[int, list[tuple[int, Samples]]] = defaultdict(list)
        for start, samples in self._sounds:
            first = max(0, start - _MARGIN) // _WINDOW
            for window in range(first, (start + len(samples) + _MARGIN) // _WINDOW + 1):
                by_window[window].append((start, samples))
        for window in range(-(-self._end // _WINDOW)):
            begin = window * _WINDOW
            end = min(self._end, begin + _WINDOW)
            # With a margin on both sides the limiter does the same at a window's ends as within it.
            low, high = max(0, begin - _MARGIN), min(self._end, end + _MARGIN)
            mix = np.zeros(high - low, dtype=np.float32)
            for start, samples in by_window.pop(window, ()):
                into, out_of = max(0, start - low), max(0, low - start)
                part = samples[out_of : out_of + max(0, len(mix) - into)]
                mix[into : into + len(part)] += part
            yield limited(mix, 1.0, _CEILING)[begin - low : end - low]

    def write(self, path: Path | str) -> None:
        """Write a 16-bit mono WAV file at SAMPLE_RATE; SpeakingError where that can't be done."""
        try:
            with soundfile.SoundFile(path, "w", SAMPLE_RATE, 1, subtype="PCM_16", format="WAV") as file:
                for window in self.mixed():
                    file.write(window)
        except (OSError, soundfile.SoundFileError) as error:
            raise SpeakingError(
                f"{path}: the recording can't be written here; check that the folder exists and may be written to."
            ) from error
