"""Lines said by a synthetic voice that is installed, as a recording."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.audio.samples import SAMPLE_RATE, silence
from tests.support.hearing_sounds import voices

USUAL = ("flite rms", "flite awb", "espeak-ng en-us")
"""Voices that the network was trained with: what is tried here is what comes of words, not how they are heard."""


def recording(path: Path, *lines: str, pause: float = 1.5) -> Path:
    """The lines in quiet, each followed by a pause in seconds; the test is skipped where no voice is installed."""
    voice = next((voices()[name] for name in USUAL if name in voices()), None)
    if voice is None:
        pytest.skip("needs a voice: flite or espeak-ng (Debian packages of these names)")
    sound = [np.concatenate((silence(1.0), voice(line), silence(pause))) for line in lines]
    soundfile.write(path, np.concatenate(sound), SAMPLE_RATE)
    return path
