"""The sound library has one state for the whole program: who may use it, and when it is started anew.

It sees what was plugged in or out only when it is started anew, which ends every stream that is open.
"""

from __future__ import annotations

import contextlib
import sys
import threading
import time
from typing import Any

from handsfree.audio.errors import SoundError

in_turn = threading.RLock()
"""Held while a stream is opened, written to or closed: nobody may start the library anew under it."""

SHORTEST_SEARCH = 1.0
"""Seconds between two fresh starts."""

_state = {"generation": 0, "started": 0.0}


def sound_library() -> Any:
    """The module sounddevice; SoundError that says what to install where it or PortAudio is missing."""
    try:
        import sounddevice  # noqa: PLC0415 - may be missing: then it is said what to install
    except ImportError as error:
        raise SoundError(
            "Microphones and loudspeakers need the Python package sounddevice, which is missing; "
            "run: pip install sounddevice"
        ) from error
    except OSError as error:
        how = (
            "on Debian and Ubuntu run: sudo apt install libportaudio2"
            if sys.platform.startswith("linux")
            else "run: pip install --force-reinstall sounddevice"
        )
        raise SoundError(f"Microphones and loudspeakers need the PortAudio library, which is missing; {how}") from error
    return sounddevice


def generation() -> int:
    """How often the library was started anew; streams that were opened in an earlier generation are gone."""
    return int(_state["generation"])


def start_anew(library: Any) -> bool:
    """Start ``library`` (sounddevice) anew; False where that was done a moment ago. Waits for what is being played."""
    with in_turn:
        if time.monotonic() - _state["started"] < SHORTEST_SEARCH:
            return False
        for act in (library._terminate, library._initialize):
            # A device that is gone may fail to be closed, and nothing is lost by that.
            with contextlib.suppress(Exception):
                act()
        _state["generation"] += 1
        _state["started"] = time.monotonic()
        return True
