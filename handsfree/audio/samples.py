"""Mono sound in memory: its rate, its trimming and its loudness."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

SAMPLE_RATE = 16_000
"""Samples per second of all sound inside the program."""

Samples: TypeAlias = np.ndarray[Any, np.dtype[np.float32]]
"""Mono float32 samples, shape (n,), full scale at plus and minus one."""

LIMITER_BLOCK = 80
"""Samples over which the limiter looks for a peak (5 ms)."""

_QUIET = 0.004
_LEAD_IN = 160
_LEAD_OUT = 480


def silence(seconds: float) -> Samples:
    """``seconds`` of nothing."""
    return np.zeros(max(0, round(seconds * SAMPLE_RATE)), dtype=np.float32)


def seconds_of(samples: Samples) -> float:
    """How long these samples last at SAMPLE_RATE."""
    return len(samples) / SAMPLE_RATE


def at_speed(samples: Samples, factor: float) -> Samples:
    """``samples`` played ``factor`` times as fast."""
    places = np.arange(int(len(samples) / factor)) * factor
    return np.asarray(np.interp(places, np.arange(len(samples)), samples), np.float32)


def trimmed(samples: Samples) -> Samples:
    """``samples`` without the silence at both ends, but for 10 ms before and 30 ms after, so that no consonant is cut.

    The result is empty where nothing rises above the quiet level (-48 dB of full scale).
    """
    loud = np.flatnonzero(np.abs(samples) > _QUIET)
    if len(loud) == 0:
        return samples[:0]
    return samples[max(0, loud[0] - _LEAD_IN) : loud[-1] + 1 + _LEAD_OUT]


def limited(samples: Samples, gain: float, ceiling: float) -> Samples:
    """``samples`` times ``gain``, turned down smoothly wherever that would go beyond ``ceiling``.

    No sample of the result exceeds the ceiling; what stays below it is only multiplied.
    """
    louder = samples if gain == 1 else np.asarray(samples * np.float32(gain), dtype=np.float32)
    if len(louder) == 0 or float(np.abs(louder).max()) <= ceiling:
        return louder
    count = -(-len(louder) // LIMITER_BLOCK)
    padded = np.zeros(count * LIMITER_BLOCK, dtype=np.float32)
    padded[: len(louder)] = np.abs(louder)
    peaks = padded.reshape(count, LIMITER_BLOCK).max(axis=1)
    allowed = np.minimum(1.0, ceiling / np.maximum(peaks, 1e-9))
    around = np.pad(allowed, 1, mode="edge")
    # The least of a block and its neighbours at each block's centre: a straight line between centres then
    # never exceeds what the block it crosses allows.
    least = np.minimum(np.minimum(around[:-2], around[1:-1]), around[2:])
    centres = (np.arange(count) + 0.5) * LIMITER_BLOCK
    envelope = np.interp(np.arange(len(louder)), centres, least)
    return np.asarray(np.clip(louder * envelope, -ceiling, ceiling), dtype=np.float32)


def faded_out(samples: Samples, seconds: float = 0.01) -> Samples:
    """A copy of ``samples`` whose last ``seconds`` fall to zero, so that a cut doesn't click."""
    copy: Samples = samples.copy()
    count = min(len(copy), round(seconds * SAMPLE_RATE))
    if count:
        copy[-count:] *= np.linspace(1.0, 0.0, count, dtype=np.float32)
    return copy
