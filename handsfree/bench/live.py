"""A job at the bench in real time: a microphone or a keyboard, and whatever speaks, on one queue."""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Iterable
from dataclasses import dataclass, replace

from handsfree.bench.bench import Bench
from handsfree.bench.clock import SteadyClock
from handsfree.bench.sources import typed_utterance
from handsfree.hearing.listener import Listener
from handsfree.phrases.utterance import Utterance
from handsfree.speaking.recorder import RoomRecorder
from handsfree.speaking.samples import Samples

_LONGEST_WAIT = 0.5


@dataclass(frozen=True)
class _Spoken:
    token: int
    completed: bool


@dataclass(frozen=True)
class _Trouble:
    sentence: str


@dataclass(frozen=True)
class _Typed:
    line: str | None
    """None: there will be no more."""


@dataclass(frozen=True)
class _Pressed:
    words: str
    """A command that was given by a button, as it would be said."""


class LiveBench:
    """Takes utterances, typed lines, the end of speech and trouble from one queue, on one thread."""

    def __init__(self, bench: Bench, clock: SteadyClock | None = None) -> None:
        self.bench = bench
        self.clock = clock or SteadyClock()
        self.listener: Listener | None = None
        self._queue: queue.Queue[Utterance | _Spoken | _Trouble | _Typed | _Pressed] = queue.Queue()
        self._began = time.monotonic()
        self._trouble = ""
        bench.voice = self

    # called from other threads
    def deliver(self, utterance: Utterance) -> None:
        self._queue.put(utterance)

    def trouble(self, sentence: str) -> None:
        """The microphone is lost (a sentence) or back (empty)."""
        self._queue.put(_Trouble(sentence))

    def press(self, words: str) -> None:
        """A button was pressed in place of saying ``words``."""
        self._queue.put(_Pressed(words))

    def read_lines(self, lines: Iterable[str]) -> None:
        """Take typed lines from now on, in a thread of their own."""

        def read() -> None:
            for line in lines:
                self._queue.put(_Typed(line))
            self._queue.put(_Typed(None))

        threading.Thread(target=read, name="typed lines", daemon=True).start()

    # the bench's voice
    def start(self, text: str, token: int) -> None:
        if self.listener is not None:
            self.listener.close_gate()
        if isinstance(self.bench.speaker, RoomRecorder):
            self.bench.speaker.at(time.monotonic() - self._began)
        self.bench.speaker.say(text, lambda completed: self._queue.put(_Spoken(token, completed)))

    def start_sound(self, samples: Samples, token: int) -> None:
        if self.listener is not None:
            self.listener.close_gate()
        self.bench.speaker.play_sound(samples, lambda completed: self._queue.put(_Spoken(token, completed)))

    def run(self) -> None:
        """Until the job is paused or finished and the last words are spoken, or the typed lines end."""
        lines_ended = False
        while not (self.bench.silent and (self.bench.over or lines_ended)):
            try:
                item = self._queue.get(timeout=self._patience())
            except queue.Empty:
                self._time_passes()
                continue
            lines_ended = lines_ended or (isinstance(item, _Typed) and item.line is None)
            self._take(item)

    def _take(self, item: Utterance | _Spoken | _Trouble | _Typed | _Pressed) -> None:
        now = self.clock()
        match item:
            case Utterance():
                self.bench.hear(item, now)
            case _Typed(line=str(line)) if line.strip():
                self.bench.hear(typed_utterance(line, self.bench.guide.language, self.bench.mode), now)
            # In the middle of free speech a button would become part of it.
            case _Pressed() if self.bench.mode == "commands":
                said = typed_utterance(item.words, self.bench.guide.language, "commands")
                self.bench.hear(replace(said, recogniser="button"), now)
            case _Spoken():
                self.bench.ended_speaking(item.token, item.completed, now)
                if self.bench.silent and self.listener is not None:
                    self.listener.open_gate()
            case _Trouble():
                self._report(item.sentence)
            case _:
                pass
        if self.listener is not None:
            self.listener.mode = self.bench.mode

    def _report(self, sentence: str) -> None:
        """Say aloud that the microphone is gone, and when it is back; the job itself is safe."""
        if bool(sentence) == bool(self._trouble):
            return
        self._trouble = sentence
        self.bench.microphone_lost = bool(sentence)
        self.bench.show("trouble", sentence or "the microphone is back")
        said = "The microphone is lost. The job is safe." if sentence else "The microphone is back. I am listening."
        self.bench.announce(said)

    def _patience(self) -> float:
        due = self.bench.guide.next_due()
        if due is None or not self.bench.silent:
            return _LONGEST_WAIT
        return min(_LONGEST_WAIT, max(0.01, (due - self.clock()).total_seconds()))

    def _time_passes(self) -> None:
        if isinstance(self.bench.speaker, RoomRecorder):
            self.bench.speaker.at(time.monotonic() - self._began)
        # What time brings waits until the present words are out: it must not cut a figure short.
        if self.bench.silent:
            self.bench.tick(self.clock())
