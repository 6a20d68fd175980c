"""Noises of a workshop, computed. Each takes a random generator and a length in seconds; the level is arbitrary."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from tests.tools.recordings.sound import RATE, Floats, Sound, level

Rng = np.random.Generator


def pink(rng: Rng, seconds: float, exponent: float = 1.0) -> Sound:
    """Noise whose power falls with frequency ** exponent (1: pink), from 40 Hz up."""
    count = round(seconds * RATE)
    spectrum = np.fft.rfft(rng.standard_normal(count))
    frequency = np.maximum(np.fft.rfftfreq(count, 1 / RATE), 40.0)
    return _scaled(np.fft.irfft(spectrum / frequency ** (exponent / 2), count))


def hum(rng: Rng, seconds: float, base: float = 100.0) -> Sound:
    """A transformer's hum: ``base`` hertz with seven harmonics, and a trace of hiss."""
    time = np.arange(round(seconds * RATE)) / RATE
    strengths = (1, 0.6, 0.4, 0.3, 0.15, 0.1, 0.08, 0.05)
    tones = sum(
        strength * np.sin(2 * np.pi * base * (n + 1) * time + rng.uniform(0, 2 * np.pi))
        for n, strength in enumerate(strengths)
    )
    return _scaled(tones + 0.03 * rng.standard_normal(len(time)))


def babble(rng: Rng, seconds: float, talkers: Sequence[Sound]) -> Sound:
    """Six talkers at once, each running round its own recording from somewhere in it."""
    count = round(seconds * RATE)
    chosen = rng.choice(len(talkers), size=6, replace=len(talkers) < 6)
    total = np.zeros(count)
    for index in chosen:
        talker = talkers[int(index)]
        start = int(rng.integers(len(talker)))
        total += np.resize(np.roll(talker, -start), count)
    return _scaled(total)


def clicks(rng: Rng, seconds: float) -> Sound:
    """A ratchet or a latch: short clicks at uneven distances."""
    return _scattered(rng, seconds, 0.25, lambda: _knock(rng, 2500, 0.004))


def hammering(rng: Rng, seconds: float) -> Sound:
    """A small hammer on a punch, two or three blows a second."""
    return _scattered(rng, seconds, 0.4, lambda: _knock(rng, 900, 0.03) + _knock(rng, 3200, 0.05))


def dropped_tool(rng: Rng, seconds: float) -> Sound:
    """A steel tool that drops and bounces with less and less force."""
    sound = np.zeros(round(seconds * RATE))
    at, gap, strength = 0.3, 0.22, 1.0
    while gap > 0.03 and at < seconds - 0.1:
        blow = strength * _knock(rng, 2100, 0.03) + 0.5 * strength * _knock(rng, 4700, 0.06)
        start = round(at * RATE)
        sound[start : start + len(blow)] += blow[: len(sound) - start]
        at, gap, strength = at + gap, gap * 0.75, strength * 0.7
    return _scaled(sound)


def compressor(rng: Rng, seconds: float) -> Sound:
    """A piston compressor: brown noise beaten eleven times a second, with a low hum."""
    noise = pink(rng, seconds, 2.0)
    time = np.arange(len(noise)) / RATE
    beat = 0.4 + 0.6 * np.maximum(0, np.sin(2 * np.pi * 11 * time)) ** 2
    return _scaled(noise * beat + 0.4 * hum(rng, seconds, 49.0))


def air_line(rng: Rng, seconds: float) -> Sound:
    """Blasts of compressed air."""
    sound = rng.standard_normal(round(seconds * RATE))
    time = np.arange(len(sound)) / RATE
    gate = np.clip(8 * np.sin(2 * np.pi * 0.9 * time), 0, 1)
    return _scaled(np.diff(sound * gate, prepend=0))


def humming(rng: Rng, seconds: float) -> Sound:
    """Somebody humming a tune with closed lips: a low voice, few overtones, vibrato, a made-up melody."""
    semitones = (0, 2, 4, 2, 5, 4, 2, 0, 4, 7, 5, 4, 2, 4, 0, -1)
    count = round(seconds * RATE)
    note = np.minimum((np.arange(count) / RATE / 0.38).astype(int), 10**6)
    tune = np.array(semitones)[note % len(semitones)]
    glide = np.convolve(np.pad(tune, 400, mode="edge"), np.ones(801) / 801, "valid")
    time = np.arange(count) / RATE
    pitch = 131 * 2 ** (glide / 12) * (1 + 0.006 * np.sin(2 * np.pi * 5.3 * time))
    phase = 2 * np.pi * np.cumsum(pitch) / RATE
    voice = sum(s * np.sin(n * phase) for n, s in ((1, 1.0), (2, 0.45), (3, 0.12), (4, 0.05)))
    within = (time / 0.38) % 1
    loudness = np.clip(np.minimum(within * 12, (1 - within) * 8), 0.15, 1)
    return _scaled(voice * loudness + 0.01 * rng.standard_normal(count))


def whistling(rng: Rng, seconds: float) -> Sound:
    """The same tune whistled."""
    time = np.arange(round(seconds * RATE)) / RATE
    steps = np.array((0, 4, 7, 12, 7, 9, 5, 4))[(time / 0.3).astype(int) % 8]
    glide = np.convolve(np.pad(steps, 300, mode="edge"), np.ones(601) / 601, "valid")[: len(time)]
    tone = np.sin(2 * np.pi * np.cumsum(880 * 2 ** (glide / 12)) / RATE)
    return _scaled(tone + 0.05 * rng.standard_normal(len(time)))


def cough(rng: Rng, seconds: float) -> Sound:
    """Two bursts of breath shaped by a throat, the second weaker, as a cough sounds."""
    sound = np.zeros(round(seconds * RATE))
    for at, strength, length in ((0.15, 1.0, 0.28), (0.6, 0.7, 0.22)):
        count = round(length * RATE)
        breath = rng.standard_normal(count) + 0.8 * np.sign(np.sin(2 * np.pi * 110 * np.arange(count) / RATE))
        shaped = _formants(breath, ((650, 120), (1150, 160), (2600, 300)))
        envelope = np.minimum(1, np.arange(count) / (0.008 * RATE)) * np.exp(-np.arange(count) / (0.07 * RATE))
        start = round(at * RATE)
        end = min(len(sound), start + count)
        sound[start:end] += strength * (shaped / np.abs(shaped).max() * envelope)[: end - start]
    return _scaled(sound)


def silence(rng: Rng, seconds: float) -> Sound:
    """Nothing at all."""
    return np.zeros(round(seconds * RATE), np.float32)


NOISES: dict[str, tuple[Callable[[Rng, float], Sound], float, float]] = {
    "silence": (silence, 2.0, 0.0),
    "hum": (hum, 2.5, -25),
    "room": (pink, 2.5, -35),
    "clicks": (clicks, 3.0, -25),
    "hammering": (hammering, 3.0, -18),
    "dropped tool": (dropped_tool, 2.0, -22),
    "compressor": (compressor, 3.0, -20),
    "air line": (air_line, 2.5, -22),
    "humming": (humming, 4.0, -22),
    "whistling": (whistling, 3.0, -22),
    "cough": (cough, 1.2, -20),
}
"""Noises that are recordings of their own: how they are made, seconds, level in decibels of full scale."""


def _scaled(sound: Floats) -> Sound:
    return (sound / max(level(sound), 1e-9) * 0.1).astype(np.float32)


def _knock(rng: Rng, frequency: float, decay: float) -> Sound:
    time = np.arange(round(0.15 * RATE)) / RATE
    ring = np.sin(2 * np.pi * frequency * rng.uniform(0.97, 1.03) * time) * np.exp(-time / decay)
    strike = rng.standard_normal(len(time)) * np.exp(-time / 0.002)
    return np.asarray(ring + strike, np.float32)


def _scattered(rng: Rng, seconds: float, mean_gap: float, make: Callable[[], Sound]) -> Sound:
    sound = np.zeros(round(seconds * RATE), np.float32)
    at = 0.2
    while at < seconds - 0.2:
        blow = make() * rng.uniform(0.5, 1.0)
        start = round(at * RATE)
        end = min(len(sound), start + len(blow))
        sound[start:end] += blow[: end - start]
        at += mean_gap * rng.uniform(0.6, 1.5)
    return _scaled(sound)


def _formants(sound: Floats, resonances: Sequence[tuple[float, float]]) -> Sound:
    """``sound`` through resonances of the given centres and widths in hertz."""
    spectrum = np.fft.rfft(sound)
    frequency = np.fft.rfftfreq(len(sound), 1 / RATE)
    gain = sum(1 / (1 + ((frequency - centre) / width) ** 2) for centre, width in resonances)
    return np.asarray(np.fft.irfft(spectrum * gain, len(sound)), np.float32)
