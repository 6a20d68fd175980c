"""The sound library has one state for the whole program: who may use it, and when it is started anew.

It sees what was plugged in or out only when it is started anew, which ends every stream that is open.

Under a sound server that died PortAudio 19.6 may go round for ever in a thread of its own (in ``pa_linux_alsa.c``
``PaAlsaStream_WaitForFrames`` jumps back to its own check, and writes a line each time), and whoever ends that stream
waits for ever. Such a stream is left to itself: ``hangs``. New ones can be opened beside it.
"""

from __future__ import annotations

import atexit
import contextlib
import sys
import threading
import time
from collections.abc import Callable
from typing import Any

from handsfree.audio.errors import SoundError

in_turn = threading.RLock()
"""Held while a stream is opened, written to or closed: nobody may start the library anew under it."""

SHORTEST_SEARCH = 1.0
"""Seconds between two fresh starts."""

LONGEST_END = 5.0
"""Seconds after which the library hangs that should have ended a stream."""
SHORTEST_END = 1.0
"""The same where it is known to hang: for another stream, which may be sound."""

_state = {"generation": 0, "started": 0.0, "known": False}
_hanging = threading.Event()


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
    if not _state["known"]:
        _state["known"] = True
        # What is registered last is called first.
        atexit.register(_leave, sounddevice)
    return sounddevice


def generation() -> int:
    """How often the library was started anew; streams that were opened in an earlier generation are gone."""
    return int(_state["generation"])


def hangs() -> bool:
    """Whether a stream of the library never ends: the library can't be started anew, nor shut down, without waiting
    for ever."""
    return _hanging.is_set()


def give_up() -> None:
    """From now on the library ``hangs``."""
    _hanging.set()


def let_go(stream: Any) -> None:
    """End ``stream`` at once, whatever state it is in. What was being played or heard is lost."""
    _within_limit(stream.abort, stream.close)


def start_anew(library: Any) -> bool:
    """Start ``library`` (sounddevice) anew; False where that was done a moment ago, or it hangs. Waits for what is
    being played."""
    with in_turn:
        if hangs() or time.monotonic() - _state["started"] < SHORTEST_SEARCH:
            return False
        _within_limit(library._terminate, library._initialize)
        if hangs():
            return False
        _state["generation"] += 1
        _state["started"] = time.monotonic()
        return True


def _within_limit(*acts: Callable[[], object]) -> None:
    """Do what ends streams, and wait for it no longer than LONGEST_END: then the library ``hangs``."""

    def act() -> None:
        for each in acts:
            # A device that is gone may fail to be closed, and nothing is lost by that.
            with contextlib.suppress(Exception):
                each()

    thread = threading.Thread(target=act, name="ends a stream", daemon=True)
    thread.start()
    deadline = time.monotonic() + LONGEST_END
    while thread.is_alive() and time.monotonic() < deadline:
        thread.join(timeout=0.1)
        if hangs():
            deadline = min(deadline, time.monotonic() + SHORTEST_END)
    if thread.is_alive():
        give_up()


def _leave(library: Any) -> None:
    """At the program's end: sounddevice would shut the library down, and wait for ever where it hangs."""
    if hangs():
        atexit.unregister(library._exit_handler)
