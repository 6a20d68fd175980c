"""What can go wrong in speaking, in words for the person at the bench."""

from __future__ import annotations

from handsfree.audio.errors import SoundError


class SpeakingError(SoundError):
    """A voice or a loudspeaker can't be had; the message is one sentence that says what to do."""
