"""What a stretch of sound from a bench is like: how loud, how noisy, whether it hums or clips."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples

CLIPPED = 0.985
CLIPPING_SHARE = 0.0005
NOISY = -40.0
"""Noise in dB below full scale from which recognition suffers with a voice at the usual level."""
QUIET_VOICE, LOUD_VOICE = -45.0, -6.0
HUM_SHARE = 0.5
DEAD = -90.0
"""A microphone that is on is never as silent as this."""


@dataclass(frozen=True)
class Sounding:
    """``level`` in dB below full scale (root mean square); ``peak`` likewise; ``hum`` the mains' share of the power."""

    level: float
    peak: float
    hum: float
    clips: bool


def level(samples: Samples) -> float:
    """Root mean square; 0 for no samples."""
    return float(np.sqrt(np.mean(np.square(samples, dtype=np.float64)))) if len(samples) else 0.0


def decibels(amplitude: float) -> float:
    return 20 * math.log10(max(amplitude, 1e-6))


def sounding(sound: Samples) -> Sounding:
    """How ``sound`` (mono, 16 kHz) is."""
    if not len(sound):
        return Sounding(decibels(0), decibels(0), 0.0, False)
    peak = float(np.abs(sound).max())
    clips = float(np.mean(np.abs(sound) > CLIPPED)) > CLIPPING_SHARE
    return Sounding(decibels(level(sound)), decibels(peak), hum_share(sound), clips)


def hum_share(sound: Samples) -> float:
    """The share of the power above 30 Hz that lies on multiples of 50 or of 60 Hz up to 400 Hz, whichever is more."""
    if len(sound) < SAMPLE_RATE // 2:
        return 0.0
    power = np.abs(np.fft.rfft((sound - sound.mean()) * np.hanning(len(sound)))) ** 2
    frequency = np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE)
    total = float(power[frequency > 30].sum())
    if total <= 0:
        return 0.0

    def share(mains: float) -> float:
        near = np.zeros(len(frequency), bool)
        for multiple in np.arange(mains, 401, mains):
            near |= np.abs(frequency - multiple) <= 2.5
        return float(power[near].sum()) / total

    return max(share(50), share(60))


def of_the_noise(noise: Sounding) -> list[str]:
    """What is wrong with a bench at which nobody speaks; empty where nothing is."""
    if noise.level < DEAD:
        return ["the microphone gives nothing at all: is it muted?"]
    wrong = []
    if noise.level > NOISY:
        wrong.append("the bench is noisy: bring the microphone closer, or quieten what hums and blows")
    if noise.hum > HUM_SHARE and noise.level > NOISY - 25:
        wrong.append("mains hum: try another socket or cable, and keep the microphone away from transformers")
    return wrong


def of_the_voice(voice: Sounding) -> list[str]:
    """What is wrong with the level of a voice; empty where nothing is."""
    if voice.clips:
        return ["it clips: turn the microphone down, or move it away from the mouth"]
    if voice.level < QUIET_VOICE:
        return ["it is too quiet: turn the microphone up, or bring it closer"]
    if voice.level > LOUD_VOICE:
        return ["it is very loud: turn the microphone down a little"]
    return []
