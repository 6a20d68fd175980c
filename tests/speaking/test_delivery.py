"""How a text is delivered: its figures between rests and more slowly, its dangers and questions in the second voice."""

from __future__ import annotations

import random
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.units import UNITS
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice.delivery import Stretch, delivered, figures
from handsfree.speaking.voice.synthesis import Synthesiser

PLAIN = ("turn", "s", "min", "h", "count", "d", "week")
"""Units that are said in running prose as well: what is measured in them doesn't stand apart."""


def texts(text: str, carefully: bool = False) -> list[str]:
    return [part.text for part in delivered(text, carefully)]


def test_a_figure_stands_between_rests_and_the_verdict_apart() -> None:
    name, figure, verdict = delivered("Gap, left, four and a half thou. In limits.")
    assert (name.text, figure.text, verdict.text) == ("Gap, left,", "four and a half thou.", "In limits.")
    assert figure.rest > 0 and verdict.rest > figure.rest
    assert figure.pace < name.pace == verdict.pace == 1


def test_a_figure_said_again_is_slower_and_digit_by_digit() -> None:
    once, again = (delivered("Bore, nought point one nought two millimetres.", carefully)[1] for carefully in (0, 1))
    assert again.text == "nought, point, one, nought, two, millimetres."
    assert again.pace < once.pace and again.rest > once.rest


@pytest.mark.parametrize(
    ("text", "again"),
    [
        ("nine and a half thou", "nine and a half, thou,"),
        ("fifty two point five degrees", "fifty two, point, five, degrees,"),
        ("two hundredths of a millimetre", "two hundredths, of a millimetre,"),
        ("about three point nine millimetres", "about three, point, nine, millimetres,"),
        ("half a thou", "half a thou,"),
        ("0.10 mm", "nought, point, one, nought, millimetres,"),
    ],
)
def test_a_figure_is_taken_apart_where_it_may_be(text: str, again: str) -> None:
    assert texts(f"Gap, {text}, as found.", True) == ["Gap,", again, "as found."]


def test_digits_that_would_run_together_are_kept_apart() -> None:
    assert texts("Bore, two point nine nought eight millimetres.")[1] == "two point nine, nought eight millimetres."
    assert texts("Nine nought one.") == ["Nine nought one."]


@pytest.mark.parametrize(
    "text",
    [
        "Turn it a quarter of a turn.", "Wait ten minutes.", "Lay the two screws on tray three.", "Step nine.",
        "Hold one of them.", "The thousandth time.", "In a minute.",
    ],
)  # fmt: skip
def test_running_prose_is_not_broken_up(text: str) -> None:
    assert delivered(text) == (Stretch(text),)


@given(st.sampled_from(sorted(set(UNITS) - set(PLAIN))), st.integers(1, 99_999), st.sampled_from((None, 0, 1, 2, 3)))
def test_every_figure_that_is_read_back_stands_apart(unit: str, number: int, decimals: int | None) -> None:
    value = Fraction(number, 4) if decimals is None else Fraction(number, 10**decimals)
    if not UNITS[unit].many or UNITS[unit].many == "in":
        return
    words = spoken(Figure(value, decimals, unit))
    assert figures(f"Gap, left, {words}. In limits.") == [words]


def test_no_word_is_lost_or_added() -> None:
    rng, words = random.Random(3), "gap, left, four thou. half a of point millimetre one and two over? Danger.".split()
    for _ in range(200):
        text = " ".join(rng.choices(words, k=9))
        said = " ".join(texts(text)).replace(",", "").replace(".", "").replace("?", "")
        assert said.split() == text.replace(",", "").replace(".", "").replace("?", "").split()


def test_dangers_and_questions_are_in_the_second_voice() -> None:
    parts = delivered("Danger. The spring is loaded. Step four. Let it down. Go on?")
    assert [part.text for part in parts if part.second] == ["Danger.", "The spring is loaded.", "Go on?"]
    assert not any(part.second for part in delivered("Danger. The spring is loaded. Go on?", False, False))


def of(kind: str) -> Synthesiser:
    try:
        return Synthesiser(voice=kind)  # type: ignore[arg-type]
    except SpeakingError as error:
        pytest.skip(f"no voice engine: {error}")


def silences(samples: np.ndarray, least: float = 0.08) -> list[tuple[float, float]]:
    """Stretches within the sound that stay under 2 % of its peak for ``least`` seconds: where each begins and ends."""
    loud = np.flatnonzero(np.abs(samples) > 0.02 * np.abs(samples).max())
    gaps = np.flatnonzero(np.diff(loud) > least * SAMPLE_RATE)
    return [(loud[gap] / SAMPLE_RATE, loud[gap + 1] / SAMPLE_RATE) for gap in gaps]


@pytest.mark.parametrize("kind", ["neural", "espeak"])
def test_the_rests_are_in_the_sound_and_the_longest_is_before_the_verdict(kind: str) -> None:
    found = silences(of(kind).render("Gap, left, four and a half thou. In limits."))
    assert len(found) >= 2
    lengths = [end - start for start, end in found]
    assert lengths[-1] == max(lengths) > 0.3


@pytest.mark.parametrize("kind", ["neural", "espeak"])
def test_a_figure_said_again_takes_its_time(kind: str) -> None:
    voice, text = of(kind), "Nought point nought nought four millimetres."
    once, again = voice.render(text), voice.render(text, carefully=True)
    assert len(again) > 1.3 * len(once)


def test_no_sentence_swallows_its_end() -> None:
    """The last tenth of a second is as it is in the network's own sound, to the fade of its last phone."""
    voice = of("neural")
    for word in ("limits", "thou", "left", "stop", "seven", "six", "eight"):
        samples = voice.render(f"It is {word}.")
        tail = np.abs(samples[-SAMPLE_RATE // 10 :])
        assert tail[: SAMPLE_RATE // 20].max() > 0.01, word
        assert tail[-80:].max() < 0.01, word
