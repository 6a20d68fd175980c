"""The three short tones, low and soft, that differ in contour so that they are told apart without a musical ear.

HEARD is one short note that falls away; QUESTION rises in one glide; NOT_CAUGHT is two low knocks.
"""

from __future__ import annotations

from enum import Enum
from functools import cache

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples

_PEAK = 0.16
_EDGE = 0.008


class Tone(Enum):
    """What a tone tells: the words were taken, an answer is wanted, or something was said but not understood."""

    HEARD = "heard"
    QUESTION = "question"
    NOT_CAUGHT = "not caught"


@cache
def tone_samples(tone: Tone) -> Samples:
    """The tone's samples (mono, SAMPLE_RATE, read-only), under 0.15 s long and between 200 and 700 Hz."""
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
    """A sine that glides from ``start`` to ``end`` hertz, with soft edges and, if wanted, an exponential decay (s)."""
    time = np.arange(round(seconds * SAMPLE_RATE)) / SAMPLE_RATE
    frequency = start + (end - start) * time / seconds
    wave = np.sin(2 * np.pi * np.cumsum(frequency) / SAMPLE_RATE)
    edges = np.minimum(1.0, np.minimum(time, seconds - time) / _EDGE)
    shape = edges if decay is None else edges * np.exp(-time / decay)
    return np.asarray(_PEAK * wave * shape / shape.max(), dtype=np.float32)
