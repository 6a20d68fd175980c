"""The neural voice as a driver of pyttsx3, beside eSpeak's and the system's: to a file or to memory, never to a device.

``NAME`` is what pyttsx3 knows it by once ``register`` was called.
"""

from __future__ import annotations

import sys
from typing import IO, Any

import soundfile

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.speaking.voice.neural import NATURAL_RATE, TIMBRES, NeuralVoice

NAME = "neural"


def register() -> None:
    """Let ``pyttsx3.init(NAME)`` find this driver."""
    sys.modules[f"pyttsx3.drivers.{NAME}"] = sys.modules[__name__]


def buildDriver(proxy: Any) -> NeuralDriver:
    """What pyttsx3 calls; SpeakingError where there is no neural voice."""
    return NeuralDriver(proxy)


class NeuralDriver:
    """Does what it is told at once, on the caller's thread; a failure reaches the engine as its event "error"."""

    def __init__(self, proxy: Any) -> None:
        self._proxy = proxy
        self._voice = NeuralVoice()
        self._properties: dict[str, Any] = {"voice": next(iter(TIMBRES)), "rate": NATURAL_RATE, "volume": 1.0}

    def save_to_file(self, text: str, target: str | IO[bytes]) -> None:
        self._proxy.setBusy(True)
        try:
            timbre = TIMBRES[self._properties["voice"]]
            samples = self._voice.speak(text, self._properties["rate"], timbre) * self._properties["volume"]
            soundfile.write(target, samples, SAMPLE_RATE, format="WAV", subtype="FLOAT")
            self._proxy.notify("finished-utterance", completed=True)
        finally:
            self._proxy.setBusy(False)

    def getProperty(self, name: str) -> Any:
        if name == "voices":
            from pyttsx3.voice import Voice  # noqa: PLC0415 - this module must load without it, to say that it is missing

            return [Voice(id=name, name=name, languages=["en-US"]) for name in TIMBRES]
        return self._properties[name]

    def setProperty(self, name: str, value: Any) -> None:
        if name not in self._properties or (name == "voice" and value not in TIMBRES):
            raise KeyError(name)
        self._properties[name] = value

    def startLoop(self) -> None:
        self._proxy.setBusy(False)

    def endLoop(self) -> None:
        """What was asked for is done when it is asked for."""

    def stop(self) -> None:
        """Nothing is in work between two calls."""

    def destroy(self) -> None:
        """The network goes with the driver."""
