"""The second reader: its features, its spelling, and what it makes of recordings."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from handsfree.bench.setting_up import language_of, load_named
from handsfree.hearing.builtin import BuiltinRecogniser
from handsfree.hearing.decision import DEFAULT, decide
from handsfree.hearing.errors import HearingError
from handsfree.hearing.log_mel import log_mel
from handsfree.hearing.recording import RATE, load
from handsfree.hearing.second_reader import LONGEST, SecondReader, find_folder, find_second_reader
from handsfree.phrases.utterance import Alternative, Heard, Hearing

FIXTURES = Path(__file__).parent.parent / "audio_fixtures"
FIGURES = (
    ("pico-us/fifteen.flac", "fifteen", ("fifty", "sixteen", "five")),
    ("rms/fifty.flac", "fifty", ("fifteen", "fifty three", "sixty")),
    (
        "pico-us/log-stop-clearance-fifteen-thou.flac",
        "log stop clearance fifteen thou",
        ("log stop clearance fifty thou", "log stop clearance sixteen thou", "log stop clearance five thou"),
    ),
)


@pytest.fixture(scope="module")
def reader() -> SecondReader:
    reader = find_second_reader()
    if reader is None:
        pytest.skip("the second reader's package is not installed (handsfree[second-reader])")
    return reader


def test_without_its_package_there_is_no_second_reader() -> None:
    assert find_second_reader("no_such_package_here") is None
    # A package without the model's files is none either.
    assert find_folder("numpy") is None


@pytest.mark.parametrize("hertz", [200, 500, 900])
def test_a_tone_is_loudest_in_the_band_that_holds_it(hertz: int) -> None:
    # Slaney's mel scale (Auditory Toolbox, 1998; from memory): even steps of 200/3 Hz up to 1 kHz, then 27 steps for
    # each factor of 6.4; so 8 kHz is at 45.245 mel, and 80 bands lie 45.245 / 81 mel apart.
    features = log_mel(np.sin(2 * np.pi * hertz * np.arange(RATE) / RATE).astype(np.float32), 2.0)
    assert features.shape == (80, 200)
    band = int(features[:, 50].argmax())
    assert abs((band + 1) * 45.245 / 81 - hertz * 3 / 200) < 45.245 / 81
    assert features[:, 50].max() > features[:, 150].max()


def test_words_are_spelled_with_the_network_s_own_tokens(reader: SecondReader) -> None:
    # " hello" and " world" are 23748 and 995, "." is 13 in the byte-pair vocabulary of GPT-2, which this network shares
    # (from memory); "won't" is parted before the apostrophe there.
    assert reader.tokens(("hello", "world")) == [23748, 995, 13]
    assert reader.tokens(("won't",)) == [1839, 470, 13]


@pytest.mark.parametrize(("file", "said", "others"), FIGURES)
def test_what_was_said_fits_the_sound_better_than_what_is_like_it(
    reader: SecondReader, file: str, said: str, others: tuple[str, ...]
) -> None:
    phrases = [tuple(each.split()) for each in (said, *others)]
    first, *rest = reader.log_probabilities(load(FIXTURES / file), phrases)
    assert first > max(rest)


def test_a_second_reading_is_asked_for_only_where_there_is_doubt(reader: SecondReader) -> None:
    procedure = load_named(str(FIXTURES / "procedure.yaml")).procedure
    language = language_of(procedure)
    try:
        recogniser = BuiltinRecogniser(second=reader)
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")
    recogniser.set_grammar(language.automaton)
    plain = recogniser.recognise(load(FIXTURES / "heart/next.flac"), language.meaning)
    assert plain.certainty is None
    figure = recogniser.recognise(load(FIXTURES / "pico-us/fifteen.flac"), language.meaning)
    assert figure.alternatives[0].words == ("fifteen",)
    assert figure.certainty is not None
    hours = np.tile(load(FIXTURES / "pico-us/fifteen.flac"), 20)
    assert len(hours) > LONGEST * RATE
    assert recogniser.recognise(hours, language.meaning).certainty is None


def test_the_second_reader_decides_what_is_doubtful() -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)

    def heard(words: str, certainty: float) -> Heard:
        return Heard("test", (Alternative(tuple(words.split()), -1.0),), words, 0.5, 0.0, -1.0, certainty)

    assert decide(heard("fifteen", DEFAULT.figure_certainty), language.interpret) is Hearing.CLEAR
    assert decide(heard("fifteen", DEFAULT.figure_certainty - 0.1), language.interpret) is Hearing.DOUBTFUL
    assert decide(heard("next", DEFAULT.certainty), language.interpret) is Hearing.CLEAR
    assert decide(heard("next", DEFAULT.certainty - 0.1), language.interpret) is Hearing.DOUBTFUL
