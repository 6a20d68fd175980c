"""What several tests of hearing work in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.errors import HearingError
from tests.support.sound_room import SoundRoom, open_room


@pytest.fixture
def room(tmp_path: Path) -> Iterator[SoundRoom]:
    """A room with a loudspeaker and a microphone, and a recogniser to hear in it; else its tests are skipped."""
    try:
        find_model_files()
    except HearingError as error:
        pytest.skip(str(error))
    room = open_room(tmp_path)
    yield room
    room.close()
