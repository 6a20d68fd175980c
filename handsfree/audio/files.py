"""Sound from a file, as the recognisers want it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from handsfree.audio.errors import SoundError
from handsfree.audio.samples import SAMPLE_RATE, Samples


def load_recording(path: Path | str) -> Samples:
    """The recording at ``path`` as mono float32 samples at 16 kHz, channels averaged.

    Any file format, channel count and rate that libsndfile reads is taken. Raises SoundError where there is no such
    file, where it is no sound, or where it holds none.
    """
    path = Path(path)
    if not path.exists():
        raise SoundError(f"{path}: there is no such file; check the name of the recording.")
    if path.is_dir():
        raise SoundError(f"{path}: this is a folder; name one recording in it.")
    try:
        size = path.stat().st_size
        if size == 0:
            raise SoundError(f"{path}: the file is empty; record it again.")
        samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    except OSError as error:
        raise SoundError(f"{path}: the file can't be read ({error.strerror or error}).") from error
    except (soundfile.SoundFileError, RuntimeError, TypeError) as error:
        raise SoundError(
            f"{path}: this is not a sound file that can be read; give a WAV, FLAC, OGG, MP3 or AIFF file."
        ) from error
    if len(samples) == 0:
        raise SoundError(f"{path}: the recording has no sound in it (zero length); record it again.")
    if not np.isfinite(samples).all():
        raise SoundError(f"{path}: the recording holds values that are not numbers; export it again as WAV.")
    return resampled(samples.mean(axis=1), int(rate))


def resampled(mono: np.ndarray[Any, Any], rate: int) -> Samples:
    """``mono`` samples at ``rate`` per second, brought to float32 at 16 kHz."""
    if rate != SAMPLE_RATE:
        mono = soxr.resample(mono, rate, SAMPLE_RATE)
    return np.ascontiguousarray(mono, dtype=np.float32)
