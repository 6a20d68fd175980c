"""A job at the bench in real time: a microphone or a keyboard, and whatever speaks, on one queue."""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum

from handsfree.audio.samples import Samples
from handsfree.bench.bench import NOT_THE_GUIDES, Bench
from handsfree.bench.loops.clock import SteadyClock
from handsfree.bench.loops.last_minute import KeptToHelp, LastMinute
from handsfree.bench.loops.sources import typed_utterance
from handsfree.guide.effects import Say
from handsfree.hearing.listening.listener import Listener
from handsfree.phrases.intents import Kind
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.speaking.recorder import RoomRecorder
from handsfree.speaking.speaker import AloudSpeaker

_LONGEST_WAIT = 0.5

PRESSED_SECONDS = 8.0
"""A key that can't be seen released opens the ear for one utterance, and for no longer than this."""

RELEASE_SECONDS = 0.25
"""Speech ends a little after the foot has left the pedal."""

HALF_DUPLEX_TAIL = 0.3
"""Seconds that a room goes on sounding after the loudspeaker has ended."""

SPEAK_OF_GAPS = 60.0
"""Seconds between two sentences about lost sound."""


class Manner(Enum):
    """When the bench listens."""

    HALF_DUPLEX = "half duplex"
    """Not while it speaks: it would hear itself through the loudspeaker."""
    BARGE_IN = "barge in"
    """Always: speech that a headset keeps to itself may be cut into."""
    PUSH_TO_TALK = "push to talk"
    """Only while a pedal or key is pressed; pressing it cuts speech short."""


@dataclass(frozen=True)
class _Spoken:
    token: int
    completed: bool


@dataclass(frozen=True)
class _Trouble:
    sentence: str


@dataclass(frozen=True)
class _Gap:
    """Some sound was lost on its way from the microphone."""


@dataclass(frozen=True)
class _Typed:
    line: str | None
    """None: there will be no more."""


@dataclass(frozen=True)
class _Pressed:
    words: str
    """A command that was given by a button, as it would be said."""


@dataclass(frozen=True)
class _Key:
    pressed: bool
    held: bool
    """Whether its release will be seen too."""
    stand_by: bool


_Item = Utterance | _Spoken | _Trouble | _Gap | _Typed | _Pressed | _Key


class LiveBench:
    """Takes utterances, typed lines, keys, the end of speech and trouble from one queue, on one thread.

    ``kept`` gets every utterance where the user has chosen to keep them; without it only the last minute is held.
    """

    def __init__(
        self,
        bench: Bench,
        manner: Manner = Manner.HALF_DUPLEX,
        kept: KeptToHelp | None = None,
        clock: Callable[[], datetime] | None = None,
    ) -> None:
        self.bench = bench
        self.manner = manner
        self.clock = clock or SteadyClock()
        self.listener: Listener | None = None
        self.last_minute = LastMinute()
        self._kept = kept
        self._queue: queue.Queue[_Item] = queue.Queue()
        self._began = time.monotonic()
        self._trouble = ""
        self._gap_told = -SPEAK_OF_GAPS
        self._saying = Say("", NOT_THE_GUIDES)
        self._tried_again = self._said_again = False
        self._unheard = False
        self._output = bench.speaker.output if isinstance(bench.speaker, AloudSpeaker) else ""
        self._voice_note = bench.speaker.voice_note if isinstance(bench.speaker, AloudSpeaker) else ""
        self._ear_closes: float | None = None
        self._replay = False
        bench.speak_through(self)

    # called from other threads
    def deliver(self, utterance: Utterance) -> None:
        self._queue.put(utterance)

    def trouble(self, sentence: str) -> None:
        """The microphone is lost (a sentence) or back (empty)."""
        self._queue.put(_Trouble(sentence))

    def gap(self) -> None:
        """Some sound was lost."""
        self._queue.put(_Gap())

    def key(self, pressed: bool, *, held: bool = False, stand_by: bool = False) -> None:
        """The pedal or key: to talk, or to stand by and come back. ``held``: its release will be told too."""
        self._queue.put(_Key(pressed, held, stand_by))

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
    def start(self, say: Say) -> None:
        self._saying, self._tried_again, self._said_again = say, False, False
        self._speak(say)

    def _speak(self, say: Say) -> None:
        speaker = self.bench.speaker
        if self.listener is not None:
            if self.manner is not Manner.BARGE_IN:
                self.listener.close_gate()
            if isinstance(speaker, AloudSpeaker):
                speaker.follow_noise(self.listener.noise)
        if isinstance(speaker, RoomRecorder):
            speaker.at(time.monotonic() - self._began)
        speaker.say(say.text, lambda completed: self._queue.put(_Spoken(say.token, completed)), carefully=say.carefully)

    def start_sound(self, samples: Samples, token: int) -> None:
        if self.listener is not None:
            self.listener.close_gate()
        self.bench.speaker.play_sound(samples, lambda completed: self._queue.put(_Spoken(token, completed)))

    def run(self) -> None:
        """Until the job is paused or finished and the last words are spoken, or the typed lines end."""
        lines_ended = False
        if self.manner is Manner.PUSH_TO_TALK and self.listener is not None:
            self.listener.close_gate()
        while not (self.bench.silent and (self.bench.over or lines_ended)):
            try:
                item = self._queue.get(timeout=self._patience())
            except queue.Empty:
                self._time_passes()
                continue
            lines_ended = lines_ended or (isinstance(item, _Typed) and item.line is None)
            self._take(item)

    def _take(self, item: _Item) -> None:
        now = self.clock()
        match item:
            case Utterance():
                self._hear(item, now)
            case _Typed(line=str(line)) if line.strip():
                self._hear(typed_utterance(line, self.bench.guide.session.language, self.bench.mode), now)
            # In the middle of free speech a button would become part of it.
            case _Pressed() if self.bench.mode == "commands":
                said = typed_utterance(item.words, self.bench.guide.session.language, "commands")
                self._hear(replace(said, recogniser="button"), now)
            case _Spoken():
                self._spoken(item, now)
            case _Trouble():
                self._report(item.sentence)
            case _Gap():
                self._report_gap()
            case _Key():
                self._press(item, now)
            case _:
                pass
        if self.listener is not None:
            self.listener.mode = self.bench.mode

    # hearing
    def _hear(self, utterance: Utterance, now: datetime) -> None:
        if self.manner is Manner.PUSH_TO_TALK and self._ear_closes is not None and self.listener is not None:
            self._ear_closes = None
            self.listener.close_gate()
        before = self.bench.standing_by
        asks_for_sound = any(intent.kind is Kind.LAST_HEARD for intent in utterance.intents)
        self._replay = asks_for_sound and not before and utterance.hearing is not Hearing.NEAR
        self.bench.hear(utterance, now)
        if before or self.bench.standing_by:
            # Nothing of the sound is held while standing by.
            self.last_minute.clear()
            return
        if not asks_for_sound:
            self.last_minute.add(utterance, now)
        if self._kept is not None:
            try:
                self._kept.add(utterance, now)
            except OSError as error:
                self._kept = None
                self.bench.show("trouble", f"what is heard can't be kept any more ({error.strerror or error})")

    def _press(self, key: _Key, now: datetime) -> None:
        if key.stand_by:
            if key.pressed:
                self._switch(now)
            return
        if self.listener is None:
            return
        if not key.pressed:
            self.listener.finish(RELEASE_SECONDS)
            return
        # The words that were cut off are said again by the guide where they matter.
        self.bench.cut_off(now)
        self.listener.open_gate(0.1)
        self._ear_closes = None if key.held else time.monotonic() + PRESSED_SECONDS

    def _switch(self, now: datetime) -> None:
        """Between standing by and back at the bench, as if it had been said."""
        guide = self.bench.guide
        lines = ["back at the bench"] if self.bench.standing_by else ["stand by"]
        if guide.session.note is not None:
            lines.insert(0, "end of note")
        for line in lines:
            self._hear(typed_utterance(line, guide.session.language, self.bench.mode), now)

    # speaking
    def _spoken(self, item: _Spoken, now: datetime) -> None:
        bench = self.bench
        if bench.speaking == item.token:
            if not item.completed and self._lost_its_voice():
                return
            if item.completed and self._was_covered():
                return
            self._tell_of_output()
            bench.ended_speaking(item.token, item.completed, now)
        if not bench.silent:
            return
        if self._replay and isinstance(bench.speaker, AloudSpeaker):
            self._replay = False
            sound = self.last_minute.last_heard(now)
            if sound is not None:
                bench.speaking = NOT_THE_GUIDES
                bench.speaker.replay(sound, lambda completed: self._queue.put(_Spoken(NOT_THE_GUIDES, True)))
                return
        if self.listener is not None and self.manner is Manner.HALF_DUPLEX:
            self.listener.open_gate(HALF_DUPLEX_TAIL)

    def _lost_its_voice(self) -> bool:
        """What was being said broke off by itself: say it once more, through whatever can be heard now."""
        if self._tried_again:
            if not self._unheard and isinstance(self.bench.speaker, AloudSpeaker):
                self.bench.show("trouble", f"{self.bench.speaker.problem} Answers are only shown here until then.")
            self._unheard = True
            return False
        self._tried_again = True
        self._speak(self._saying)
        return True

    def _was_covered(self) -> bool:
        """A bang was over a danger or a figure: say it once more, before it counts as heard."""
        if self.listener is None or self._said_again or not self._saying.must_hear or not self.listener.banged:
            return False
        self._said_again = True
        self.bench.show("trouble", "a bang was over it: said again")
        self._speak(replace(self._saying, carefully=True))
        return True

    def _tell_of_output(self) -> None:
        speaker = self.bench.speaker
        if not isinstance(speaker, AloudSpeaker):
            return
        if speaker.voice_note != self._voice_note:
            self._voice_note = speaker.voice_note
            self.bench.show("trouble", self._voice_note)
        if speaker.problem is not None:
            return
        if self._unheard or speaker.output != self._output:
            self._output = speaker.output
            self.bench.show("trouble", f"speaking through {speaker.output} now")
        self._unheard = False

    # trouble
    def _report(self, sentence: str) -> None:
        """Say aloud that the microphone is gone, and when it is back; the job itself is safe."""
        if bool(sentence) == bool(self._trouble):
            return
        self._trouble = sentence
        self.bench.microphone_lost = bool(sentence)
        self.bench.show("trouble", sentence or "the microphone is back")
        said = "The microphone is lost. The job is safe." if sentence else "The microphone is back. I am listening."
        self.bench.announce(said)

    def _report_gap(self) -> None:
        now = time.monotonic()
        if now - self._gap_told < SPEAK_OF_GAPS:
            return
        self._gap_told = now
        self.bench.show("trouble", "some sound was lost: the computer is too busy; close other programs")
        self.bench.announce("Some sound was lost.")

    # time
    def _patience(self) -> float:
        due = self.bench.next_due()
        if due is None or not self.bench.silent:
            return _LONGEST_WAIT
        return min(_LONGEST_WAIT, max(0.01, (due - self.clock()).total_seconds()))

    def _time_passes(self) -> None:
        if isinstance(self.bench.speaker, RoomRecorder):
            self.bench.speaker.at(time.monotonic() - self._began)
        if self._ear_closes is not None and time.monotonic() >= self._ear_closes and self.listener is not None:
            self._ear_closes = None
            self.listener.close_gate()
        # What time brings waits until the present words are out: it must not cut a figure short.
        if self.bench.silent:
            self.bench.tick(self.clock())
