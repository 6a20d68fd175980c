"""The voice, begun before anybody asks for it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice.engine import VoiceKind, shared_engine

__all__ = ["VoiceKind", "begin_voice"]


def begin_voice(kind: VoiceKind) -> Callable[[], None]:
    """Begin to load the voice, in a thread of its own; what is returned waits until that is over. Raises nothing:
    whoever wants the voice is told what is missing."""
    engine = shared_engine(kind)

    def wait() -> None:
        with suppress(SpeakingError):
            engine.wait_until_ready()

    return wait
