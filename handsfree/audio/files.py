"""Sound from a file, as the recognisers want it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from handsfree.audio.errors import SoundError
from handsfree.audio.samples import SAMPLE_RATE, Samples

LONGEST_RECORDING = 4 * 3600
"""Seconds that are taken of one; a small file may hold days of silence."""
_MOST_SAMPLES = 1 << 28
"""A gigabyte of them; with 16 kHz, four hours and a half."""
_BLOCK = 1 << 20


def load_recording(path: Path | str) -> Samples:
    """The recording at ``path`` as mono float32 samples at 16 kHz, channels averaged.

    Any file format, channel count and rate that libsndfile reads is taken. Raises SoundError where there is no such
    file, where it is no sound, or where it holds none.
    """
    path = Path(path)
    try:
        if not path.exists():
            raise SoundError(f"{path}: there is no such file; check the name of the recording.")
        if path.is_dir():
            raise SoundError(f"{path}: this is a folder; name one recording in it.")
        if not path.is_file():
            raise SoundError(f"{path}: this is a device or a pipe; save the recording as a file.")
        if path.stat().st_size == 0:
            raise SoundError(f"{path}: the file is empty; record it again.")
        with soundfile.SoundFile(path) as file:
            mono, rate = _mixed(file, path), int(file.samplerate)
    except OSError as error:
        raise SoundError(f"{path}: the file can't be read ({error.strerror or error}).") from error
    except ValueError as error:
        raise SoundError(f"{path}: this is no name of a file ({error}).") from error
    except (soundfile.SoundFileError, RuntimeError, TypeError) as error:
        raise SoundError(
            f"{path}: this is not a sound file that can be read; give a WAV, FLAC, OGG, MP3 or AIFF file."
        ) from error
    if len(mono) == 0:
        raise SoundError(f"{path}: the recording has no sound in it (zero length); record it again.")
    if not np.isfinite(mono).all():
        raise SoundError(f"{path}: the recording holds values that are not numbers; export it again as WAV.")
    return resampled(mono, rate)


def _mixed(file: soundfile.SoundFile, path: Path) -> Samples:
    """The channels averaged, of as many samples as there are: the head of a file may say anything."""
    most = LONGEST_RECORDING * file.samplerate
    blocks: list[Samples] = []
    length = 0
    while len(block := file.read(max(1, _BLOCK // file.channels), dtype="float32", always_2d=True)):
        length += len(block)
        if length > most or length > _MOST_SAMPLES:
            hours = LONGEST_RECORDING // 3600
            raise SoundError(f"{path}: the recording is longer than {hours} hours; cut it into shorter ones.")
        blocks.append(block.mean(axis=1))
    return np.concatenate(blocks) if blocks else np.empty(0, np.float32)


def resampled(mono: np.ndarray[Any, Any], rate: int) -> Samples:
    """``mono`` samples at ``rate`` per second, brought to float32 at 16 kHz."""
    if rate != SAMPLE_RATE:
        mono = soxr.resample(mono, rate, SAMPLE_RATE)
    return np.ascontiguousarray(mono, dtype=np.float32)
