"""The whole way in, through a real sound stream: a voice is played into a room in which the microphone listens.

A process of its own listens, since the sound library reads its surroundings only once.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.support.places import FIXTURES
from tests.support.sound_room import SoundRoom

pytestmark = pytest.mark.realtime


@pytest.fixture
def spoken(tmp_path: Path) -> list[str]:
    """Two recorded commands, the same at every run: what is tested is the way through the room."""
    names = []
    for text in ("next", "repeat"):
        sound, rate = soundfile.read(FIXTURES / "heart" / f"{text}.flac")
        names.append(str(tmp_path / f"{text}.wav"))
        soundfile.write(names[-1], np.pad(sound, rate // 2), rate)
    return names


def listen(room: SoundRoom, *arguments: str) -> list[object]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.support.listening", *arguments],
        env=room.environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    answer: list[object] = json.loads(done.stdout.splitlines()[-1])
    return answer


def test_commands_are_heard_in_a_room_except_while_the_gate_is_closed(room: SoundRoom, spoken: list[str]) -> None:
    first, second, gated, again = listen(room, "keep", *spoken)
    assert isinstance(first, dict)
    assert isinstance(second, dict)
    assert isinstance(again, dict)
    assert (first["meaning"], first["hearing"]) == (["next"], "clear")
    assert (second["meaning"], second["hearing"]) == (["repeat"], "clear")
    assert gated is None
    assert again["meaning"] == ["next"]
    assert first["end"] < second["start"] < second["end"] < again["start"]


def test_a_microphone_that_goes_away_is_told(room: SoundRoom, spoken: list[str]) -> None:
    *_, trouble = listen(room, "lose")
    assert "gives no more sound" in str(trouble)
