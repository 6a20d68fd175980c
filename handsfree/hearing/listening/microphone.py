"""Sound from a microphone, brought to 16 kHz."""

from __future__ import annotations

import queue
import time
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import soxr

from handsfree.audio.devices import library as sound_system
from handsfree.audio.devices.naming import Device, NoSuchDevice, choose_device, devices_of
from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.errors import HearingError

BLOCK_SECONDS = 0.02
SILENT_FOR = 2.0
"""Seconds without a single block after which the microphone counts as gone (its blocks also come in silence)."""


@dataclass(frozen=True)
class Block:
    """Some samples, when they were caught (``time.monotonic``), and where they begin on the source's clock."""

    samples: Samples
    caught: float
    start: float
    gap: bool = False
    """Sound was lost just before these samples: the computer was too busy to take it."""


class AudioSource(Protocol):
    """What a listener listens to."""

    def start(self) -> None:
        """Begins; HearingError where that is not possible."""

    def read(self, timeout: float) -> Block | None:
        """The next block, None if none came in time; HearingError where the source is gone."""

    def close(self) -> None:
        """Ends; may be started again."""

    def restart(self) -> None:
        """Looks for the device anew and begins again; HearingError where it is still gone."""


def list_devices() -> list[Device]:
    """The devices that can record, in the system's order."""
    library = sound_system.sound_library()
    try:
        return devices_of(library, "microphone")
    except library.PortAudioError as error:
        raise HearingError(f"The sound devices can't be listed ({error}).") from error


def chosen_microphone(wanted: str | None) -> Device:
    """The microphone of this name or a part of it, the default one for None; HearingError where there is none."""
    try:
        return choose_device(list_devices(), wanted, "microphone")
    except NoSuchDevice as error:
        raise HearingError(str(error)) from error


class Microphone:
    """A microphone at its own rate. ``device`` is (part of) its name, None for the system's default."""

    def __init__(self, device: str | None = None) -> None:
        self._wanted = device
        self.name = device or "default microphone"
        self._stream: Any = None
        self._generation = 0
        self._queue: queue.SimpleQueue[tuple[float, Samples, bool]] = queue.SimpleQueue()
        self._resampler: Any = None
        self._delivered = 0
        self._last_caught = 0.0

    def start(self) -> None:
        if self._stream is not None:
            return
        library = sound_system.sound_library()
        with sound_system.in_turn:
            device = chosen_microphone(self._wanted)
            blocks: queue.SimpleQueue[tuple[float, Samples, bool]] = queue.SimpleQueue()

            def caught(data: Any, frames: int, when: Any, status: Any) -> None:
                blocks.put((time.monotonic(), data[:, 0].copy(), bool(status.input_overflow)))

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
            self._generation = sound_system.generation()
        self._queue, self._stream, self.name = blocks, stream, device.name
        self._resampler = None
        if device.rate != SAMPLE_RATE:
            self._resampler = soxr.ResampleStream(device.rate, SAMPLE_RATE, 1, dtype="float32", quality="MQ")
        self._last_caught = time.monotonic()

    def read(self, timeout: float) -> Block | None:
        if self._stream is None:
            raise HearingError(f'The microphone "{self.name}" is not open.')
        try:
            caught, samples, gap = self._queue.get(timeout=timeout)
        except queue.Empty:
            if not self._alive():
                raise HearingError(
                    f'The microphone "{self.name}" gives no more sound; check its plug and cable.'
                ) from None
            return None
        self._last_caught = caught
        if self._resampler is not None:
            samples = self._resampler.resample_chunk(samples)
        block = Block(np.asarray(samples, np.float32), caught, self._delivered / SAMPLE_RATE, gap)
        self._delivered += len(samples)
        return block

    def _alive(self) -> bool:
        with sound_system.in_turn:
            if self._generation != sound_system.generation():
                # The library was started anew for the loudspeaker's sake, which ended this stream.
                self._stream = None
                self.start()
                return True
            return bool(self._stream.active) and time.monotonic() - self._last_caught <= SILENT_FOR

    def close(self) -> None:
        stream, self._stream = self._stream, None
        if stream is None:
            return
        with sound_system.in_turn:
            if self._generation == sound_system.generation():
                sound_system.let_go(stream)

    def restart(self) -> None:
        self.close()
        sound_system.start_anew(sound_system.sound_library())
        self.start()
