"""Hours of sound that holds no command: readers and talkers recombined, and the noises of a bench."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from handsfree.audio.files import resampled
from handsfree.audio.samples import SAMPLE_RATE
from tests.benchmarks.conditions import hum, shaped
from tests.support import hearing_sounds as sounds
from tests.support.hearing_sounds import Sound

PIECE = 30.0
"""Seconds of one kind of sound at a stretch."""


JUDGEMENT_VOICES = ("flite slt", "festival ked", "espeak-ng en-gb-scotland")


def disturbances(
    hours: float,
    readings: tuple[str, ...],
    voices: tuple[str, ...] = JUDGEMENT_VOICES,
    texts: tuple[str, ...] = sounds.JUDGEMENT_TALK,
) -> Iterator[tuple[str, Sound]]:
    """Stretches of ``PIECE`` seconds with the name of their kind, ``hours`` of them in all, the same at every run."""
    speech = [part for sound in sounds.reading(*readings) for part in _parts(sound)]
    available = sounds.voices()
    for name in voices:
        if name in available:
            speech += [available[name](text) for text in texts]
    makers = {"hammering": hammering, "compressor": _compressor, "hum": lambda n, rng: hum(n, rng) * 0.03}
    talks = {"talk": _talk, "radio": _radio, "babble": _babble}
    kinds = ["talk", "radio", "talk", "babble", "hammering", "radio", "compressor", "talk", "hum"]
    for number in range(round(hours * 3600 / PIECE)):
        rng = np.random.default_rng([number, 17])
        kind = kinds[number % len(kinds)]
        length = round(PIECE * SAMPLE_RATE)
        if kind in makers:
            sound = makers[kind](length, rng)
        elif speech:
            sound = talks[kind](length, rng, speech)
        else:
            continue
        yield kind, (sound + rng.standard_normal(length) * 3e-4).astype(np.float32)


def _parts(sound: Sound) -> list[Sound]:
    """A reading cut into pieces of three seconds; a cut may fall within a word."""
    size = 3 * SAMPLE_RATE
    return [sound[start : start + size] for start in range(0, len(sound) - size // 3, size)]


def _talk(length: int, rng: np.random.Generator, speech: list[Sound]) -> Sound:
    """Pieces in any order, each somewhat quicker or slower, with pauses."""
    room = np.zeros(length)
    at = int(rng.uniform(0, SAMPLE_RATE))
    while at < length:
        piece = speech[int(rng.integers(len(speech)))]
        piece = resampled(piece.astype(np.float32), int(SAMPLE_RATE * rng.uniform(0.88, 1.14)))
        piece = piece / max(float(np.abs(piece).max()), 1e-6) * rng.uniform(0.05, 0.4)
        room[at : at + len(piece)] += piece[: length - at]
        at += len(piece) + int(rng.uniform(0.2, 1.5) * SAMPLE_RATE)
    return room


def _radio(length: int, rng: np.random.Generator, speech: list[Sound]) -> Sound:
    """Talk through a small loudspeaker."""
    return shaped(_talk(length, rng, speech), [(0, -60), (250, -30), (400, 0), (3200, 0), (4000, -30), (8000, -60)])


def _babble(length: int, rng: np.random.Generator, speech: list[Sound]) -> Sound:
    """Four people talking at once."""
    together: Sound = sum(_talk(length, rng, speech) for _ in range(4)) / 2
    return together


def hammering(length: int, rng: np.random.Generator) -> Sound:
    """Blows on metal, irregularly, each with a ring of its own."""
    room = np.zeros(length)
    ring = np.arange(SAMPLE_RATE // 5) / SAMPLE_RATE
    at = 0
    while (at := at + int(rng.uniform(0.25, 1.2) * SAMPLE_RATE)) < length:
        tone = sum(np.sin(2 * np.pi * f * ring) for f in rng.uniform(400, 5000, 5))
        blow = tone * np.exp(-ring * rng.uniform(20, 60)) * rng.uniform(0.03, 0.15)
        room[at : at + len(blow)] += blow[: length - at]
    return room


def _compressor(length: int, rng: np.random.Generator) -> Sound:
    beat = 1 + 0.5 * np.sin(2 * np.pi * rng.uniform(8, 14) * np.arange(length) / SAMPLE_RATE)
    return (sounds.pink(length, rng) * 0.03 + hum(length, rng) * 0.02) * beat
