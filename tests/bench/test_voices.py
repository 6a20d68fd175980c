"""Whoever is at the bench is heard as it was learned of the voice; nothing that would be heard less well is kept."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from handsfree.audio.files import load_recording
from handsfree.bench.ears import Following, OpenHearing, open_ear
from handsfree.bench.voices.learned import learned
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.ear import Ear
from handsfree.hearing.errors import HearingError
from handsfree.hearing.learning.fitting import FittingSettings
from handsfree.hearing.learning.known_voice import KnownVoice, save_voice, voice_file
from handsfree.hearing.learning.lessons import Said
from handsfree.hearing.learning.weights_of_files import onnx_arrays
from handsfree.hearing.listening.endpoints import segments
from handsfree.phrases.language import Language

FIXTURES = Path(__file__).parents[2] / "audio_fixtures"


@pytest.fixture(scope="module")
def recogniser() -> BuiltinRecogniser:
    try:
        return BuiltinRecogniser()
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")


@pytest.fixture(scope="module")
def ear(recogniser: BuiltinRecogniser) -> Ear:
    return open_ear(recogniser, Language())


@pytest.fixture
def hearing(recogniser: BuiltinRecogniser, ear: Ear, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> OpenHearing:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return OpenHearing(ear, "builtin", [], recognisers=[recogniser])


def first_token(recogniser: BuiltinRecogniser) -> np.ndarray:
    sound = (0.05 * np.random.default_rng(1).standard_normal(8000)).astype(np.float32)
    return recogniser._decoder.start(sound)[1]


def test_a_known_voice_is_used_while_its_person_is_there_and_no_longer(
    hearing: OpenHearing, recogniser: BuiltinRecogniser
) -> None:
    before = first_token(recogniser)
    values = {"conv3.bias": np.full(288, 0.3, np.float32)}
    save_voice(KnownVoice("Jo", date(2026, 11, 26), next(iter(recogniser.files.trained_sha256.values())), values))
    assert hearing.hear_as("jo") == "Hearing is tuned to Jo (learned 2026-11-26)."
    assert not np.array_equal(first_token(recogniser), before)
    assert hearing.hear_as("Sam") == ""
    assert np.array_equal(first_token(recogniser), before)
    assert hearing.hear_as(None) == ""


def test_a_file_that_cannot_be_used_is_told_once_and_work_goes_on_without_it(
    hearing: OpenHearing, recogniser: BuiltinRecogniser
) -> None:
    before = first_token(recogniser)
    path = voice_file("Jo")
    path.parent.mkdir(parents=True)
    path.write_bytes(b"cut off")
    assert "damaged" in hearing.hear_as("Jo")
    save_voice(KnownVoice("Jo", date(2026, 11, 26), "0" * 64, {}))
    assert "another version" in hearing.hear_as("Jo")
    assert np.array_equal(first_token(recogniser), before)


def test_numbers_of_a_wrong_shape_are_told_and_work_goes_on_without_them(
    hearing: OpenHearing, recogniser: BuiltinRecogniser
) -> None:
    before = first_token(recogniser)
    values = {"conv3.bias": np.zeros(7, np.float32)}
    save_voice(KnownVoice("Jo", date(2026, 11, 26), next(iter(recogniser.files.trained_sha256.values())), values))
    assert "learn the voice again" in hearing.hear_as("Jo").lower()
    assert np.array_equal(first_token(recogniser), before)


def test_a_change_at_the_bench_is_followed_once(hearing: OpenHearing, monkeypatch: pytest.MonkeyPatch) -> None:
    heard_as: list[str | None] = []
    monkeypatch.setattr(hearing, "hear_as", lambda name: heard_as.append(name) or f"tuned to {name}")
    there: list[str | None] = [None, "Jo", "Jo", "Sam"]
    told: list[str] = []
    following = Following(hearing, lambda: there[0], told.append)
    while there:
        following()
        there.pop(0)
    assert heard_as == ["Jo", "Sam"]
    assert told == ["tuned to Jo", "tuned to Sam"]


def test_where_the_card_would_be_heard_less_well_nothing_is_kept(recogniser: BuiltinRecogniser) -> None:
    language = Language()
    recogniser.set_grammar(language.automaton)
    before = first_token(recogniser)
    sounds = [segments(load_recording(file))[0] for file in sorted(FIXTURES.rglob("*.flac"))[:1]]
    said = []
    for segment in sounds:
        result = recogniser.recognise(segment.samples, language.meaning)
        if result.alternatives:
            said.append(Said(result.alternatives[0].words, segment))
    assert said
    astray = FittingSettings(rounds=1, rate=3.0, warming=1)
    today = date(2026, 11, 26)
    assert learned("Jo", said, recogniser=recogniser, language=language, today=today, settings=astray) is None
    assert np.array_equal(first_token(recogniser), before)


def test_learning_goes_on_from_what_is_known_and_adds_to_it(recogniser: BuiltinRecogniser) -> None:
    language = Language()
    recogniser.set_grammar(language.automaton)
    before = first_token(recogniser)
    segment = segments(load_recording(next(iter(sorted(FIXTURES.rglob("*.flac"))))))[0]
    result = recogniser.recognise(segment.samples, language.meaning)
    said = [Said(result.alternatives[0].words, segment)]
    moved = {"conv3.bias": recogniser_value(recogniser, "conv3.bias") + np.float32(0.01)}
    known = KnownVoice("Jo", date(2026, 11, 25), "0" * 64, moved, phrases=40, told=("Before.",))
    # Nothing is learned anew by a rate of nought: what was known stays.
    still = FittingSettings(rounds=1, rate=0.0)
    today = date(2026, 11, 26)
    voice = learned(known, said, recogniser=recogniser, language=language, today=today, settings=still)
    assert voice is not None
    assert np.allclose(voice.values["conv3.bias"], moved["conv3.bias"])
    assert (voice.name, voice.made, voice.phrases) == ("Jo", today, 41)
    assert voice.told[0] == "Before." and "1 figures" in voice.told[1]
    assert np.array_equal(first_token(recogniser), before)


def recogniser_value(recogniser: BuiltinRecogniser, name: str) -> np.ndarray:
    arrays, names = onnx_arrays(recogniser.files.encoder)
    plain = next(each for each, (its, _) in names.items() if its == name)
    return np.asarray(arrays[plain], np.float32).reshape(names[plain][1])
