"""The thread that listens: blocks in, utterances out, deaf while the program itself speaks."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable

from handsfree.hearing.ear import Ear, Mode
from handsfree.hearing.endpoints import Endpointer
from handsfree.hearing.errors import HearingError
from handsfree.hearing.microphone import Block, Source
from handsfree.phrases.utterance import Utterance

RETRY_SECONDS = 2.0
READ_SECONDS = 0.2


class Gate:
    """Stretches of time (``time.monotonic``) whose sound must not be heard."""

    def __init__(self) -> None:
        self._spans: list[tuple[float, float]] = []
        self._lock = threading.Lock()

    def close(self, now: float) -> None:
        """Closed from ``now`` until opened; closing twice is closing once."""
        with self._lock:
            running = self._spans and self._spans[-1][1] >= now
            self._spans.append((self._spans.pop()[0] if running else now, math.inf))

    def open(self, when: float) -> None:
        """Open again from ``when`` on."""
        with self._lock:
            if self._spans and self._spans[-1][1] == math.inf:
                self._spans[-1] = (self._spans[-1][0], when)

    def is_closed(self, when: float) -> bool:
        """Whether sound caught at ``when`` must be left out. Ask in the order of time."""
        with self._lock:
            while self._spans and self._spans[0][1] <= when:
                self._spans.pop(0)
            return any(start <= when < end for start, end in self._spans)


class Listener:
    """Listens on ``microphone`` in a thread of its own.

    ``deliver`` gets every utterance and ``trouble`` a sentence when the microphone is lost, and an empty string
    when it is back; both are called on the listener's thread and must return soon.
    """

    def __init__(
        self,
        microphone: Source,
        ear: Ear,
        deliver: Callable[[Utterance], None],
        trouble: Callable[[str], None] = lambda sentence: None,
        *,
        endpointer: Endpointer | None = None,
        retry_seconds: float = RETRY_SECONDS,
    ) -> None:
        self._microphone = microphone
        self._ear = ear
        self._deliver = deliver
        self._trouble = trouble
        self._endpointer = endpointer or Endpointer()
        self._retry_seconds = retry_seconds
        self._gate = Gate()
        self._mode: Mode = "commands"
        self._stopping = threading.Event()
        self._deaf = False
        self._thread = threading.Thread(target=self._run, name="listener", daemon=True)

    @property
    def mode(self) -> Mode:
        """What the next utterance is taken for."""
        return self._mode

    @mode.setter
    def mode(self, mode: Mode) -> None:
        self._mode = mode

    def start(self) -> None:
        """Opens the microphone and begins; HearingError where it can't be opened."""
        self._microphone.start()
        self._thread.start()

    def stop(self) -> None:
        """Ends the thread and closes the microphone. An utterance under way is lost."""
        self._stopping.set()
        if self._thread.is_alive() and self._thread is not threading.current_thread():
            self._thread.join(timeout=10)
        self._microphone.close()

    def close_gate(self) -> None:
        """Deaf from now on: the program is about to speak."""
        self._gate.close(time.monotonic())

    def open_gate(self, tail: float = 0.3) -> None:
        """Listens again ``tail`` seconds from now, when the room has gone quiet."""
        self._gate.open(time.monotonic() + tail)

    def _run(self) -> None:
        while not self._stopping.is_set():
            try:
                block = self._microphone.read(READ_SECONDS)
            except HearingError as error:
                self._trouble(str(error))
                self._come_back()
                continue
            if block is None:
                continue
            try:
                self._take(block)
            except Exception as error:  # one utterance that can't be heard must not leave the bench deaf
                self._endpointer.reset(block.start)
                self._trouble(f"One utterance could not be heard ({error}); say it again.")
                self._trouble("")

    def _take(self, block: Block) -> None:
        if self._gate.is_closed(block.caught):
            self._deaf = True
            return
        if self._deaf:
            self._endpointer.reset(block.start)
            self._deaf = False
        for segment in self._endpointer.feed(block.samples):
            utterance = self._ear.hear(segment, self._mode)
            if self._stopping.is_set():
                return
            self._deliver(utterance)

    def _come_back(self) -> None:
        """Tries until the microphone is there again or the listener is stopped."""
        while not self._stopping.wait(self._retry_seconds):
            try:
                self._microphone.restart()
            except HearingError:
                continue
            self._deaf = True
            self._trouble("")
            return
