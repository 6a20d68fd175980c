"""Utterances are cut out of the stream of sound whole."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.listening.endpoints import Endpointer, EndpointSettings, Segment, segments
from handsfree.hearing.listening.voice_activity import CHUNK
from tests.support.endpoints import LOUD, QUIET, LevelDetector, stretch


def heard(*parts: tuple[float, float], chosen: EndpointSettings | None = None) -> list[Segment]:
    return segments(np.concatenate([stretch(*part) for part in parts]), chosen, LevelDetector())


def test_two_utterances_with_a_pause_between_are_two() -> None:
    found = heard((1, QUIET), (1, LOUD), (0.8, QUIET), (0.5, LOUD), (1, QUIET))
    assert [(round(s.start, 1), round(s.end, 1)) for s in found] == [(1.0, 2.0), (2.8, 3.3)]


def test_a_short_pause_does_not_cut_a_figure_in_two() -> None:
    found = heard((1, QUIET), (0.4, LOUD), (0.4, QUIET), (0.4, LOUD), (1, QUIET))
    assert [(round(s.start, 1), round(s.end, 1)) for s in found] == [(1.0, 2.2)]


def test_the_closing_silence_can_be_chosen() -> None:
    found = heard(
        (1, QUIET), (0.4, LOUD), (0.4, QUIET), (0.4, LOUD), (1, QUIET), chosen=EndpointSettings(closing_silence=0.3)
    )
    assert len(found) == 2


def test_there_is_quiet_at_both_ends_of_the_samples() -> None:
    for found in (heard((1, QUIET), (1, LOUD), (1, QUIET)), heard((1, LOUD))):
        samples = found[0].samples
        loud = np.flatnonzero(np.abs(samples) > 0.1)
        assert loud[0] >= 0.2 * SAMPLE_RATE - CHUNK
        assert len(samples) - loud[-1] >= 0.2 * SAMPLE_RATE - CHUNK


def test_speech_from_the_first_sample_to_the_last_is_not_lost() -> None:
    (found,) = heard((1.2, LOUD))
    assert np.count_nonzero(np.abs(found.samples) > 0.1) == round(1.2 * SAMPLE_RATE)
    assert found.start == 0
    assert abs(found.end - 1.2) < 0.001


def test_a_click_is_no_utterance() -> None:
    assert heard((1, QUIET), (0.05, LOUD), (1, QUIET)) == []


def test_silence_and_nothing_give_nothing() -> None:
    assert heard((3, 0.0)) == []
    assert segments(np.zeros(0, np.float32), detector=LevelDetector()) == []


def test_endless_speech_is_cut_and_its_pieces_are_marked() -> None:
    found = heard((0.5, QUIET), (30, LOUD), (1, QUIET), (1, LOUD), (1, QUIET))
    assert [s.part for s in found] == [True, True, True, False]
    assert all(s.end - s.start <= 12.1 for s in found)


def test_the_noise_is_measured_before_the_speech() -> None:
    (found,) = heard((1, 0.02), (1, LOUD), (1, 0.02))
    assert found.noise_level == pytest.approx(0.02, rel=0.01)
    assert heard((1, LOUD), (1, QUIET))[0].noise_level is None


def test_a_word_that_dies_away_in_a_hiss_holds_the_utterance_open() -> None:
    held = heard((1, QUIET), (0.3, LOUD), (0.3, 0.02), (0.3, QUIET), (0.3, LOUD), (1, QUIET))
    assert len(held) == 1
    cut = heard((1, 0.02), (0.3, LOUD), (0.3, 0.02), (0.3, 0.02), (0.3, LOUD), (1, QUIET))
    assert len(cut) == 2


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(1, 6000), min_size=1, max_size=40))
def test_the_size_of_the_blocks_makes_no_difference(sizes: list[int]) -> None:
    sound = np.concatenate([stretch(0.7, QUIET), stretch(0.6, LOUD), stretch(0.9, QUIET), stretch(0.4, LOUD)])
    endpointer = Endpointer(detector=LevelDetector())
    found: list[Segment] = []
    place = turn = 0
    while place < len(sound):
        size = sizes[turn % len(sizes)]
        found += endpointer.feed(sound[place : place + size])
        place, turn = place + size, turn + 1
    found += endpointer.flush()
    whole = segments(sound, detector=LevelDetector())
    assert [(s.start, s.end) for s in found] == [(s.start, s.end) for s in whole]
    assert all(np.array_equal(a.samples, b.samples) for a, b in zip(found, whole, strict=True))


def test_after_a_reset_nothing_of_before_is_heard_and_the_clock_goes_on() -> None:
    endpointer = Endpointer(detector=LevelDetector())
    endpointer.feed(stretch(1, LOUD))
    endpointer.reset(clock=10.0)
    found = endpointer.feed(np.concatenate([stretch(1, QUIET), stretch(0.5, LOUD), stretch(1, QUIET)]))
    assert len(found) == 1
    assert abs(found[0].start - 11.0) < 0.05
    assert abs(found[0].end - 11.5) < 0.05


def test_the_packaged_detector_leaves_hum_and_silence_alone() -> None:
    time = np.arange(4 * SAMPLE_RATE) / SAMPLE_RATE
    hum = sum(0.1 / n * np.sin(2 * np.pi * 50 * n * time) for n in (1, 2, 3, 5))
    assert segments(np.asarray(hum, np.float32)) == []
    assert segments(np.zeros(4 * SAMPLE_RATE, np.float32)) == []
