"""What can go wrong in hearing, in words for the person at the bench."""

from __future__ import annotations


class HearingError(Exception):
    """Sound, microphone or recogniser can't be had; the message is one sentence that says what to do."""
