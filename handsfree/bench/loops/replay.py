"""A job played from a recording or from typed lines, on a clock of its own.

A recording holds the voice of one side only, so it waits while the answer is being spoken, as a person would: what
follows is moved on by as much. Time is the recording's; nothing is slept away, except while a loudspeaker speaks.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from handsfree.audio.samples import Samples
from handsfree.bench.bench import Bench
from handsfree.bench.loops.sources import HeardLater, RecordedTurn, TimeLeftOut
from handsfree.guide.effects import Say
from handsfree.speaking.recorder import RoomRecorder
from handsfree.speaking.speaker import AloudSpeaker

REACTION = 0.4
"""Seconds that a person takes before speaking, after the answer has ended."""


@dataclass
class Timing:
    """Seconds from the end of speech to the first sound of the answer, one for each answered utterance.

    The closing silence by which the end of speech is known is counted in.
    """

    answers: list[float] = field(default_factory=list)


class PlayedBench:
    """Plays turns through a bench. ``room`` gets what a person in the room would have heard, both voices."""

    def __init__(self, bench: Bench, start: datetime, room: RoomRecorder | None = None) -> None:
        self.bench = bench
        self.start_time = start
        self.timing = Timing()
        self._seconds = 0.0
        self._left_out = timedelta()
        """The waits that were left out of the recording so far."""
        self._speech_ends: float | None = None
        self._token = 0
        speaker = bench.speaker
        self._line = speaker if isinstance(speaker, RoomRecorder) else room
        self._also_record = room is not None and speaker is not room
        self._began_answering: float | None = None
        bench.speak_through(self)

    @property
    def now(self) -> datetime:
        return self.start_time + self._left_out + timedelta(seconds=self._seconds)

    # the bench's voice
    def start(self, say: Say) -> None:
        speaker = self.bench.speaker
        self._token = say.token
        if self._line is not None:
            self._line.at(self._seconds)
        if self._also_record and self._line is not None:
            self._line.say(say.text, carefully=say.carefully)
        if isinstance(speaker, AloudSpeaker):
            ended = threading.Event()
            seconds = speaker.say(say.text, lambda _: ended.set(), carefully=say.carefully)
            self._mark_answer()
            ended.wait(timeout=seconds + 5)
        else:
            seconds = speaker.say(say.text, carefully=say.carefully)
            self._mark_answer()
        self._speech_ends = self._seconds + seconds

    def start_sound(self, samples: Samples, token: int) -> None:
        speaker = self.bench.speaker
        self._token = token
        if self._line is not None:
            self._line.at(self._seconds)
        if self._also_record and self._line is not None:
            self._line.play_sound(samples)
        if isinstance(speaker, AloudSpeaker):
            ended = threading.Event()
            seconds = speaker.play_sound(samples, lambda _: ended.set())
            ended.wait(timeout=seconds + 5)
        else:
            seconds = speaker.play_sound(samples)
        self._mark_answer()
        self._speech_ends = self._seconds + seconds

    def _mark_answer(self) -> None:
        if self._began_answering is not None:
            self.timing.answers.append(self._closing + time.perf_counter() - self._began_answering)
            self._began_answering = None

    _closing = 0.0

    # the clock
    def advance(self, to: float) -> None:
        """Let time pass until ``to``: speech ends, questions expire, timers ring, each at its moment."""
        while not self.bench.over:
            if self._speech_ends is not None:
                if self._speech_ends > to:
                    break
                self._to(self._speech_ends)
                self._speech_ends = None
                self.bench.ended_speaking(self._token, True, self.now)
                continue
            due = self.bench.next_due()
            if due is None or due > self.start_time + self._left_out + timedelta(seconds=to):
                break
            self._to((due - self.start_time - self._left_out).total_seconds())
            self.bench.tick(self.now)
        self._to(to)

    def _to(self, seconds: float) -> None:
        self._seconds = max(self._seconds, seconds)
        if self._line is not None:
            self._line.at(self._seconds)

    def finish_speaking(self) -> None:
        """Let everything that is being said come to its end."""
        while self._speech_ends is not None:
            self._to(self._speech_ends)
            self._speech_ends = None
            self.bench.ended_speaking(self._token, True, self.now)

    def play(self, turns: Iterable[HeardLater]) -> None:
        """Play every turn; stops when the job is paused or finished."""
        shift = self._seconds
        for turn in turns:
            # The answer may bring a further one (a timer that was due): wait for them all.
            while self._speech_ends is not None and self._speech_ends + REACTION > turn.start + shift:
                shift += self._speech_ends + REACTION - (turn.start + shift)
                self.advance(turn.start + shift)
            self.advance(turn.start + shift)
            if self.bench.over:
                break
            self._hear(turn, shift)
            if self.bench.over:
                break
        self.finish_speaking()
        self.bench.note_time(self.now)

    def _hear(self, turn: HeardLater, shift: float) -> None:
        if isinstance(turn, RecordedTurn):
            if self._line is not None:
                self._line.add(turn.segment.samples, turn.start + shift)
            self._closing = turn.closing_silence
        self.advance(turn.end + shift)
        if isinstance(turn, TimeLeftOut):
            self._left_out += turn.lasting
        began = time.perf_counter()
        utterance = turn.hear(self.bench.mode)
        if utterance is None or self.bench.over:
            return
        self._began_answering = began
        self.bench.hear(utterance, self.now)
        self._began_answering = None
