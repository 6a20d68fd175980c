"""The whole program at work in a room without hardware."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE
from tests.support.places import FIXTURES
from tests.support.sound_room import HeardSound, SoundRoom

VOICE = FIXTURES / "heart"


PATIENCE = 90.0


SHORT = """
title: Slide
item: Gauge
revision: 1
steps:
  - {id: gib, do: Set the gib., measure: {name: gib clearance, also: clearance, unit: thou, limits: [1.5, 6]}}
  - {id: cover, do: Fit it.}
  - {id: box, do: Box it.}
"""


class Program:
    """``handsfree run`` at work in a room."""

    def __init__(self, room: SoundRoom, folder: Path, *options: str) -> None:
        procedure = folder / "short.yaml"
        procedure.write_text(SHORT, encoding="utf-8")
        self.room = room
        self.logs = folder / "logs"
        self._out = folder / "out.txt"
        with self._out.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "handsfree.cli", "run", str(procedure), "--logs", str(self.logs),
                 "--recogniser", "builtin", *options],
                env=room.environment, stdin=subprocess.DEVNULL, stdout=out, stderr=subprocess.STDOUT,
            )  # fmt: skip

    @property
    def out(self) -> str:
        """What was printed, without the clock and the line breaks."""
        lines = self._out.read_text(encoding="utf-8").splitlines()
        return " ".join(" ".join(line[10:].split()) if line[2:3] == ":" else line.strip() for line in lines)

    def shows(self, words: str) -> None:
        """Wait until ``words`` are printed."""
        deadline = time.monotonic() + PATIENCE
        while words not in self.out:
            assert self.process.poll() is None and time.monotonic() < deadline, f"no {words!r} in: {self.out}"
            time.sleep(0.01)

    def has_spoken(self, heard: HeardSound, since: int = 0) -> int:
        """Wait until the loudspeaker has spoken after the sample ``since`` and been silent for a second: the gate is
        open again. The sample at which that was."""
        deadline = time.monotonic() + PATIENCE
        while time.monotonic() < deadline:
            samples = heard.samples
            # Tones are softer than this, and come before the words.
            begun = np.abs(samples[since:]).max(initial=0) > 0.25
            if begun and np.abs(samples[-SAMPLE_RATE:]).max() < 0.005:
                return len(samples)
            time.sleep(0.1)
        raise AssertionError("the loudspeaker does not speak, or does not fall silent")

    def stop(self) -> None:
        self.process.send_signal(signal.SIGINT)
        try:
            self.process.wait(15)
        finally:
            self.process.kill()
