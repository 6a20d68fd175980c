"""Clearer speech for noise: more of the band that carries the consonants, less of what carries none.

It is nearly as loud as before, and less of it is wasted: below some 300 Hz a small loudspeaker gives little anyway, and
a bench's noise is strongest. ``python -m tests.benchmarks.voice --following`` measures what it is worth.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples

LOW, HIGH = 1000.0, 4000.0
"""Hertz: between these the lift is whole; it is gone half an octave beyond."""
BASS = 200.0
"""Hertz: from here down the sound is lowered by as much."""

_TAPS = 127
_STEP = 0.5
_SIZE = 1024


def lifted(samples: Samples, decibels: float) -> Samples:
    """``samples`` with the band between LOW and HIGH raised, and what is below BASS lowered, by ``decibels`` (to the
    half)."""
    steps = round(decibels / _STEP)
    if not steps or not len(samples):
        return samples
    longer = np.convolve(samples, _taps(steps * _STEP))
    return np.asarray(longer[_TAPS // 2 : _TAPS // 2 + len(samples)], dtype=np.float32)


@lru_cache(maxsize=64)
def _taps(decibels: float) -> Samples:
    """A filter of linear phase that does it."""
    frequency = np.fft.rfftfreq(_SIZE, 1 / SAMPLE_RATE)
    corners = [BASS, 2 * BASS, LOW / 2**0.5, LOW, HIGH, HIGH * 2**0.5]
    raised = np.array([-1.0, -0.5, 0.0, 1.0, 1.0, 0.0]) * decibels
    gain = 10 ** (np.interp(np.log2(np.maximum(frequency, 1.0)), np.log2(corners), raised) / 20)
    taps = np.roll(np.fft.irfft(gain, _SIZE), _TAPS // 2)[:_TAPS] * np.hamming(_TAPS)
    return np.asarray(taps, dtype=np.float32)
