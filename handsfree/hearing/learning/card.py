"""The card that is read aloud once, and what was said to it so far: kept until the voice is learned."""

from __future__ import annotations

import io
import shutil
import zipfile
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from handsfree.audio.samples import Samples
from handsfree.hearing.learning.known_voice import KnownVoiceError, voice_file, write_private
from handsfree.hearing.learning.lessons import Said, SaidWords
from handsfree.hearing.listening.endpoints import Segment

_Kept: TypeAlias = np.ndarray[Any, np.dtype[np.int16]]
"""Sound as it lies on the disk."""

CARD: tuple[str, ...] = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "zero", "nought",
    "next", "log four and a half thou", "thirteen thou", "thirty thou", "fifteen microns", "fifty microns",
    "what comes after", "nought point two five millimetres", "eighteen degrees", "eighty grams",
    "seven", "three", "nine", "one", "eight", "five", "two", "six", "four", "zero", "nought",
    "go to step nine", "point oh four", "one hundred and sixty", "twelve thou", "twenty seven microns",
    "where am I", "skip this step", "finish the job",
)  # fmt: skip
"""Digits twice, alone, in another order; teens, tens, units, the commonest commands. None of them is said to steer the
reading itself."""


def card_words(phrase: str) -> SaidWords:
    """A phrase of the card as the grammar's words."""
    return tuple(phrase.lower().split())


def said_folder(name: str, folder: Path | None = None) -> Path:
    """Where what this person has said to the card lies until it is learned."""
    return voice_file(name, folder).with_suffix(".begun")


def keep_said(name: str, number: int, segment: Segment, folder: Path | None = None) -> None:
    """Keeps what was said to the phrase of this number (from 0), readable by its owner only. KnownVoiceError."""
    content = io.BytesIO()
    np.savez(
        content,
        samples=_short(segment.samples),
        before=_short(segment.before),
        ends=np.array([segment.start, segment.end]),
        phrase=np.frombuffer(CARD[number].encode(), np.uint8),
    )
    path = said_folder(name, folder) / f"{number:02}.npz"
    try:
        write_private(path, content.getvalue())
    except OSError as error:
        raise KnownVoiceError(f"{path} can't be written ({error.strerror or error}); what was said is lost.") from error


def said_so_far(name: str, folder: Path | None = None) -> dict[int, Said]:
    """What this person has said so far, by the number of the phrase. What can't be read, or was said to another card,
    is left out: it is asked for again."""
    found = {}
    for number, phrase in enumerate(CARD):
        path = said_folder(name, folder) / f"{number:02}.npz"
        try:
            with np.load(path, allow_pickle=False) as held:
                if held["phrase"].tobytes().decode() != phrase:
                    continue
                start, end = held["ends"]
                segment = Segment(_long(held["samples"]), float(start), float(end), _long(held["before"]))
        except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
            continue
        found[number] = Said(card_words(phrase), segment)
    return found


def drop_said(name: str, folder: Path | None = None) -> bool:
    """Deletes what this person has said to the card; False where there is nothing. KnownVoiceError."""
    place = said_folder(name, folder)
    if not place.is_dir():
        return False
    try:
        shutil.rmtree(place)
    except OSError as error:
        raise KnownVoiceError(f"{place} can't be deleted ({error.strerror or error}).") from error
    return True


def _short(sound: Samples) -> _Kept:
    return np.round(np.clip(sound, -1, 1) * 32767).astype(np.int16)


def _long(sound: _Kept) -> Samples:
    return np.asarray(sound / 32767, np.float32)
