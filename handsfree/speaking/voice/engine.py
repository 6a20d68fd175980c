"""The voice engines of the process, each driven from a thread of its own: pyttsx3, rendering to memory.

The neural voice speaks unless another is asked for; where it can't be had, or fails, the system's speaks in its place.
On Linux that is eSpeak, and no system package is needed: where the system has no libespeak-ng, the one that the package
espeakng-loader carries is loaded before pyttsx3 looks for it. On other systems pyttsx3's own drivers write a file, and
that is read back.
"""

from __future__ import annotations

import ctypes
import io
import os
import sys
import tempfile
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path
from typing import Any, Literal, NamedTuple

import numpy as np
import soundfile
import soxr

from handsfree.audio.samples import SAMPLE_RATE, Samples, trimmed
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice import driver
from handsfree.speaking.voice.lexicon import Form, for_the_engine

_TIMEOUT = 10.0
_ATTEMPTS = 3
_PHONEMES = 0x100
"""eSpeak's flag (espeakPHONEMES in speak_lib.h) that lets it read phones between double brackets."""
_HOW_TO_INSTALL = "install the Python packages pyttsx3 and espeakng-loader (pip install pyttsx3 espeakng-loader)"

VoiceKind = Literal["neural", "system", "espeak"]
"""Whose voice: the neural one, the one that pyttsx3 takes on this system, or eSpeak's."""


class Job(NamedTuple):
    """A text of at most a few hundred characters, to be spoken."""

    text: str
    words_per_minute: int
    second: bool = False
    """In the second of the two voices."""


def load_espeak() -> None:
    """Make libespeak-ng known to this process on Linux, from espeakng-loader where the system has none.

    Raises SpeakingError where neither is there.
    """
    try:
        ctypes.CDLL("libespeak-ng.so.1")
        return
    except OSError:
        pass
    try:
        import espeakng_loader  # noqa: PLC0415 - may be missing, or not fit this machine

        data, library = espeakng_loader.get_data_path(), espeakng_loader.get_library_path()
        # Without its data the library ends the process, so it is told before it is loaded.
        os.environ["ESPEAK_DATA_PATH"] = data
        ctypes.CDLL(library, mode=ctypes.RTLD_GLOBAL)
    except (ImportError, OSError, RuntimeError) as error:
        raise SpeakingError(
            f"No voice can be had, because libespeak-ng is missing ({error}); {_HOW_TO_INSTALL}."
        ) from error


def with_its_own_size(synth: Callable[..., int]) -> Callable[..., int]:
    """The library's function (text, size, ...), given the size that the text has.

    The driver gives ten times as much, and the library copies all of it: past the end of the text, now and then past
    the end of what the process may read, which ends the process.
    """

    def sized(text: bytes, _: int, *rest: Any) -> int:
        *places, flags, identifier, user_data = rest
        return synth(text, len(text) + 1, *places, flags | _PHONEMES, identifier, user_data)

    return sized


class VoiceEngine:
    """Renders short texts, one at a time, on its own thread; urgent ones go before those prepared ahead.

    ``note`` says in one line that another voice speaks than the one that was asked for, and why; empty where it does.
    """

    def __init__(self, kind: VoiceKind = "neural") -> None:
        self.note = ""
        self._kind = kind
        self._stand_in: VoiceEngine | None = None
        self._voices: tuple[str | None, str | None] = (None, None)
        self._second = False
        self._problem: BaseException | None = None
        self._condition = threading.Condition()
        self._urgent: OrderedDict[Job, Future[Samples]] = OrderedDict()
        self._ahead: OrderedDict[Job, Callable[[Job, Samples], None]] = OrderedDict()
        self._ready: Future[None] = Future()
        self._finished = threading.Event()
        self._completed = False
        self._rate = 0
        self._engine: Any = None
        threading.Thread(target=self._run, name="voice engine", daemon=True).start()

    def wait_until_ready(self) -> None:
        """Return once the engine can be used; SpeakingError says why it can't."""
        self._ready.result()

    def render(self, job: Job) -> Samples:
        """The text spoken, without the silence at its ends; SpeakingError where the engine gives up."""
        self.wait_until_ready()
        with self._condition:
            future = self._urgent.setdefault(job, Future())
            self._condition.notify_all()
        return future.result()

    def render_ahead(self, jobs: list[Job], keep: Callable[[Job, Samples], None], most_waiting: int) -> None:
        """Render ``jobs`` in this order when there is nothing urgent, before older wishes, and hand each to ``keep``.

        The oldest wishes are forgotten if there are more than ``most_waiting``.
        """
        with self._condition:
            older, self._ahead = self._ahead, OrderedDict((job, keep) for job in jobs)
            for job, old_keep in older.items():
                self._ahead.setdefault(job, old_keep)
            while len(self._ahead) > most_waiting:
                self._ahead.popitem()
            self._condition.notify_all()

    def _run(self) -> None:
        try:
            self._open_or_hand_over()
        except SpeakingError as error:
            self._ready.set_exception(error)
            return
        self._ready.set_result(None)
        while True:
            with self._condition:
                self._condition.wait_for(lambda: self._urgent or self._ahead)
                urgent = bool(self._urgent)
                job: Job = next(iter(self._urgent if urgent else self._ahead))
                keep = None if urgent else self._ahead.pop(job)
            result: Samples | None = None
            problem: BaseException | None = None
            try:
                result = self._render_or_hand_over(job)
            except Exception as error:  # the thread must outlive any failure of a driver
                problem = error
            with self._condition:
                # A wish for the same text may have become urgent in the meantime.
                future = self._urgent.pop(job, None)
            if result is not None:
                if keep is not None:
                    keep(job, result)
                if future is not None:
                    future.set_result(result)
            elif future is not None:
                future.set_exception(
                    problem
                    if isinstance(problem, SpeakingError)
                    else SpeakingError(f"The voice engine can't speak ({problem}); start the program again.")
                )

    def _open_or_hand_over(self) -> None:
        try:
            self._open()
        except SpeakingError as error:
            self._hand_over(error)

    def _render_or_hand_over(self, job: Job) -> Samples:
        if self._stand_in is None:
            try:
                return self._render(job)
            except SpeakingError as error:
                self._hand_over(error)
        assert self._stand_in is not None
        return self._stand_in.render(job)

    def _hand_over(self, error: SpeakingError) -> None:
        """Let the system's voice speak from now on; SpeakingError where there is none, or it was that one."""
        if self._kind != "neural":
            raise error
        stand_in = shared_engine("system")
        stand_in.wait_until_ready()
        self._stand_in = stand_in
        self.note = f"The system's voice speaks in place of the neural one: {error}"

    def _open(self) -> None:
        try:
            espeak = self._kind != "neural" and sys.platform.startswith("linux")
            if espeak:
                load_espeak()
            if sys.platform == "win32":
                ctypes.windll.ole32.CoInitialize(None)
            import pyttsx3  # noqa: PLC0415 - may be missing, or not fit this machine

            if self._kind == "neural":
                driver.register()
                self._engine = pyttsx3.Engine(driver.NAME)
            else:
                self._engine = pyttsx3.init("espeak" if self._kind == "espeak" else None)
            self._engine.connect("finished-utterance", self._on_finished)
            self._engine.connect("error", self._on_error)
            self._choose_voices()
            if str(self._engine) == "espeak":
                # The driver announces each file on standard output; that is the user's page, not its log.
                sys.modules["pyttsx3.drivers.espeak"].print = _say_nothing  # type: ignore[attr-defined]
                library: Any = sys.modules["pyttsx3.drivers._espeak"]
                library.cSynth = with_its_own_size(library.cSynth)
        except SpeakingError:
            raise
        except Exception as error:  # drivers raise whatever their system raises
            reason = str(error) or type(error).__name__
            raise SpeakingError(f"No voice can be had ({reason}); {_HOW_TO_INSTALL}.") from error

    def _choose_voices(self) -> None:
        voices = self._engine.getProperty("voices")
        if self._kind == "neural":
            self._voices = (str(voices[0].id), str(voices[1].id))
            return
        first = british_voice(voices)
        if first is not None:
            self._engine.setProperty("voice", first)
        # eSpeak makes another speaker of any voice; of other systems' voices only one is known to be English.
        self._voices = (first, f"{first}+f3" if first and str(self._engine) == "espeak" else first)

    def _on_error(self, exception: BaseException, **_: object) -> None:
        self._problem = exception
        self._on_finished(completed=False)

    def _on_finished(self, completed: bool = True, **_: object) -> None:
        self._completed = completed
        self._finished.set()

    def _render(self, job: Job) -> Samples:
        if str(self._engine) in ("espeak", driver.NAME):
            return self._render_to_memory(job)
        return self._render_to_file(job)

    def _render_to_memory(self, job: Job) -> Samples:
        for _ in range(_ATTEMPTS):
            target = io.BytesIO()
            self._set_manner(job)
            self._finished.clear()
            self._problem = None
            self._engine.save_to_file(for_the_engine(job.text, self._form), target)
            self._engine.runAndWait()
            if self._finished.wait(_TIMEOUT) and self._completed:
                target.seek(0)
                return _read(target)
        reason = f" ({self._problem})" if self._problem is not None else ""
        raise SpeakingError(f"The voice engine gives no sound{reason}; start the program again.")

    @property
    def _form(self) -> Form:
        name = str(self._engine)
        return "neural" if name == driver.NAME else "espeak" if name == "espeak" else "letters"

    def _set_manner(self, job: Job) -> None:
        self._settle()
        if job.words_per_minute != self._rate:
            self._engine.setProperty("rate", job.words_per_minute)
            self._rate = job.words_per_minute
            self._settle()
        if job.second != self._second and self._voices[0] != self._voices[1]:
            self._engine.setProperty("voice", self._voices[job.second])
            self._second = job.second
            self._settle()

    def _settle(self) -> None:
        """Wait until the library's own thread has done all it was told.

        The espeak driver cancels what is in work when a run begins: a change of rate would be lost, or the new text.
        """
        library = sys.modules.get("pyttsx3.drivers._espeak")
        deadline = time.monotonic() + _TIMEOUT
        while library is not None and library.IsPlaying() and time.monotonic() < deadline:
            time.sleep(0.0005)

    def _render_to_file(self, job: Job) -> Samples:
        suffix = ".aiff" if sys.platform == "darwin" else ".wav"
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"speech{suffix}"
            self._set_manner(job)
            self._finished.clear()
            self._engine.save_to_file(for_the_engine(job.text, self._form), str(path))
            self._engine.runAndWait()
            deadline = time.monotonic() + _TIMEOUT
            size = -1
            while time.monotonic() < deadline:
                # Not every driver tells when a file is finished: one that has stopped growing is.
                before, size = size, path.stat().st_size if path.exists() else -1
                if size > 0 and (self._finished.is_set() or size == before):
                    try:
                        return _read(path)
                    except soundfile.SoundFileError:
                        pass
                self._finished.wait(0.05)
        raise SpeakingError("The voice engine writes no sound file; start the program again.")


def british_voice(voices: list[Any]) -> str | None:
    """The id of the first British voice among pyttsx3's, else of an English one; None where the engine has neither."""
    english: str | None = None
    for voice in voices:
        identity = str(voice.id)
        if identity.startswith(("mb/", "mb-", "!v/")):
            continue  # voices that need data which is usually not installed
        for language in voice.languages or ():
            name = language.decode(errors="ignore") if isinstance(language, bytes) else str(language)
            name = name.strip("\x00\x01\x02\x03\x04\x05").replace("_", "-").lower()
            if name == "en-gb":
                return identity
            if english is None and name.startswith("en"):
                english = identity
    return english


def _read(source: io.BytesIO | Path) -> Samples:
    samples, rate = soundfile.read(source, dtype="float32", always_2d=True)
    mono = samples.mean(axis=1)
    if len(mono) and rate != SAMPLE_RATE:
        mono = soxr.resample(mono, rate, SAMPLE_RATE)
    return trimmed(np.ascontiguousarray(mono, dtype=np.float32))


def _say_nothing(*_: object, **__: object) -> None:
    pass


_shared: dict[VoiceKind, VoiceEngine] = {}
_shared_lock = threading.Lock()


def shared_engine(kind: VoiceKind = "neural") -> VoiceEngine:
    """The process's engine of this kind, begun at the first call."""
    if kind == "espeak" and sys.platform.startswith("linux"):
        kind = "system"
    with _shared_lock:
        if kind not in _shared:
            _shared[kind] = VoiceEngine(kind)
        return _shared[kind]
