"""The sounds that logged words came from, kept beside the log under the hash of their samples.

A clip's name is the SHA-256 of its samples (16 bit, little-endian, mono, 16 kHz), so the same sound is kept
once and a clip can be checked against its name whatever wrote the FLAC.
"""

from __future__ import annotations

import hashlib
import io
import os
from collections.abc import Callable
from pathlib import Path
from tempfile import mkstemp
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.job.errors import LogCorrupt, LogError, LogWriteError, told_by_system
from handsfree.job.log.numbers import is_clip

_LONGEST_SECONDS = 2 * 3600
_SCALE = 32_768
_BLOCK = 1 << 16


def clip_path(folder: Path, sha: str) -> Path:
    """Where the clip of this hash is kept below the log's ``folder``; LogCorrupt for the name of anything else."""
    if not is_clip(sha):
        raise LogCorrupt(f"{sha[:80]!r} in the log of {folder} is no name of a sound: handsfree verify says more")
    return folder / "clips" / sha[:2] / f"{sha}.flac"


def keep_clip(folder: Path, samples: NDArray[Any], before: Callable[[str], None] = lambda sha: None) -> str:
    """Keep ``samples`` and return their hash; they are on disk when this returns. ``before`` is called with the hash
    of a new one before that is written.

    ``samples``: one dimension at 16 kHz, float in -1 to 1 or int16. ValueError for any other shape or none at
    all, LogWriteError where the disk refuses.
    """
    pcm = _pcm(samples)
    sha = hashlib.sha256(pcm.tobytes()).hexdigest()
    path = clip_path(folder, sha)
    if not path.exists():
        try:
            before(sha)
            _write(path, _flac(pcm))
        except OSError as error:
            raise LogWriteError(folder, told_by_system(error)) from error
    return sha


def read_clip(folder: Path, sha: str) -> NDArray[np.float32]:
    """The samples of a clip as float in -1 to 1.

    LogError where it is not there, LogCorrupt where it can't be read or is not the sound of its name.
    """
    import soundfile  # noqa: PLC0415 - takes time, and most commands hear no clip

    path = clip_path(folder, sha)
    if not path.is_file():
        raise LogError(f"clip {sha[:8]} is not at {path}: restore the clips folder that belongs to this log")
    try:
        with soundfile.SoundFile(path) as file:
            pcm = _read(file)
    except (soundfile.SoundFileError, OSError, ValueError, MemoryError, RuntimeError) as error:
        raise LogCorrupt(f"clip {path} can't be read ({error}): restore it from a copy of the log") from error
    if hashlib.sha256(pcm.astype("<i2").tobytes()).hexdigest() != sha:
        raise LogCorrupt(f"clip {path} is not the sound that was kept: restore it from a copy of the log")
    samples: NDArray[np.float32] = pcm.astype(np.float32) / np.float32(_SCALE)
    return samples


def _read(file: Any) -> NDArray[np.int16]:
    """The samples of an open sound, as many as there are, whatever its head says; ValueError for no clip of ours."""
    if (file.samplerate, file.channels) != (SAMPLE_RATE, 1):
        raise ValueError(f"{file.channels} channels at {file.samplerate} Hz")
    blocks: list[NDArray[np.int16]] = []
    while len(block := file.read(_BLOCK, dtype="int16")):
        blocks.append(block)
        if len(blocks) * _BLOCK > _LONGEST_SECONDS * SAMPLE_RATE:
            raise ValueError("it is longer than a clip can be")
    return np.concatenate(blocks) if blocks else np.empty(0, np.int16)


def sync_folder(folder: Path) -> None:
    """Put a folder's own entries on disk; systems that can't open a folder need not."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _pcm(samples: NDArray[Any]) -> NDArray[np.int16]:
    if samples.ndim != 1 or samples.size == 0:
        raise ValueError(f"a clip is one row of samples, not an array of shape {samples.shape}")
    if samples.dtype == np.int16:
        return samples.astype("<i2")
    if not np.issubdtype(samples.dtype, np.floating):
        raise ValueError(f"a clip's samples are float or int16, not {samples.dtype}")
    scaled = np.rint(np.nan_to_num(samples.astype(np.float64)) * _SCALE)
    return np.clip(scaled, -_SCALE, _SCALE - 1).astype("<i2")


def _flac(pcm: NDArray[np.int16]) -> bytes:
    import soundfile  # noqa: PLC0415 - takes time, and most commands hear no clip

    # Encoded in memory: errors of a full disk do not come through the encoder's callbacks.
    encoded = io.BytesIO()
    soundfile.write(encoded, pcm, SAMPLE_RATE, format="FLAC", subtype="PCM_16")
    return encoded.getvalue()


def _write(path: Path, content: bytes) -> None:
    made = [folder for folder in (path.parent, path.parent.parent) if not folder.exists()]
    path.parent.mkdir(parents=True, exist_ok=True)
    for folder in made:
        sync_folder(folder.parent)
    handle, name = mkstemp(suffix=".tmp", prefix=".", dir=path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
        sync_folder(path.parent)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
