"""The networks that hear, loaded before anybody asks for them."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from handsfree.audio.errors import SoundError
from handsfree.audio.networks import load_ahead
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.listening.voice_activity import find_network
from handsfree.hearing.vosk.models import vosk_model_for


def load_networks(recogniser: str, vosk_model: Path | None) -> None:
    """Load what this choice of a recogniser will want. Raises nothing: whoever wants it is
    told what is missing."""
    with suppress(SoundError):
        paths = [find_network()]
        if recogniser == "both" or vosk_model_for(recogniser, vosk_model) is None:
            files = find_model_files(trained=recogniser != "untrained")
            paths = [files.decoder, files.encoder, *paths]
        for path in paths:
            if path is not None:
                load_ahead(path)
