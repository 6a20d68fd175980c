"""Kept sounds: named by what they hold, kept once, checked on reading."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pytest

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.job.errors import LogCorrupt, LogError
from handsfree.job.log.clips import clip_path, keep_clip, read_clip

soundfile = pytest.importorskip("soundfile")


def tone(hertz: float = 440.0, seconds: float = 0.5) -> np.ndarray:
    return (0.3 * np.sin(2 * np.pi * hertz * np.arange(int(SAMPLE_RATE * seconds)) / SAMPLE_RATE)).astype(np.float32)


def test_a_clip_is_a_flac_file_at_16_khz_named_by_the_hash_of_its_samples(tmp_path: Path) -> None:
    sha = keep_clip(tmp_path, tone())
    path = tmp_path / "clips" / sha[:2] / f"{sha}.flac"
    info = soundfile.info(path)
    assert (info.format, info.subtype, info.samplerate, info.channels) == ("FLAC", "PCM_16", 16000, 1)
    samples, _ = soundfile.read(path, dtype="int16")
    assert hashlib.sha256(samples.astype("<i2").tobytes()).hexdigest() == sha


def test_a_clip_comes_back_as_it_was_to_16_bits(tmp_path: Path) -> None:
    sound = tone()
    back = read_clip(tmp_path, keep_clip(tmp_path, sound))
    assert back.dtype == np.float32
    assert np.abs(back - sound).max() <= 0.5 / 32768


def test_the_same_sound_is_kept_once_whatever_its_type(tmp_path: Path) -> None:
    sha = keep_clip(tmp_path, tone())
    written = clip_path(tmp_path, sha).stat().st_mtime_ns
    assert keep_clip(tmp_path, tone()) == sha
    assert keep_clip(tmp_path, read_clip(tmp_path, sha)) == sha
    assert keep_clip(tmp_path, np.rint(tone() * 32768).astype(np.int16)) == sha
    assert clip_path(tmp_path, sha).stat().st_mtime_ns == written
    assert keep_clip(tmp_path, tone(441.0)) != sha
    assert len([path for path in (tmp_path / "clips").rglob("*") if path.is_file()]) == 2


def test_too_loud_sound_is_clipped_and_does_not_wrap_round(tmp_path: Path) -> None:
    back = read_clip(tmp_path, keep_clip(tmp_path, np.array([2.0, -2.0, 1.0, np.nan], dtype=np.float32)))
    assert back.tolist() == pytest.approx([1.0, -1.0, 1.0, 0.0], abs=1e-4)


@pytest.mark.parametrize("wrong", [np.zeros((2, 100), np.float32), np.zeros(0, np.float32), np.zeros(9, np.int64)])
def test_what_is_no_row_of_samples_is_refused(tmp_path: Path, wrong: np.ndarray) -> None:
    with pytest.raises(ValueError, match="a clip"):
        keep_clip(tmp_path, wrong)
    assert list(tmp_path.iterdir()) == []


def test_a_sound_file_without_a_sample_is_not_the_sound_that_was_kept(tmp_path: Path) -> None:
    sha = keep_clip(tmp_path, tone())
    clip_path(tmp_path, sha).unlink()
    soundfile.write(clip_path(tmp_path, sha), np.empty(0, np.int16), SAMPLE_RATE, format="WAV")
    with pytest.raises(LogCorrupt, match="not the sound that was kept"):
        read_clip(tmp_path, sha)


def test_a_clip_that_is_missing_or_not_itself_is_an_error(tmp_path: Path) -> None:
    sha, other = keep_clip(tmp_path, tone()), keep_clip(tmp_path, tone(300.0))
    clip_path(tmp_path, sha).write_bytes(clip_path(tmp_path, other).read_bytes())
    with pytest.raises(LogCorrupt, match="not the sound"):
        read_clip(tmp_path, sha)
    clip_path(tmp_path, sha).write_bytes(b"fLaC rubbish")
    with pytest.raises(LogCorrupt, match="can't be read"):
        read_clip(tmp_path, sha)
    clip_path(tmp_path, sha).unlink()
    with pytest.raises(LogError, match=sha[:8]):
        read_clip(tmp_path, sha)
