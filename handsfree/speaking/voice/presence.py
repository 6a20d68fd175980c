"""A lift of the band in which speech carries its consonants: what is needed in noise before more volume is."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples

LOW, HIGH = 1000.0, 4000.0
"""Hertz: between these the lift is whole; it is gone half an octave beyond."""

_TAPS = 63
_STEP = 0.5


def lifted(samples: Samples, decibels: float) -> Samples:
    """``samples`` with the band between LOW and HIGH raised by ``decibels`` (to the half), the rest as it is."""
    steps = round(decibels / _STEP)
    if not steps or not len(samples):
        return samples
    longer = np.convolve(samples, _taps(steps * _STEP))
    return np.asarray(longer[_TAPS // 2 : _TAPS // 2 + len(samples)], dtype=np.float32)


@lru_cache(maxsize=64)
def _taps(decibels: float) -> Samples:
    """A filter of linear phase with this lift."""
    size = 1024
    frequency = np.fft.rfftfreq(size, 1 / SAMPLE_RATE)
    octaves = np.log2(np.maximum(frequency, 1.0))
    edges = np.log2([LOW]) - 0.5, np.log2([LOW]), np.log2([HIGH]), np.log2([HIGH]) + 0.5
    gain = 10 ** (np.interp(octaves, np.concatenate(edges), [0.0, decibels, decibels, 0.0]) / 20)
    taps = np.roll(np.fft.irfft(gain, size), _TAPS // 2)[:_TAPS] * np.hamming(_TAPS)
    return np.asarray(taps, dtype=np.float32)
