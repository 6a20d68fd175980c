"""Where one utterance may be parted."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.pauses import parting_places


def sound(*stretches: tuple[float, float]) -> Samples:
    """Stretches of so many seconds at such a level, with a little quiet at both ends."""
    parts = [(0.2, 0.0), *stretches, (0.2, 0.0)]
    return np.concatenate([np.full(round(seconds * SAMPLE_RATE), level, np.float32) for seconds, level in parts])


def places(*stretches: tuple[float, float]) -> list[float]:
    """In seconds from the beginning of the first stretch."""
    return [round(place / SAMPLE_RATE - 0.2, 2) for place in parting_places(sound(*stretches))]


def near(*wanted: float) -> list[object]:
    return [pytest.approx(each, abs=0.04) for each in wanted]


def test_it_is_parted_in_the_middle_of_a_pause() -> None:
    assert places((0.5, 0.3), (0.2, 0.0), (0.5, 0.3)) == near(0.6)
    assert places((0.3, 0.3), (0.24, 0.0), (0.7, 0.3)) == near(0.42)


def test_of_several_pauses_the_quietest_comes_first() -> None:
    assert places((0.4, 0.3), (0.2, 0.02), (0.4, 0.3), (0.2, 0.0), (0.4, 0.3)) == near(1.1, 0.5)
    assert places((0.4, 0.3), (0.2, 0.0), (0.4, 0.3), (0.2, 0.02), (0.4, 0.3)) == near(0.5, 1.1)


def test_a_long_pause_is_one_place() -> None:
    assert places((0.5, 0.3), (0.8, 0.0), (0.5, 0.3), (0.2, 0.01), (0.5, 0.3)) == near(0.9, 1.9)


def test_there_are_not_more_than_are_worth_trying() -> None:
    stretches = [(0.3, 0.3), (0.2, 0.0)] * 7
    assert len(places(*stretches, (0.3, 0.3))) == 4


@pytest.mark.parametrize(
    "stretches",
    [
        [],
        [(0.8, 0.3)],
        # A weak syllable is no pause: it has a third of the voice's level.
        [(0.5, 0.3), (0.2, 0.1), (0.5, 0.3)],
        # Nor is the stop within a word.
        [(0.5, 0.3), (0.03, 0.0), (0.5, 0.3)],
    ],
)
def test_where_there_is_no_pause_it_is_not_parted(stretches: list[tuple[float, float]]) -> None:
    assert places(*stretches) == []


def test_a_pause_is_quiet_beside_the_voice_whatever_the_level_of_both() -> None:
    for louder in (0.02, 1.0, 3.0):
        assert places((0.5, 0.3 * louder), (0.2, 0.02 * louder), (0.5, 0.3 * louder)) == near(0.6)


def test_a_sound_too_short_to_have_two_parts_has_no_place() -> None:
    for samples in (0, 1, 159, 161, 640):
        assert parting_places(np.full(samples, 0.3, np.float32)) == []
