"""What can go wrong in hearing, in words for the person at the bench."""

from __future__ import annotations

from handsfree.audio.errors import SoundError


class HearingError(SoundError):
    """A microphone or a recogniser can't be had; the message is one sentence that says what to do."""
