"""The filter against steady noise works in noise and leaves quiet sound alone."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.audio.levels import level
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.listening.denoise import GAIN_FLOOR, cleaned, signal_to_noise, wiener
from handsfree.hearing.listening.endpoints import Segment
from tests.support import hearing_sounds as sounds


def tone(seconds: float = 1.0) -> np.ndarray:
    return (0.3 * np.sin(2 * np.pi * 500 * np.arange(round(seconds * SAMPLE_RATE)) / SAMPLE_RATE)).astype(np.float32)


def noise(decibels: float, length: int, seed: int) -> np.ndarray:
    """Pink noise so far below the tone."""
    made = sounds.pink(length, np.random.default_rng(seed))
    return (made * level(tone()) / 10 ** (decibels / 20)).astype(np.float32)


def segment(decibels: float) -> Segment:
    sound = tone()
    return Segment(sound + noise(decibels, len(sound), 1), 1.0, 2.0, noise(decibels, round(0.35 * SAMPLE_RATE), 2))


@pytest.mark.parametrize("decibels", [5, 10, 15, 25])
def test_the_ratio_of_speech_to_noise_is_estimated(decibels: float) -> None:
    assert signal_to_noise(segment(decibels)) == pytest.approx(decibels, abs=2)


def test_noise_goes_down_to_the_floor_and_no_further() -> None:
    alone = noise(10, SAMPLE_RATE, 3)
    left = level(wiener(alone, noise(10, SAMPLE_RATE, 4))) / level(alone)
    assert GAIN_FLOOR * 0.95 < left < 0.5


def test_the_tone_stays_and_what_is_left_of_the_noise_is_smaller() -> None:
    noisy = segment(10)
    before, after = noisy.samples - tone(), cleaned(noisy) - tone()
    assert len(after) == len(before)
    assert level(after) < 0.7 * level(before)


def test_quiet_sound_and_sound_without_a_measured_noise_are_left_alone() -> None:
    quiet = segment(35)
    assert cleaned(quiet) is quiet.samples
    unknown = Segment(segment(5).samples, 0.0, 1.0)
    assert signal_to_noise(unknown) is None
    assert cleaned(unknown) is unknown.samples
    silent = Segment(tone(), 1.0, 2.0, np.zeros(round(0.35 * SAMPLE_RATE), np.float32))
    assert signal_to_noise(silent) == float("inf")
    assert cleaned(silent) is silent.samples
