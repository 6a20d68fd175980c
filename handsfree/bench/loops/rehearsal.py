"""A clock for rehearsals: while a timer runs and nothing else waits for an answer, time runs fast.

Questions, read-backs and notes keep their real pace: they are what a rehearsal is for.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from handsfree.bench.loops.sources import HeardLater
from handsfree.guide.guide import Guide
from handsfree.hearing.ear import Mode
from handsfree.phrases.utterance import Utterance

SPEED = 60.0
"""How many times faster than real a waiting time passes."""


def only_waiting(guide: Guide) -> bool:
    """Whether a timer runs and nobody is being asked or writing a note."""
    return bool(guide.session.state.timers) and guide.session.question is None and guide.session.note is None


class FastClock:
    """The time of a rehearsal in real time. ``hurry`` tells, whenever the clock is read, whether time runs fast."""

    def __init__(
        self,
        start: datetime,
        hurry: Callable[[], bool],
        speed: float = SPEED,
        seconds: Callable[[], float] = time.monotonic,
    ) -> None:
        self._now = start
        self._hurry = hurry
        self._speed = speed
        self._seconds = seconds
        self._read = seconds()

    def __call__(self) -> datetime:
        here = self._seconds()
        passed, self._read = here - self._read, here
        self._now += timedelta(seconds=passed * (self._speed if self._hurry() else 1.0))
        return self._now


@dataclass(frozen=True)
class _Later:
    """A turn that comes later than it was to."""

    turn: HeardLater
    by: float

    @property
    def start(self) -> float:
        return self.turn.start + self.by

    @property
    def end(self) -> float:
        return self.turn.end + self.by

    def hear(self, mode: Mode) -> Utterance | None:
        return self.turn.hear(mode)


def hurried(turns: Iterable[HeardLater], guide: Callable[[], Guide], speed: float = SPEED) -> Iterator[HeardLater]:
    """Typed lines with time running fast between them while ``only_waiting``."""
    ended = later = 0.0
    for turn in turns:
        if only_waiting(guide()):
            later += (turn.start - ended) * (speed - 1)
        ended = turn.end
        yield _Later(turn, later)
