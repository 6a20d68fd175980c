"""A microphone that plays what it is given, block by block."""

from __future__ import annotations

import queue
import time

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.errors import HearingError
from handsfree.hearing.listening.microphone import Block


class PlayedMicrophone:
    """A microphone that gives the blocks put into it; an error put in is a microphone that is lost."""

    def __init__(self) -> None:
        self.blocks: queue.Queue[Block | HearingError] = queue.Queue()
        self.clock = 0.0
        self.failures = 0
        self.restarts = 0

    def put(self, sound: np.ndarray, caught: float | None = None) -> None:
        self.blocks.put(Block(sound, time.monotonic() if caught is None else caught, self.clock))
        self.clock += len(sound) / SAMPLE_RATE

    def start(self) -> None: ...

    def close(self) -> None: ...

    def read(self, timeout: float) -> Block | None:
        try:
            block = self.blocks.get(timeout=timeout)
        except queue.Empty:
            return None
        if isinstance(block, HearingError):
            raise block
        return block

    def restart(self) -> None:
        self.restarts += 1
        if self.restarts <= self.failures:
            raise HearingError("still gone")
