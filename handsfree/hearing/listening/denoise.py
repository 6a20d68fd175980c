"""A Wiener filter against steady noise, used only where there is noise."""

from __future__ import annotations

from typing import Any

import numpy as np

from handsfree.audio.levels import level
from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.listening.endpoints import Segment

WINDOW_LENGTH = 512
WINDOW_STEP = 128
GAIN_FLOOR = 0.25
NOISY_BELOW = 18.0
"""Signal-to-noise ratio in dB below which the filter is used; a quiet bench has more than 30."""

SMOOTHING = 0.9
"""Share of the last frame in the estimate of the speech (decision-directed): more means less musical noise."""


def signal_to_noise(segment: Segment) -> float | None:
    """Speech against what preceded it, in dB; None where the noise is unknown, infinite where there is none."""
    noise = segment.noise_level
    if noise is None:
        return None
    loud = loud_level(segment.samples)
    if noise <= 1e-6:
        return float("inf")
    return float(10 * np.log10(max(loud**2 - noise**2, 1e-12) / noise**2))


def loud_level(sound: Samples) -> float:
    """Root mean square of the louder half of the 20 ms frames: of the speech, not of the pauses in it."""
    size = SAMPLE_RATE // 50
    frames = sound[: len(sound) // size * size].reshape(-1, size)
    if not len(frames):
        return level(sound)
    powers = np.sort(np.mean(np.square(frames, dtype=np.float64), axis=1))
    return float(np.sqrt(powers[len(powers) // 2 :].mean()))


def cleaned(segment: Segment, noisy_below: float = NOISY_BELOW) -> Samples:
    """The segment's samples, filtered where the noise before it is known and near the speech in level."""
    ratio = signal_to_noise(segment)
    if ratio is None or ratio >= noisy_below or len(segment.before) < WINDOW_LENGTH:
        return segment.samples
    return wiener(segment.samples, segment.before)


def wiener(sound: Samples, noise: Samples, floor: float = GAIN_FLOOR) -> Samples:
    """``sound`` with the spectrum of ``noise`` taken down, nowhere below ``floor`` of its amplitude."""
    noise_power = np.square(np.abs(_spectra(noise))).mean(axis=0) + 1e-12
    padded = np.pad(sound, (WINDOW_LENGTH, WINDOW_LENGTH))
    spectra = _spectra(padded)
    after = np.square(np.abs(spectra)) / noise_power
    gains = np.empty_like(after)
    speech = np.zeros(after.shape[1])
    for i, ratio in enumerate(after):
        prior = SMOOTHING * speech + (1 - SMOOTHING) * np.maximum(ratio - 1, 0)
        gains[i] = np.maximum(prior / (1 + prior), floor)
        speech = np.square(gains[i]) * ratio
    return _overlapped(spectra * gains, len(padded))[WINDOW_LENGTH : WINDOW_LENGTH + len(sound)].astype(np.float32)


def _window() -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.sqrt(np.hanning(WINDOW_LENGTH + 1)[:WINDOW_LENGTH])


def _spectra(sound: Samples) -> np.ndarray[Any, np.dtype[np.complex128]]:
    count = max(1, 1 + (len(sound) - WINDOW_LENGTH) // WINDOW_STEP)
    starts = np.arange(count) * WINDOW_STEP
    frames = sound[starts[:, None] + np.arange(WINDOW_LENGTH)]
    return np.fft.rfft(frames * _window(), axis=1)


def _overlapped(
    spectra: np.ndarray[Any, np.dtype[np.complex128]], length: int
) -> np.ndarray[Any, np.dtype[np.float64]]:
    frames = np.fft.irfft(spectra, WINDOW_LENGTH, axis=1) * _window()
    sound = np.zeros(length + WINDOW_LENGTH)
    for i, frame in enumerate(frames):
        sound[i * WINDOW_STEP : i * WINDOW_STEP + WINDOW_LENGTH] += frame
    return sound[:length] * (2 * WINDOW_STEP / WINDOW_LENGTH)
