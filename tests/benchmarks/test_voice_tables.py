"""How the tables of the voice are counted: what a recogniser wrote, taken for what a listener would have understood."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.listening.denoise import loud_level
from handsfree.measure.figure import Figure
from tests.benchmarks.voice import Said, figures_in, is_right, mixed, noise, plain, said, score


@pytest.mark.parametrize(
    ("written", "value", "unit"),
    [
        ("Gap left 0.102 millimeters. In limits.", Fraction(102, 1000), "mm"),
        ("gap left 0.1 not 2 millimeters", Fraction(102, 1000), "mm"),
        ("Clearance not .1 not 2 millimeters", Fraction(102, 1000), "mm"),
        ("drag, 30.2 newtons centimeters", Fraction(302, 10), "N cm"),
        ("run out, nine and a half now", Fraction(19, 2), "thou"),
        ("run out, 9 1/2 thou", Fraction(19, 2), "thou"),
        ("one point five not for millimeters", Fraction(1504, 1000), "mm"),
        ("forty nine degrees", Fraction(49), "degree"),
    ],
)
def test_spellings_of_one_figure_are_one_figure(written: str, value: Fraction, unit: str) -> None:
    assert is_right(Figure(value, 0, unit), plain(written))


@pytest.mark.parametrize(
    "written",
    ["gap left 0.12 millimeters", "0.1.2 millimeters", "0.102 degrees", "twenty 0.102 thou", "gap left", "1.102 mm"],
)
def test_another_figure_is_wrong(written: str) -> None:
    assert not is_right(Figure(Fraction(102, 1000), 3, "mm"), plain(written))


def test_a_figure_within_a_longer_one_does_not_count() -> None:
    assert not is_right(Figure(Fraction(5), 0, "thou"), plain("gap, twenty five thou"))
    assert [each.value for each in figures_in(plain("gap, twenty five thou"))] == [25]


def test_every_sentence_is_right_when_it_is_read_as_it_was_meant() -> None:
    lines = said()
    pytest.importorskip("jiwer", reason="jiwer counts the wrong words; it comes with [dev]")
    found = score(lines, [line.text for line in lines])
    assert (len(lines), found.figures, found.wrong, found.words) == (200, 120, 0, 0.0)
    nothing = score(lines, [""] * len(lines))
    assert nothing.wrong == nothing.figures and nothing.words == 1.0


def test_the_noise_is_as_far_below_the_speech_as_it_says() -> None:
    time = np.arange(2 * SAMPLE_RATE) / SAMPLE_RATE
    speech = (0.2 * np.sin(2 * np.pi * 300 * time)).astype(np.float32)
    for condition, decibels in (("pink 10 dB", 10), ("hum 0 dB", 0)):
        added = mixed(speech, condition, 1) - mixed(speech, "quiet", 1)
        level = 20 * np.log10(loud_level(speech) / np.sqrt(np.mean(np.square(added, dtype=np.float64))))
        assert level == pytest.approx(decibels, abs=0.2)
    assert np.array_equal(noise("pink 5 dB", 1000, 3), noise("pink 5 dB", 1000, 3))
    assert Said("Next.").figure is None
