"""The thread that listens: blocks in, utterances out, deaf while the program itself speaks."""

from __future__ import annotations

import math
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

from handsfree.audio.errors import SoundError
from handsfree.audio.levels import level
from handsfree.hearing.ear import Mode
from handsfree.hearing.listening.endpoints import Endpointer, Segment
from handsfree.hearing.listening.microphone import BLOCK_SECONDS, AudioSource, Block
from handsfree.phrases.utterance import Hearing, Utterance

RETRY_SECONDS = 2.0
READ_SECONDS = 0.2
NOISE_SECONDS = 10.0
LEAST_LEVELS = 50
"""Blocks without speech from which the noise is known (one second)."""
BANG = 4.0
"""How many times louder (12 dB) than the program's own voice at the microphone, in all but its loudest fifth, a sound
must be to have covered a word. The voice itself is 2.8 times as loud as that at most (eighty answers; eSpeak 3.2)."""
LEAST_BANG = 0.03
"""Root mean square below which nothing covers anything (-30 dB of full scale)."""


class Hears(Protocol):
    """What makes an utterance of a segment: an ear, or two."""

    def hear(self, segment: Segment, mode: Mode = "commands") -> Utterance: ...


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


@dataclass(frozen=True)
class _Early:
    """What an utterance was taken for while its closing silence was still running."""

    segment: Segment
    mode: Mode
    utterance: Utterance

    def fits(self, segment: Segment, mode: Mode) -> bool:
        mine = self.segment
        return (mine.start, mine.end, mine.part, self.mode) == (segment.start, segment.end, segment.part, mode)


class Listener:
    """Listens to ``microphone`` in a thread of its own.

    ``deliver`` gets every utterance, ``trouble`` a sentence when the microphone is lost and an empty string when it is
    back, ``gap`` is told when some sound was lost; all are called on the listener's thread and must return soon.
    ``ended`` tells of a clearly heard phrase that it cannot go on, so that no further silence need be waited for.
    """

    def __init__(  # noqa: PLR0913 - the parts it works with, by keyword beyond the four that are always given
        self,
        microphone: AudioSource,
        ear: Hears,
        deliver: Callable[[Utterance], None],
        trouble: Callable[[str], None] = lambda sentence: None,
        *,
        gap: Callable[[], None] = lambda: None,
        ended: Callable[[tuple[str, ...]], bool] = lambda words: False,
        endpointer: Endpointer | None = None,
        retry_seconds: float = RETRY_SECONDS,
    ) -> None:
        self._microphone = microphone
        self._ear = ear
        self._deliver = deliver
        self._trouble = trouble
        self._tell_gap = gap
        self._ended = ended
        self._endpointer = endpointer or Endpointer()
        self._retry_seconds = retry_seconds
        self._gate = Gate()
        self._mode: Mode = "commands"
        self._stopping = threading.Event()
        self._deaf = False
        self._early: _Early | None = None
        self._gap = False
        self._finish_at = math.inf
        self._levels: deque[float] = deque(maxlen=round(NOISE_SECONDS / BLOCK_SECONDS))
        self._while_deaf: list[float] = []
        self._thread = threading.Thread(target=self._run, name="listener", daemon=True)

    @property
    def mode(self) -> Mode:
        """What the next utterance is taken for."""
        return self._mode

    @mode.setter
    def mode(self, mode: Mode) -> None:
        self._mode = mode

    @property
    def noise(self) -> float | None:
        """The bench's noise of the last ten seconds without speech, in dB below full scale; None: not known yet."""
        levels = sorted(self._levels.copy())
        if len(levels) < LEAST_LEVELS:
            return None
        return 20 * math.log10(max(levels[len(levels) // 5], 1e-5))

    @property
    def banged(self) -> bool:
        """Whether there was a bang since the gate was closed, loud enough to cover a word of what was being said."""
        levels = sorted(self._while_deaf.copy())
        return bool(levels) and levels[-1] > max(BANG * levels[len(levels) * 4 // 5], LEAST_BANG)

    def start(self) -> None:
        """Opens the microphone and begins; SoundError where it can't be opened."""
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
        self._while_deaf = []
        self._gate.close(time.monotonic())

    def open_gate(self, tail: float = 0.3) -> None:
        """Listens again ``tail`` seconds from now, when the room has gone quiet."""
        self._gate.open(time.monotonic() + tail)

    def finish(self, after: float = 0.0) -> None:
        """What is being said ends ``after`` seconds from now (a pedal was released); deaf from then on."""
        self._finish_at = time.monotonic() + after

    def _run(self) -> None:
        while not self._stopping.is_set():
            try:
                block = self._microphone.read(READ_SECONDS)
            except SoundError as error:
                self._trouble(str(error))
                self._come_back()
                continue
            if block is None:
                continue
            try:
                self._take(block)
                if time.monotonic() >= self._finish_at:
                    self._finish_at = math.inf
                    self._hand_on(self._endpointer.flush())
                    self.close_gate()
            except Exception as error:  # one utterance that can't be heard must not leave the bench deaf
                self._endpointer.reset(block.start)
                self._trouble(f"One utterance could not be heard ({error}); say it again.")
                self._trouble("")

    def _take(self, block: Block) -> None:
        if self._gate.is_closed(block.caught):
            self._deaf = True
            self._while_deaf.append(level(block.samples))
            return
        if self._deaf:
            self._endpointer.reset(block.start)
            self._deaf, self._early, self._gap = False, None, False
        if block.gap:
            self._gap = True
            self._tell_gap()
        found = self._endpointer.feed(block.samples)
        self._hand_on(found)
        if not self._endpointer.speaking:
            self._levels.append(level(block.samples))
            # A gap before the speech does no harm.
            self._gap = block.gap
        else:
            self._hear_early()

    def _hand_on(self, found: list[Segment]) -> None:
        for segment in found:
            early, self._early = self._early, None
            if early is not None and early.fits(segment, self._mode):
                utterance = early.utterance
            else:
                utterance = self._ear.hear(segment, self._mode)
            if self._gap and utterance.hearing is Hearing.CLEAR:
                # With a piece missing, "fifteen" may have been "a hundred and fifteen".
                utterance = replace(utterance, hearing=Hearing.DOUBTFUL)
            self._gap = False
            if self._stopping.is_set():
                return
            self._deliver(utterance)

    def _hear_early(self) -> None:
        """Decode while the closing silence is still running; thrown away if speech goes on."""
        offered = self._endpointer.offered
        if offered is None or (self._early is not None and self._early.segment is offered):
            return
        self._early = _Early(offered, self._mode, self._ear.hear(offered, self._mode))
        heard = self._early.utterance
        if self._mode == "commands" and heard.hearing is Hearing.CLEAR and self._ended(heard.words):
            self._endpointer.hurry()

    def _come_back(self) -> None:
        """Tries until the microphone is there again or the listener is stopped."""
        while not self._stopping.wait(self._retry_seconds):
            try:
                self._microphone.restart()
            except SoundError:
                continue
            self._deaf = True
            self._trouble("")
            return
