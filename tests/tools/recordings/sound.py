"""Sound as plain arrays: levels, silence at the ends, files. Mono float32 at 16 kHz throughout."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

RATE = 16_000
Sound = np.ndarray[Any, np.dtype[np.float32]]
Floats = np.ndarray[Any, np.dtype[np.floating[Any]]]

SPEECH_LEVEL = 10 ** (-25 / 20)
"""Root mean square of speech, of full scale."""
BITS = 12
"""Bits that are kept of each sample: 72 dB are plenty, and the files are half as large as with 16."""


def resampled(sound: Sound, rate: int) -> Sound:
    """``sound``, sampled at ``rate`` per second, at 16 kHz."""
    return np.asarray(sound if rate == RATE else soxr.resample(sound, rate, RATE), np.float32)


def level(sound: Floats) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(np.square(sound, dtype=np.float64))))


def trimmed(sound: Sound, floor: float = 0.004, margin: float = 0.1) -> Sound:
    """``sound`` without the quiet at its ends: under ``floor`` of its loudest, but for ``margin`` seconds.

    Both are generous: a "th" or an "f" at the beginning is very soft.
    """
    block = RATE // 100
    loudness = np.array([np.abs(sound[at : at + block]).max(initial=0.0) for at in range(0, len(sound), block)])
    loud = np.flatnonzero(loudness > floor * loudness.max(initial=0.0))
    if not len(loud):
        raise ValueError("there is nothing but silence in this sound")
    around = round(margin * RATE)
    return sound[max(0, loud[0] * block - around) : (loud[-1] + 1) * block + around]


def speech(sound: Sound) -> Sound:
    """Speech as synthesised, trimmed and brought to the one level, its ends faded in and out (5 ms)."""
    sound = trimmed(sound)
    # Pauses inside a sentence would make it too loud, so the level is that of the louder half of its pieces.
    pieces = sorted(level(sound[at : at + 320]) for at in range(0, len(sound), 320))
    loud = float(np.sqrt(np.mean(np.square(pieces[len(pieces) // 2 :]))))
    sound = np.clip(sound * (1.4 * SPEECH_LEVEL / loud), -0.95, 0.95)
    ramp = np.linspace(0, 1, RATE // 200, dtype=np.float32)
    sound[: len(ramp)] *= ramp
    sound[-len(ramp) :] *= ramp[::-1]
    return sound.astype(np.float32)


def between_silences(sound: Sound, before: float = 0.5, after: float = 0.4) -> Sound:
    """``sound`` with silence at both ends, in seconds."""
    return np.pad(sound, (round(before * RATE), round(after * RATE)))


def mixed(sound: Sound, noise: Sound, decibels: float) -> Sound:
    """``sound`` with ``noise`` (as long or longer) so far under the speech level."""
    noise = noise[: len(sound)]
    return (sound + noise * (SPEECH_LEVEL / level(noise) * 10 ** (-decibels / 20))).astype(np.float32)


def save(path: Path, sound: Sound, rate: int = RATE) -> None:
    """Writes a FLAC or WAV file of 16-bit samples of which the lowest bits are zero; channels are columns."""
    scale = 2 ** (BITS - 1)
    steps = np.clip(np.round(sound * scale), -scale, scale - 1).astype(np.int16)
    path.parent.mkdir(parents=True, exist_ok=True)
    soundfile.write(path, steps << (16 - BITS), rate, subtype="PCM_16", **_compression(path))


def _compression(path: Path) -> dict[str, float]:
    return {"compression_level": 1.0} if path.suffix == ".flac" else {}
