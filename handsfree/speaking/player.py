"""Playback that can be cut off at once: samples to the loudspeaker in 20 ms writes, on a thread of its own."""

from __future__ import annotations

import atexit
import threading
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import numpy as np
import soxr

from handsfree.audio.devices import library as sound_system
from handsfree.audio.devices.naming import Device, NoSuchDevice, choose_device, devices_of, in_order_of_preference
from handsfree.audio.errors import SoundError
from handsfree.audio.samples import SAMPLE_RATE, Samples, limited
from handsfree.speaking.errors import SpeakingError

Done = Callable[[bool], None]
"""Told once when a sound is over: True if it ended by itself, False if it was cut off or could not be played."""

VOICE_CEILING = 0.8
TONE_CEILING = 0.18
_BLOCK_SECONDS = 0.02
# With less, a busy computer leaves gaps; abort throws the buffer away, so it costs nothing when speech is cut off.
_LEAST_LATENCY = 0.1
_TAIL_SECONDS = 0.1


class _Sound:
    """A sound that is being played: blocks of samples at the device's rate, taken bit by bit."""

    def __init__(self, parts: Iterable[Samples], done: Done | None, gain: float, ceiling: float) -> None:
        self.done = done
        self._parts: Iterator[Samples] = iter(parts)
        self._gain, self._ceiling = gain, ceiling
        self._rest = np.zeros(0, dtype=np.float32)
        self.over = False
        self.begun = False

    def take(self, count: int, rate: int) -> Samples:
        """The next ``count`` samples at ``rate``; fewer at the end."""
        self.begun = True
        taken: list[Samples] = []
        while count and not self.over:
            if len(self._rest) == 0:
                part = next(self._parts, None)
                if part is None:
                    self.over = True
                    break
                # Resampling overshoots a little, so the limiter comes last.
                same_rate = part if rate == SAMPLE_RATE or not len(part) else soxr.resample(part, SAMPLE_RATE, rate)
                self._rest = limited(same_rate, self._gain, self._ceiling)
            taken.append(self._rest[:count])
            self._rest = self._rest[count:]
            count -= len(taken[-1])
        return np.concatenate(taken) if taken else np.zeros(0, dtype=np.float32)


class Player:
    """Plays one voice and, over or before it, short tones. The device is only held while there is sound.

    ``device`` is (part of) the name of a loudspeaker, None for the default one; when it can't be had, another one is
    used until it can. ``gain`` multiplies what is played from the next sound on; a limiter keeps every sample within
    full scale. ``problem`` is the sentence that says why the last sound could not be played, or None; ``output`` is
    the name of what it was played through.
    """

    def __init__(self, device: str | None = None) -> None:
        """Raises SpeakingError where PortAudio or an output device is missing, or none has the name."""
        try:
            self._sounddevice = sound_system.sound_library()
        except SoundError as error:
            raise SpeakingError(f"Nothing can be played aloud. {error}.") from error
        self._device = device
        try:
            self.output = choose_device(self._outputs(), device, "loudspeaker").name
        except NoSuchDevice as error:
            raise SpeakingError(
                str(error)
                if device is not None
                else "No loudspeaker was found; plug one in, or turn on the sound server, and try again."
            ) from error
        self.gain = 1.0
        self.problem: str | None = None
        self._condition = threading.Condition()
        self._voice: _Sound | None = None
        self._tone: _Sound | None = None
        self._cut = False
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="player", daemon=True)
        self._thread.start()
        # PortAudio is shut down when the program ends, and must not be in the middle of a write then.
        atexit.register(self.close)

    def play(self, sound: Samples | Iterable[Samples], done: Done | None = None) -> None:
        """Play ``sound`` (samples, or pieces of it as they become ready) at once, in place of what is being played."""
        parts = [sound] if isinstance(sound, np.ndarray) else sound
        self._replace(_Sound(parts, done, self.gain, VOICE_CEILING))

    def play_tone(self, samples: Samples) -> None:
        """Play a short tone now: over a voice that has begun, before one that has not."""
        with self._condition:
            if not self._closed:
                self._tone = _Sound([samples], None, self.gain, TONE_CEILING)
                self._condition.notify_all()

    def abort(self) -> None:
        """Silence, within some 20 ms; what was being played is told False."""
        self._replace(None)

    def fail(self, error: SpeakingError, done: Done | None) -> None:
        """What should have been played can't be had: silence, ``problem`` is set and ``done`` is told False."""
        self.abort()
        self.problem = str(error)
        if done is not None:
            done(False)

    def close(self) -> None:
        """Silence, and the end of the thread."""
        with self._condition:
            self._closed = True
        self._replace(None)
        if threading.current_thread() is not self._thread:
            self._thread.join(timeout=2)
        atexit.unregister(self.close)

    def _replace(self, sound: _Sound | None) -> None:
        with self._condition:
            old, self._voice = self._voice, None if self._closed else sound
            if old is not None or sound is None:
                self._cut = True
            if sound is None:
                self._tone = None
            self._condition.notify_all()
        for lost in (old, sound if self._closed else None):
            if lost is not None and lost.done is not None:
                lost.done(False)

    def _outputs(self) -> list[Device]:
        try:
            return devices_of(self._sounddevice, "loudspeaker")
        except (ValueError, self._sounddevice.PortAudioError):
            return []

    def _open(self) -> tuple[Any, Device]:
        """A stream that has been started, through the best loudspeaker that can be had."""
        failure: Exception | None = None
        for anew in (False, True):
            if anew and not sound_system.start_anew(self._sounddevice):
                break
            for device in in_order_of_preference(self._outputs(), self._device):
                try:
                    stream = self._sounddevice.OutputStream(
                        samplerate=device.rate,
                        device=device.index,
                        channels=min(2, device.channels),
                        dtype="float32",
                        latency=max(_LEAST_LATENCY, device.latency),
                    )
                    stream.start()
                    return stream, device
                except (ValueError, self._sounddevice.PortAudioError) as error:
                    failure = error
        raise SpeakingError(
            _failure(failure) if failure else "No loudspeaker was found; plug one in, or turn on the sound server."
        )

    def _run(self) -> None:
        while True:
            with self._condition:
                self._condition.wait_for(lambda: self._voice or self._tone or self._closed)
                if self._closed:
                    return
                self._cut = False
            try:
                self._play_all()
            except Exception as error:  # PortAudio, a driver, or the voice engine: the thread must outlive them
                self.problem = str(error) if isinstance(error, SpeakingError) else _failure(error)
                with self._condition:
                    failed, self._voice, self._tone = self._voice, None, None
                if failed is not None and failed.done is not None:
                    failed.done(False)

    def _play_all(self) -> None:
        """From the first sound until nothing is left to play."""
        with sound_system.in_turn:
            stream, device = self._open()
            try:
                self.output, self.problem = device.name, None
                self._write(stream, device.rate, min(2, device.channels))
            finally:
                stream.close()

    def _write(self, stream: Any, rate: int, channels: int) -> None:
        count = round(rate * _BLOCK_SECONDS)
        # Without zeros after it the end of a sound is still in the buffers when the stream stops.
        tail = round((float(stream.latency) + _TAIL_SECONDS) * rate)
        written = 0
        while True:
            with self._condition:
                voice, tone = self._voice, self._tone
                if self._cut:
                    self._cut = False
                    stream.abort()
                    if voice is None and tone is None:
                        return
                    stream.start()
                    written = 0
            block = np.zeros(count, dtype=np.float32)
            sounding = self._mix(block, tone, rate)
            if voice is not None and (voice.begun or not sounding):
                sounding = self._mix(block, voice, rate) or sounding
            written = 0 if sounding else written + count
            stream.write(np.repeat(block[:, None], channels, axis=1))
            if written >= tail and self._finish(voice, tone):
                stream.abort()
                return

    @staticmethod
    def _mix(block: Samples, sound: _Sound | None, rate: int) -> bool:
        """Add the sound's next samples to the block; whether there were any."""
        if sound is None or sound.over:
            return False
        samples = sound.take(len(block), rate)
        block[: len(samples)] += samples
        return len(samples) > 0

    def _finish(self, voice: _Sound | None, tone: _Sound | None) -> bool:
        """Tell that the voice has ended; whether nothing new has come in the meantime."""
        with self._condition:
            if self._cut or self._voice is not voice or self._tone is not tone:
                return False
            self._voice = self._tone = None
        if voice is not None and voice.done is not None:
            voice.done(True)
        with self._condition:
            return self._voice is None and self._tone is None


def _failure(error: Exception) -> str:
    reason = str(error).split(" [")[0] or type(error).__name__
    return f"The loudspeaker failed ({reason}); check that it is plugged in and that the sound server runs."
