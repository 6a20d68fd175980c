"""The voice, begun before anybody asks for it."""

from __future__ import annotations

from contextlib import suppress

from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice.engine import VoiceKind, shared_engine

__all__ = ["VoiceKind", "wait_for_voice"]


def wait_for_voice(kind: VoiceKind) -> None:
    """Load the voice, for whoever asks for it after this. Raises nothing: they are told what is missing."""
    with suppress(SpeakingError):
        shared_engine(kind).wait_until_ready()
