"""Where one utterance may be parted: at its pauses, and where the voice is lowest."""

from __future__ import annotations

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples

LEVEL_FRAME = SAMPLE_RATE // 100
MOST_PLACES = 4
SHORTEST_PAUSE = 0.15
"""No piece is shorter than this."""
LOW = 0.2
"""Level of a place to part at, against that of the voice."""


def parting_places(sound: Samples) -> list[int]:
    """Samples at which ``sound`` may be parted, the lowest first, four at most."""
    count = len(sound) // LEVEL_FRAME
    if count < 4:
        return []
    frames = sound[: count * LEVEL_FRAME].reshape(count, LEVEL_FRAME)
    levels = np.sqrt(np.mean(frames**2, axis=1) + 1e-12)
    # Sums, not means: they are compared with each other alone.
    smooth = np.convolve(levels, np.ones(6), mode="same")
    voice = float(np.percentile(smooth, 80))
    speech = np.flatnonzero(smooth > LOW * voice)
    apart = round(SHORTEST_PAUSE * SAMPLE_RATE / LEVEL_FRAME)
    if not len(speech):
        return []
    inside = np.arange(speech[0] + apart, speech[-1] - apart)
    places: list[int] = []
    for frame in inside[np.argsort(smooth[inside], kind="stable")]:
        if smooth[frame] > LOW * voice or len(places) == MOST_PLACES:
            break
        # A long pause is one place: each costs two readings of the sound.
        place = _middle(smooth, int(frame), LOW * voice)
        if all(abs(place - other) >= apart for other in places):
            places.append(place)
    return [place * LEVEL_FRAME for place in places]


def _middle(levels: Samples, place: int, low: float) -> int:
    """The middle of the low stretch around ``place``."""
    first = last = place
    while first > 0 and levels[first - 1] <= low:
        first -= 1
    while last + 1 < len(levels) and levels[last + 1] <= low:
        last += 1
    return (first + last) // 2
