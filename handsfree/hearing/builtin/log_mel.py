"""The features that the second reader's network was made for: loudness in mel bands over time.

As the network's paper has it (Radford and others, "Robust Speech Recognition via Large-Scale Weak Supervision", 2022):
80 bands, 25 ms every 10 ms; the scale is that of Slaney's Auditory Toolbox (1998). Both from memory.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples

Float64Array = np.ndarray[Any, np.dtype[np.float64]]
BANDS = 80
WINDOW = 400
HOP = 160
"""Samples at 16 kHz: 25 ms, every 10 ms."""
FLOOR = 8.0
"""Powers of ten below the loudest; what is quieter is taken for that."""


def log_mel(sound: Samples, seconds: float) -> Samples:
    """Shape (80, frames) of ``sound`` (mono, 16 kHz), cut or filled to ``seconds``; a hundred frames a second."""
    length = round(seconds * SAMPLE_RATE)
    filled = np.pad(sound[:length], (0, max(0, length - len(sound))))
    padded = np.pad(filled, WINDOW // 2, mode="reflect")
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP][: length // HOP]
    power = np.square(np.abs(np.fft.rfft(frames * np.hanning(WINDOW + 1)[:WINDOW], axis=1)))
    levels = np.log10(np.maximum(_filters() @ power.T, 1e-10))
    levels = np.maximum(levels, levels.max() - FLOOR)
    return np.ascontiguousarray((levels + 4) / 4, dtype=np.float32)


@cache
def _filters() -> Float64Array:
    """Triangles on Slaney's mel scale, even to 1 kHz and logarithmic above, each of unit area; (bands, frequencies)."""
    frequencies = np.fft.rfftfreq(WINDOW, 1 / SAMPLE_RATE)
    corners = _hertz(np.linspace(0.0, _mel(SAMPLE_RATE / 2), BANDS + 2))
    rising = (frequencies - corners[:-2, None]) / (corners[1:-1] - corners[:-2])[:, None]
    falling = (corners[2:, None] - frequencies) / (corners[2:] - corners[1:-1])[:, None]
    heights = 2 / (corners[2:] - corners[:-2])
    return np.asarray(np.maximum(0, np.minimum(rising, falling)) * heights[:, None])


def _mel(hertz: float) -> float:
    return hertz * 3 / 200 if hertz < 1000 else 15 + 27 * float(np.log(hertz / 1000) / np.log(6.4))


def _hertz(mel: Float64Array) -> Float64Array:
    return np.where(mel < 15, mel * 200 / 3, 1000 * np.exp(np.log(6.4) / 27 * (mel - 15)))
