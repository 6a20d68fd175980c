"""A small procedure, and a job on it played by typed lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timezone

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import Mode, TypedTurn, typed
from handsfree.bench.setting_up import NO_WORKSHOP, ReadyJob, ready
from handsfree.job.events import Event
from handsfree.job.log.store import Store
from handsfree.job.state import JobState, fold
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Utterance
from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.workshop import Workshop
from handsfree.speaking.print_speaker import PrintSpeaker

MORNING = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)


SMALL = """
title: Adjustment of the gate latch
item: Bench gauge, pattern C
revision: 1
steps:
  - id: load
    do: Press the spring down and hook it.
    dangers:
      - say: Spring under load. Keep your face clear.
        until: release
  - id: set
    do: Set the latch clearance.
    fasteners: {count: 2, size: M2 x 5, head: cheese head, left-hand thread: true}
    lubricant: {which: instrument oil, where: the pivot, how much: one drop}
    why: Too tight and it sticks.
    details: Use the long blade.
    measure:
      name: latch clearance
      also: clearance
      unit: thou
      limits: [3, 5]
      target: 4
      tool: {name: feeler blades, resolution: 0.5 thou}
  - id: cure
    do: Put one drop of lacquer on the screw.
    wait: {for: 10 minutes, name: lacquer}
    rests on: set
  - id: prove
    do: Measure both clearances.
    measure:
      - {name: latch clearance, unit: thou, limits: [3, 5], when: as left}
      - {name: stop gap, unit: mm, at most: 0.5}
    rests on: [set, cure]
  - id: release
    do: Let the spring down.
    check: Does the latch fall by itself?
"""


@dataclass
class Played:
    """What a played job left behind."""

    said: list[str] = field(default_factory=list)
    """Everything that was spoken, in order."""
    shown: list[tuple[str, str]] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    over: str | None = None

    @property
    def state(self) -> JobState:
        return fold(self.events)

    @property
    def last(self) -> str:
        return self.said[-1]

    def answers(self, words: str) -> list[str]:
        """What was spoken after ``words`` were heard for the last time, before the next was heard."""
        at = max(i for i, (kind, text) in enumerate(self.shown) if kind in ("heard", "doubtful") and text == words)
        answered = []
        for kind, text in self.shown[at + 1 :]:
            if kind in ("heard", "doubtful", "ignored"):
                break
            answered.append(text if kind == "says" else kind)
        return answered


Play = Callable[..., Played]


@dataclass
class SpokenTurn(TypedTurn):
    """A line that counts as heard: what is typed is never asked back for how it sounds."""

    def hear(self, mode: Mode) -> Utterance | None:
        heard = super().hear(mode)
        return None if heard is None else replace(heard, recogniser="spoken in a test")


def spoken(lines: Iterable[str], language: Language) -> Iterator[SpokenTurn]:
    """Each line as it would be heard, understood without doubt."""
    return (SpokenTurn(**vars(turn)) for turn in typed(lines, language))


def played_out(job: ReadyJob, store: Store, turns: Iterable[TypedTurn], at: datetime) -> Played:
    """What is left behind by a job that begins or goes on at ``at``, once these turns have been taken."""
    played = Played()

    def show(kind: str, text: str) -> None:
        played.shown.append((kind, text))
        if kind == "says":
            played.said.append(text)

    bench = Bench(
        job.guide,
        store,
        PrintSpeaker(lambda _: None, guessing=True),
        show,
        job.log,
        changer=job.changer,
        opener=job.opener,
    )
    job.at_bench = lambda: bench.guide
    clock = PlayedBench(bench, at)
    if job.opened is not None:
        bench.open(job.opened)
    else:
        bench.resume(at, job.taken_up)
    clock.play(turns)
    assert bench.log is not None
    played.events = bench.log.events()
    played.over = bench.over
    bench.close()
    return played


def player(loaded: Loaded, store: Store, workshop: Workshop = NO_WORKSHOP) -> Play:
    """Plays typed lines on a procedure."""

    def play(*lines: str, at: datetime = MORNING, by_keyboard: bool = False) -> Played:
        job = ready(loaded, store, at, workshop=workshop)
        turns = (typed if by_keyboard else spoken)(lines, job.guide.session.language)
        return played_out(job, store, turns, at)

    return play
