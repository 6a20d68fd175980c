"""What a bench does to a voice before it reaches the microphone: noise, distance, a mask."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from handsfree.audio.noise import hum, pink
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.listening.denoise import loud_level
from tests.support.hearing_sounds import Sound, in_room

Condition = Callable[[Sound, np.random.Generator], Sound]
"""Dry speech in, what the microphone hears out (with room before and after)."""


def shaped(sound: Sound, corners: list[tuple[float, float]]) -> Sound:
    """``sound`` through a filter given as (frequency in Hz, gain in dB), straight lines between."""
    spectrum = np.fft.rfft(sound)
    frequencies, gains = zip(*corners, strict=True)
    gain = np.interp(np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE), frequencies, gains)
    return np.fft.irfft(spectrum * 10 ** (gain / 20), len(sound))


def whispered(sound: Sound, rng: np.random.Generator) -> Sound:
    """The voice's spectrum, frame by frame, on noise in place of its pitch, with less of the low tones."""
    frame, hop = 512, 128
    window = np.sqrt(np.hanning(frame + 1)[:frame])
    padded = np.pad(sound, frame)
    out = np.zeros(len(padded) + frame)
    for start in range(0, len(padded) - frame, hop):
        magnitude = np.abs(np.fft.rfft(padded[start : start + frame] * window))
        envelope = np.convolve(magnitude, np.hanning(9) / np.hanning(9).sum(), "same")
        phases = np.exp(2j * np.pi * rng.random(len(envelope)))
        out[start : start + frame] += np.fft.irfft(envelope * phases, frame) * window
    return shaped(out[frame : frame + len(sound)], [(0, -20), (300, -15), (1000, 0), (8000, 0)])


def shouted(sound: Sound) -> Sound:
    """More of the high tones, and an input that clips."""
    loud = shaped(sound, [(0, -6), (500, 0), (1500, 8), (4000, 6), (8000, 0)])
    return np.clip(loud / np.abs(loud).max() * 3, -1, 1)


def _noisy(noise: Callable[[int, np.random.Generator], Sound], decibels: float) -> Condition:
    def apply(sound: Sound, rng: np.random.Generator) -> Sound:
        room = in_room(sound, rng)
        speech = sound / max(float(np.abs(sound).max()), 1e-9) * 0.3
        level = loud_level(speech.astype(np.float32)) / 10 ** (decibels / 20)
        return (room + noise(len(room), rng) * level).astype(np.float32)

    return apply


NOISES: Mapping[str, Condition] = {
    "clean": in_room,
    "pink 20 dB": _noisy(pink, 20),
    "pink 10 dB": _noisy(pink, 10),
    "hum 10 dB": _noisy(hum, 10),
}

STYLES: Mapping[str, Condition] = {
    "whispered": lambda sound, rng: in_room(whispered(sound, rng), rng),
    "shouted": lambda sound, rng: in_room(shouted(sound), rng),
    "ear defenders": lambda sound, rng: in_room(
        shaped(sound, [(0, 6), (250, 6), (1000, 0), (2000, -8), (8000, -20)]), rng
    ),
    "mask": lambda sound, rng: in_room(shaped(sound, [(0, 0), (1500, 0), (3000, -6), (8000, -12)]), rng),
}
"""Ways of speaking, imitated by filters: they stand in for people, and are no more than that."""
