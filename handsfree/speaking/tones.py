"""The three short tones, low and soft, that differ in contour so that they are told apart without a musical ear.

HEARD is one short note that falls away; QUESTION rises in one glide; NOT_CAUGHT is two low knocks. Each has a weak
overtone above a kilohertz: mains hum, which covers the notes themselves, has nothing left there.
"""

from __future__ import annotations

from enum import Enum
from functools import cache

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples

_PEAK = 0.16
_EDGE = 0.008
_OVERTONE, _OVERTONE_SHARE = 3, 0.29
"""The overtone's number, and its amplitude beside the note's (-10.8 dB)."""


class Tone(Enum):
    """What a tone tells: the words were taken, an answer is wanted, or something was said but not understood."""

    HEARD = "heard"
    QUESTION = "question"
    NOT_CAUGHT = "not caught"


@cache
def tone_samples(tone: Tone) -> Samples:
    """The tone's samples (mono, SAMPLE_RATE, read-only), under 0.15 s long, the notes between 200 and 700 Hz."""
    if tone is Tone.HEARD:
        parts = [_note(520, 520, 0.07, decay=0.03)]
    elif tone is Tone.QUESTION:
        parts = [_note(330, 660, 0.14)]
    else:
        knock = _note(260, 230, 0.05, decay=0.02)
        parts = [knock, np.zeros(round(0.035 * SAMPLE_RATE), dtype=np.float32), knock]
    samples = np.concatenate(parts)
    samples.setflags(write=False)
    return samples


def _note(start: float, end: float, seconds: float, decay: float | None = None) -> Samples:
    """A note that glides from ``start`` to ``end`` hertz, with soft edges and, if wanted, an exponential decay (s)."""
    time = np.arange(round(seconds * SAMPLE_RATE)) / SAMPLE_RATE
    frequency = start + (end - start) * time / seconds
    phase = 2 * np.pi * np.cumsum(frequency) / SAMPLE_RATE
    # Below half a kilohertz the third overtone would still lie among those of the hum.
    number = _OVERTONE if start >= 330 else 2 * _OVERTONE
    wave = (np.sin(phase) + _OVERTONE_SHARE * np.sin(number * phase)) / (1 + _OVERTONE_SHARE)
    edges = np.minimum(1.0, np.minimum(time, seconds - time) / _EDGE)
    shape = edges if decay is None else edges * np.exp(-time / decay)
    return np.asarray(_PEAK * wave * shape / shape.max(), dtype=np.float32)
