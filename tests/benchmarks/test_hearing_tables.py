"""The sums behind the tables of the benchmark of hearing, against published values."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.hearing.listening.denoise import loud_level
from tests.benchmarks.conditions import NOISES, STYLES
from tests.benchmarks.disturbances import PIECE, disturbances
from tests.benchmarks.hearing import at_most, wilson
from tests.support import hearing_sounds as sounds


def test_the_interval_of_a_share_is_wilsons() -> None:
    # Newcombe, Statistics in Medicine 17 (1998), table I, method 3: 81 of 263, and 0 of 20.
    assert wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=1e-4)
    assert wilson(0, 20) == pytest.approx((0.0, 0.1611), abs=1e-4)


def test_no_event_in_an_hour_means_under_three_an_hour() -> None:
    # The "rule of three", and the exact Poisson limit for one event (4.744).
    assert at_most(0, 1.0) == pytest.approx(2.996, abs=1e-3)
    assert at_most(1, 1.0) == pytest.approx(4.744, abs=1e-3)


@pytest.mark.parametrize("name", [*NOISES, *STYLES])
def test_a_condition_keeps_the_length_is_finite_and_the_same_every_time(name: str) -> None:
    voice = np.sin(np.arange(16000) / 5).astype(np.float32)
    condition = {**NOISES, **STYLES}[name]
    once, again = (condition(voice, np.random.default_rng(2)) for _ in range(2))
    assert np.array_equal(once, again)
    assert np.isfinite(once).all()
    assert len(once) == len(voice) + 2 * round(0.6 * 16000)


def test_noise_of_10_db_is_10_db_under_the_speech() -> None:
    voice = np.sin(np.arange(16000) / 5).astype(np.float32) * 0.3
    room = NOISES["pink 10 dB"](voice, np.random.default_rng(2))
    noise = np.sqrt(np.mean(np.square(room[: round(0.6 * 16000)])))
    assert 20 * np.log10(loud_level(voice) / noise) == pytest.approx(10, abs=2.5)


def test_disturbances_last_as_long_as_was_asked() -> None:
    made = list(disturbances(4 * PIECE / 3600, (), texts=sounds.JUDGEMENT_TALK[:2]))
    assert all(len(sound) == PIECE * 16000 and np.isfinite(sound).all() for _, sound in made)
    assert len(made) <= 4
