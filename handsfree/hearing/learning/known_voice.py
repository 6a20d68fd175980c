"""The small file of one person: what was learned of the voice. It stays on this machine, readable by its owner only."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import platformdirs

from handsfree.hearing.errors import HearingError
from handsfree.hearing.learning.layers import Array

FORM = 1
"""Of the file. What another form holds is not read."""
SUFFIX = ".voice"
_LARGEST = 1 << 20
"""Bytes; a voice takes 60,000."""
ABOUT = "about"
_DIGEST = 32
"""Bytes at the beginning of a file: the SHA-256 of the rest."""
FURTHEST = 50.0
"""No number that was learned is as large: a file that holds a larger one is damaged."""


class KnownVoiceError(HearingError):
    """A voice file can't be used; the message is one sentence that says what to do."""


@dataclass(frozen=True)
class KnownVoice:
    """What was learned of one person's voice, for one network (``network``: the SHA-256 of its file)."""

    name: str
    made: date
    network: str
    values: Mapping[str, Array] = field(repr=False)
    """What stands in place of the network's own numbers, by the names of its file."""
    phrases: int = 0
    """How many were said."""
    told: tuple[str, ...] = ()
    """What it was found to hear well and what not, in plain words."""


def voices_folder() -> Path:
    """Where the files of all people are."""
    return Path(platformdirs.user_data_dir("handsfree", appauthor=False)) / "voices"


def voice_file(name: str, folder: Path | None = None) -> Path:
    """The file of the person of this name, whether it is there or not. Capitals and spaces around it don't matter."""
    plain = same_name(name)
    readable = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "voice"
    mark = hashlib.sha256(plain.encode()).hexdigest()[:8]
    return (folder or voices_folder()) / f"{readable}-{mark}{SUFFIX}"


def same_name(name: str) -> str:
    """A name as it is compared."""
    return " ".join(name.split()).casefold()


def save_voice(voice: KnownVoice, folder: Path | None = None) -> Path:
    """Writes the file of a person, whole or not at all, in place of an older one. KnownVoiceError."""
    path = voice_file(voice.name, folder)
    about = {
        "form": FORM,
        "name": voice.name,
        "made": voice.made.isoformat(),
        "network": voice.network,
        "phrases": voice.phrases,
        "told": voice.told,
    }
    content = io.BytesIO()
    held: dict[str, Any] = {f"value/{name}": value for name, value in voice.values.items()}
    held[ABOUT] = np.frombuffer(json.dumps(about, ensure_ascii=False).encode(), np.uint8)
    np.savez_compressed(content, **held)
    try:
        write_private(path, hashlib.sha256(content.getvalue()).digest() + content.getvalue())
    except OSError as error:
        raise KnownVoiceError(f"{path} can't be written ({error.strerror or error}); nothing was kept.") from error
    return path


def write_private(path: Path, content: bytes) -> None:
    """Writes a file that nobody else on the machine may read, whole or not at all. OSError."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    fresh = path.with_name(f"{path.name}.new")
    fresh.unlink(missing_ok=True)
    with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(path)


def load_voice(name: str, network: str, folder: Path | None = None) -> KnownVoice | None:
    """What was learned of the person of this name for this network; None where there is no file.

    KnownVoiceError where the file is damaged, or was made for another network.
    """
    path = voice_file(name, folder)
    if not path.is_file():
        return None
    voice = read_voice(path)
    if same_name(voice.name) != same_name(name):
        raise KnownVoiceError(f"{path} is the voice of {voice.name}, not of {name}; it is not used.")
    if voice.network != network:
        raise KnownVoiceError(
            f"The voice of {voice.name} was learned by another version; it is not used until it is learned again: "
            f'handsfree learn-voice --by "{voice.name}".'
        )
    return voice


def read_voice(path: Path) -> KnownVoice:
    """A voice file. KnownVoiceError where it can't be read, is damaged, or has another form."""
    damaged = KnownVoiceError(f"{path} is damaged; it is not used. Delete it, and learn the voice again.")
    try:
        if path.stat().st_size > _LARGEST:
            raise damaged
        content = path.read_bytes()
        if hashlib.sha256(content[_DIGEST:]).digest() != content[:_DIGEST]:
            raise damaged
        with np.load(io.BytesIO(content[_DIGEST:]), allow_pickle=False) as held:
            about = json.loads(held[ABOUT].tobytes())
            form = about["form"]
            if form != FORM:
                raise KnownVoiceError(
                    f"{path} has the form of another version ({form}); it is not used. Learn the voice again."
                )
            values = {key.removeprefix("value/"): held[key] for key in held.files if key != ABOUT}
            voice = KnownVoice(
                name=str(about["name"]),
                made=date.fromisoformat(about["made"]),
                network=str(about["network"]),
                values=values,
                phrases=int(about["phrases"]),
                told=tuple(map(str, about["told"])),
            )
    except OSError as error:
        raise KnownVoiceError(f"{path} can't be read ({error.strerror or error}); it is not used.") from error
    except (ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile, NotImplementedError) as error:
        raise damaged from error
    if not all(value.dtype == np.float32 and np.all(np.abs(value) < FURTHEST) for value in values.values()):
        raise damaged
    return voice


def voice_files(folder: Path | None = None) -> list[Path]:
    """The files of all people, by name."""
    return sorted((folder or voices_folder()).glob(f"*{SUFFIX}"))


def forget_voice(name: str, folder: Path | None = None) -> bool:
    """Deletes the file of the person of this name; False where there is none. KnownVoiceError."""
    path = voice_file(name, folder)
    try:
        path.unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise KnownVoiceError(f"{path} can't be deleted ({error.strerror or error}).") from error
    return True
