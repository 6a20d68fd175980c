"""Sound from a microphone, brought to 16 kHz."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import soxr

from handsfree.hearing.errors import HearingError
from handsfree.hearing.recogniser import Sound
from handsfree.hearing.recording import RATE

BLOCK_SECONDS = 0.02
SILENT_FOR = 2.0
"""Seconds without a single block after which the microphone counts as gone (its blocks also come in silence)."""


@dataclass(frozen=True)
class Block:
    """Some samples, when they were caught (``time.monotonic``), and where they begin on the source's clock."""

    samples: Sound
    caught: float
    start: float


class Source(Protocol):
    """What a listener listens to."""

    def start(self) -> None:
        """Begins; HearingError where that is not possible."""

    def read(self, timeout: float) -> Block | None:
        """The next block, None if none came in time; HearingError where the source is gone."""

    def close(self) -> None:
        """Ends; may be started again."""

    def restart(self) -> None:
        """Looks for the device anew and begins again; HearingError where it is still gone."""


@dataclass(frozen=True)
class Device:
    """A sound device that can record."""

    index: int
    name: str
    rate: int
    default: bool


def sound_library() -> Any:
    """The module sounddevice; HearingError that says what to install where it can't be had."""
    try:
        import sounddevice
    except (ImportError, OSError) as error:
        raise HearingError(
            "Sound from a microphone needs the PortAudio library, which is missing; on Debian and Ubuntu run: "
            "sudo apt install libportaudio2"
        ) from error
    return sounddevice


def list_devices() -> list[Device]:
    """The devices that can record, in the system's order."""
    library = sound_library()
    try:
        default = library.default.device[0]
        return [
            Device(number, str(entry["name"]), round(entry["default_samplerate"]), number == default)
            for number, entry in enumerate(library.query_devices())
            if entry["max_input_channels"] > 0
        ]
    except library.PortAudioError as error:
        raise HearingError(f"The sound devices can't be listed ({error}).") from error


def choose(devices: list[Device], wanted: str | None) -> Device:
    """The device whose name is or contains ``wanted`` (case does not count), the default one for None."""
    if not devices:
        raise HearingError("There is no microphone on this computer; plug one in and start again.")
    if wanted is None:
        return next((device for device in devices if device.default), devices[0])
    sought = wanted.casefold()
    for matches in (lambda name: name == sought, lambda name: sought in name):
        for device in devices:
            if matches(device.name.casefold()):
                return device
    names = "; ".join(device.name for device in devices)
    raise HearingError(f'No microphone is called "{wanted}"; there are: {names}.')


class Microphone:
    """A microphone at its own rate. ``device`` is (part of) its name, None for the system's default."""

    def __init__(self, device: str | None = None) -> None:
        self._wanted = device
        self.name = device or "default microphone"
        self._stream: Any = None
        self._queue: queue.SimpleQueue[tuple[float, Sound]] = queue.SimpleQueue()
        self._resampler: Any = None
        self._delivered = 0
        self._last_caught = 0.0

    def start(self) -> None:
        if self._stream is not None:
            return
        library = sound_library()
        device = choose(list_devices(), self._wanted)
        blocks: queue.SimpleQueue[tuple[float, Sound]] = queue.SimpleQueue()

        def caught(data: Any, frames: int, when: Any, status: Any) -> None:
            blocks.put((time.monotonic(), data[:, 0].copy()))

        try:
            stream = library.InputStream(
                samplerate=device.rate,
                blocksize=round(device.rate * BLOCK_SECONDS),
                device=device.index,
                channels=1,
                dtype="float32",
                callback=caught,
            )
            stream.start()
        except (library.PortAudioError, ValueError) as error:
            raise HearingError(
                f'The microphone "{device.name}" can\'t be opened ({error}); is another program using it?'
            ) from error
        self._queue, self._stream, self.name = blocks, stream, device.name
        self._resampler = (
            soxr.ResampleStream(device.rate, RATE, 1, dtype="float32", quality="MQ") if device.rate != RATE else None
        )
        self._last_caught = time.monotonic()

    def read(self, timeout: float) -> Block | None:
        if self._stream is None:
            raise HearingError(f'The microphone "{self.name}" is not open.')
        try:
            caught, samples = self._queue.get(timeout=timeout)
        except queue.Empty:
            if not self._stream.active or time.monotonic() - self._last_caught > SILENT_FOR:
                raise HearingError(
                    f'The microphone "{self.name}" gives no more sound; check its plug and cable.'
                ) from None
            return None
        self._last_caught = caught
        if self._resampler is not None:
            samples = self._resampler.resample_chunk(samples)
        block = Block(np.asarray(samples, np.float32), caught, self._delivered / RATE)
        self._delivered += len(samples)
        return block

    def close(self) -> None:
        stream, self._stream = self._stream, None
        if stream is not None:
            _quietly(stream.abort)
            _quietly(stream.close)

    def restart(self) -> None:
        self.close()
        library = sound_library()
        # PortAudio sees what was plugged in or out only when it is started anew.
        _quietly(library._terminate)
        _quietly(library._initialize)
        self.start()


def _quietly(act: Callable[[], Any]) -> None:
    """A device that is gone may fail to be closed, and nothing is lost by that."""
    try:
        act()
    except Exception:
        return
