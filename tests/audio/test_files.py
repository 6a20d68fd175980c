"""Recordings of any kind come in as mono sound at 16 kHz."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.audio.errors import SoundError
from handsfree.audio.files import load_recording


def tone(rate: int, seconds: float = 1.0, hertz: float = 440.0) -> np.ndarray:
    return (0.5 * np.sin(2 * np.pi * hertz * np.arange(round(rate * seconds)) / rate)).astype(np.float32)


def loudest_hertz(sound: np.ndarray) -> float:
    return float(np.abs(np.fft.rfft(sound)).argmax() * 16_000 / len(sound))


@pytest.mark.parametrize("rate", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000])
@pytest.mark.parametrize(("ending", "subtype"), [("wav", "PCM_16"), ("wav", "FLOAT"), ("flac", "PCM_24")])
def test_a_tone_keeps_its_pitch_and_length_at_any_rate(tmp_path: Path, rate: int, ending: str, subtype: str) -> None:
    soundfile.write(tmp_path / f"tone.{ending}", tone(rate), rate, subtype=subtype)
    sound = load_recording(tmp_path / f"tone.{ending}")
    assert sound.dtype == np.float32
    assert sound.ndim == 1
    assert abs(len(sound) - 16_000) <= 2
    assert abs(loudest_hertz(sound) - 440) < 1.5
    assert abs(np.abs(sound[2000:-2000]).max() - 0.5) < 0.02


def test_channels_are_averaged(tmp_path: Path) -> None:
    left = tone(16_000)
    soundfile.write(tmp_path / "two.wav", np.stack([left, 0 * left], axis=1), 16_000)
    assert abs(np.abs(load_recording(tmp_path / "two.wav")).max() - 0.25) < 0.01


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match=r"gone\.wav: there is no such file"):
        load_recording(tmp_path / "gone.wav")


@pytest.mark.parametrize("content", [b"these are words, not sound\n", b"RIFF\x00\x00\x00\x00WAVE", bytes(2000)])
def test_what_is_no_sound_is_refused_in_one_sentence(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "words.wav"
    path.write_bytes(content)
    with pytest.raises(SoundError, match=r"words\.wav: ") as caught:
        load_recording(path)
    assert "\n" not in str(caught.value)


def test_an_empty_file_and_a_recording_without_samples_are_refused(tmp_path: Path) -> None:
    (tmp_path / "empty.wav").touch()
    with pytest.raises(SoundError, match="empty"):
        load_recording(tmp_path / "empty.wav")
    soundfile.write(tmp_path / "nothing.wav", np.zeros(0, np.float32), 16_000)
    with pytest.raises(SoundError, match="no sound in it"):
        load_recording(tmp_path / "nothing.wav")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match="folder"):
        load_recording(tmp_path)


def test_samples_that_are_not_numbers_are_refused(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "bad.wav", np.full(100, np.nan, np.float32), 16_000, subtype="FLOAT")
    with pytest.raises(SoundError, match="not numbers"):
        load_recording(tmp_path / "bad.wav")
