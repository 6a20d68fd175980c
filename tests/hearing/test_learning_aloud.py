"""The card read through a real sound stream: what is said in a room reaches the folder that a voice is learned from."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.hearing.learning.card import CARD, keep_said, said_folder, said_so_far
from handsfree.hearing.listening.endpoints import Segment
from tests.support.places import FIXTURES
from tests.support.sound_room import SoundRoom

pytestmark = pytest.mark.realtime

NEXT = CARD.index("next")


def test_a_phrase_said_in_the_room_is_kept_and_the_next_one_is_asked_for(room: SoundRoom, tmp_path: Path) -> None:
    sound, rate = soundfile.read(FIXTURES / "heart" / "next.flac")
    spoken = tmp_path / "next.wav"
    soundfile.write(spoken, np.pad(sound, rate // 2), rate)
    folder = Path(room.environment["XDG_DATA_HOME"]) / "handsfree" / "voices"
    quiet = Segment(np.full(4000, 0.01, np.float32), 0.0, 0.25)
    for number in range(NEXT):
        keep_said("Jo", number, quiet, folder)
    reading = subprocess.Popen(
        [sys.executable, "-m", "handsfree.cli", "learn-voice", "--by", "Jo", "--speak", "print"],
        env=room.environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )  # fmt: skip
    assert reading.stdout is not None
    try:
        told = _until(reading.stdout, f'say: "{CARD[NEXT]}"')
        assert f"{NEXT} of {len(CARD)} phrases were said before" in told
        # It begins to listen when the room has gone quiet.
        time.sleep(2.0)
        room.say(spoken)
        _until(reading.stdout, f'say: "{CARD[NEXT + 1]}"')
    finally:
        reading.kill()
        reading.wait()
    kept = said_so_far("Jo", folder)
    assert sorted(kept) == list(range(NEXT + 1))
    assert 0.3 < len(kept[NEXT].segment.samples) / 16000 < 3
    assert np.abs(kept[NEXT].segment.samples).max() > 0.02
    assert said_folder("Jo", folder).stat().st_mode & 0o077 == 0


def _until(lines: Iterator[str], text: str) -> str:
    """Everything up to the line that holds ``text``."""
    told = ""
    for line in lines:
        told += line
        if text in line:
            return told
    raise AssertionError(told)
