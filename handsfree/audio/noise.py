"""The steady noises of a bench, computed: by them hearing is tried, and learns what a voice is like in noise."""

from __future__ import annotations

from typing import Any

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE

Noise = np.ndarray[Any, np.dtype[np.float64]]


def pink(length: int, rng: np.random.Generator) -> Noise:
    """Pink noise of unit power."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), 1))
    noise = np.fft.irfft(spectrum, length)
    return np.asarray(noise / noise.std())


def hum(length: int, rng: np.random.Generator) -> Noise:
    """Mains hum, 100 Hz and its overtones, of unit power."""
    time = np.arange(length) / SAMPLE_RATE
    sound = sum(np.sin(2 * np.pi * 100 * n * time + rng.uniform(0, 2 * np.pi)) / n for n in range(1, 9))
    return np.asarray(sound / np.std(sound))
