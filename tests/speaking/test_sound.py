"""The limiter, the trimming and the tones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.samples import SAMPLE_RATE, limited, seconds_of, silence, trimmed
from handsfree.speaking.tones import Tone, tone_samples
from handsfree.speaking.voice.presence import BASS, HIGH, LOW, lifted
from handsfree.speaking.voice.settings import MOST_LIFT, VoiceSettings
from tests.benchmarks.conditions import hum
from tests.benchmarks.disturbances import hammering


@given(st.integers(0, 2**32 - 1), st.integers(0, 3000), st.floats(0.01, 30.0), st.floats(0.05, 1.0))
def test_however_loud_nothing_clips(seed: int, count: int, gain: float, ceiling: float) -> None:
    random = np.random.default_rng(seed)
    samples = (random.standard_normal(count) * random.uniform(0, 1, count) ** 4).astype(np.float32)
    result = limited(samples, gain, ceiling)
    assert result.dtype == np.float32 and len(result) == count
    assert count == 0 or np.abs(result).max() <= np.float32(ceiling)


def test_the_limiter_turns_down_only_around_the_peak() -> None:
    time = np.arange(SAMPLE_RATE) / SAMPLE_RATE
    samples = (0.1 * np.sin(2 * np.pi * 300 * time)).astype(np.float32)
    samples[8000:8100] *= 15
    result = limited(samples, 1.0, 0.8)
    assert np.abs(result[8000:8100]).max() > 0.5
    np.testing.assert_array_equal(result[:7700], samples[:7700])
    np.testing.assert_array_equal(result[8400:], samples[8400:])


def test_silence_at_both_ends_is_trimmed_but_no_attack_is_cut() -> None:
    sound = np.full(1600, 0.3, dtype=np.float32)
    whole = np.concatenate([silence(0.5), sound, silence(0.5)])
    result = trimmed(whole)
    assert 1600 < len(result) < 1600 + 0.05 * SAMPLE_RATE
    assert result[0] == 0 and np.count_nonzero(result) == 1600
    assert len(trimmed(silence(1))) == 0


@pytest.mark.parametrize("tone", Tone)
def test_tones_are_short_soft_and_low(tone: Tone) -> None:
    samples = tone_samples(tone)
    assert 0.04 < seconds_of(samples) < 0.15
    assert 0.05 < np.abs(samples).max() < 0.25
    assert samples[0] == 0 and abs(samples[-1]) < 0.01  # no click
    power = np.abs(np.fft.rfft(samples, 16384)) ** 2
    frequency = np.fft.rfftfreq(16384, 1 / SAMPLE_RATE)
    in_band = power[(frequency > 180) & (frequency < 720)].sum() / power.sum()
    assert in_band > 0.9


def _beats(samples: np.ndarray) -> int:
    """How many separate sounds there are."""
    loud = np.convolve(np.abs(samples), np.ones(160) / 160, mode="same") > 0.01
    return int(np.count_nonzero(np.diff(loud.astype(int)) == 1) + loud[0])


def _glide(samples: np.ndarray) -> float:
    """How far the pitch of the second half lies above that of the first, as a ratio (by zero crossings)."""
    half = len(samples) // 2
    first, second = (
        np.count_nonzero(np.diff(np.signbit(part))) / len(part) for part in (samples[:half], samples[half:])
    )
    return float(second / first)


def test_tones_differ_in_contour_and_not_only_in_pitch() -> None:
    assert {tone: _beats(tone_samples(tone)) for tone in Tone} == {Tone.HEARD: 1, Tone.QUESTION: 1, Tone.NOT_CAUGHT: 2}
    assert _glide(tone_samples(Tone.QUESTION)) > 1.3
    assert _glide(tone_samples(Tone.HEARD)) == pytest.approx(1, abs=0.15)


def _best_band(tone: np.ndarray, noise: np.ndarray) -> float:
    """By how many decibels a tone is above a noise in the third of an octave where it stands out most."""
    frequency = np.fft.rfftfreq(8192, 1 / SAMPLE_RATE)
    powers = [np.abs(np.fft.rfft(part, 8192)) ** 2 for part in (tone, noise)]
    centres = 200 * 2 ** (np.arange(14) / 3)
    bands = [(frequency > centre * 2 ** (-1 / 6)) & (frequency <= centre * 2 ** (1 / 6)) for centre in centres]
    return max(10 * float(np.log10(powers[0][band].sum() / (powers[1][band].sum() + 1e-9))) for band in bands)


@pytest.mark.parametrize("tone", Tone)
def test_tones_stand_out_of_hum_ten_decibels_louder_and_of_hammering(tone: Tone) -> None:
    # What lies above the noise of its own third of an octave is heard (critical bands: Fletcher 1940; Zwicker 1961).
    samples = tone_samples(tone).astype(np.float64)
    loudness = float(np.sqrt(np.mean(samples**2)))
    rng = np.random.default_rng(5)
    mains = hum(len(samples), rng) * loudness * 10 ** (10 / 20)
    assert _best_band(samples, mains) > 6
    blows = hammering(20 * SAMPLE_RATE, rng)
    places = range(0, len(blows) - len(samples), SAMPLE_RATE // 5)
    above = [_best_band(samples, blows[at : at + len(samples)]) > 3 for at in places]
    assert np.mean(above) > 0.95


def _band(samples: np.ndarray, low: float, high: float) -> float:
    power = np.abs(np.fft.rfft(samples)) ** 2
    frequency = np.fft.rfftfreq(len(samples), 1 / SAMPLE_RATE)
    return 10 * float(np.log10(power[(frequency > low) & (frequency < high)].mean()))


def test_the_lift_raises_the_consonants_and_lowers_what_carries_none() -> None:
    noise = np.random.default_rng(1).normal(0, 0.05, 4 * SAMPLE_RATE).astype(np.float32)
    raised = lifted(noise, 6)
    assert len(raised) == len(noise)

    def gained(low: float, high: float) -> float:
        return _band(raised, low, high) - _band(noise, low, high)

    assert gained(LOW * 1.15, HIGH * 0.85) == pytest.approx(6, abs=0.7)
    assert gained(6500, 7900) == pytest.approx(0, abs=0.7)
    assert gained(20, BASS * 0.7) == pytest.approx(-6, abs=1.5)
    assert lifted(noise, 0) is noise and len(lifted(noise[:0], 6)) == 0


def test_in_noise_the_voice_is_clearer_first_and_then_louder() -> None:
    voice = VoiceSettings()
    found = []
    for noise in (-80.0, -45.0, -40.0, -30.0, -20.0, 0.0):
        voice.follow_noise(noise)
        found.append((voice.lift, voice.gain))
    lifts, gains = zip(*found, strict=True)
    assert lifts[0] == 0 < lifts[1] < lifts[2] == MOST_LIFT == lifts[-1]
    assert gains[:3] == (1.0, 1.0, 1.0) and 1 < gains[3] < gains[4] <= gains[5] < 4
