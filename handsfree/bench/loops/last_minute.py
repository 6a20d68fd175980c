"""What is kept of the sound beyond the log: a rolling minute in memory, and more only where the user has chosen so."""

from __future__ import annotations

import json
from collections import deque
from datetime import datetime
from pathlib import Path
from typing import Any

import soundfile

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.phrases.utterance import Hearing, Utterance

KEPT_SECONDS = 60.0


class LastMinute:
    """The last utterances, together a minute of sound at most and none of them older than a minute. Memory only."""

    def __init__(self) -> None:
        self._kept: deque[tuple[datetime, Utterance]] = deque()

    def add(self, utterance: Utterance, now: datetime) -> None:
        self._kept.append((now, utterance))
        self._drop(now)

    def clear(self) -> None:
        """Forget it all."""
        self._kept.clear()

    def seconds(self, now: datetime) -> float:
        """How much sound is kept."""
        self._drop(now)
        return sum(_seconds(utterance) for _, utterance in self._kept)

    def last_heard(self, now: datetime) -> Any:
        """The sound of the last command that was understood (an array), or None."""
        self._drop(now)
        usable = (u for _, u in reversed(self._kept) if u.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL))
        newest = next(usable, None)
        return None if newest is None else newest.sound

    def _drop(self, now: datetime) -> None:
        while self._kept and (now - self._kept[0][0]).total_seconds() > KEPT_SECONDS:
            self._kept.popleft()
        while sum(_seconds(utterance) for _, utterance in self._kept) > KEPT_SECONDS:
            self._kept.popleft()


class KeptToHelp:
    """Every utterance at the bench as a sound file with what it was taken for, for whoever wants to improve hearing.

    Files and a line for each (``heard.jsonl``) in ``folder``, which nothing else reads and which may be deleted.
    """

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self._folder = folder

    def add(self, utterance: Utterance, now: datetime) -> None:
        """OSError where the folder can't be written."""
        if utterance.sound is None or not len(utterance.sound):
            return
        name = f"{now.strftime('%Y-%m-%d-%H%M%S-%f')}.flac"
        soundfile.write(self._folder / name, utterance.sound, SAMPLE_RATE, subtype="PCM_16")
        row = {
            "file": name,
            "hearing": utterance.hearing.value,
            "words": utterance.text,
            "free": utterance.free_text,
            "recogniser": utterance.recogniser,
        }
        with (self._folder / "heard.jsonl").open("a", encoding="utf-8") as lines:
            lines.write(json.dumps(row, ensure_ascii=False) + "\n")


def _seconds(utterance: Utterance) -> float:
    return 0.0 if utterance.sound is None else len(utterance.sound) / SAMPLE_RATE
