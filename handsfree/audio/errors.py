"""What can go wrong with sound, in words for the person at the bench."""

from __future__ import annotations


class SoundError(Exception):
    """A sound, a file of it or a device can't be had; the message is one sentence that says what to do."""
