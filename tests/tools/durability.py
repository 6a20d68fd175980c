"""Kills a driven job at random moments, again and again, and looks whether anything acknowledged was lost.

``python -m tests.tools.durability 500`` does it five hundred times and prints what was found; the tests do it a few
times. The job is driven through the bench by typed lines, in a process of its own. That process prints each sentence
before it would be spoken; what was printed as logged before the kill must be in the log after it, and the job must go
on.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from pathlib import Path

import numpy as np

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.setting_up import ready
from handsfree.job.events import NoteKept, PartsCounted, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.state import fold
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded, load_procedure
from handsfree.speaking.voice.settings import VoiceSettings
from tests.support.played import SMALL

START = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)


class _Mute(VoiceSettings):
    """Says nothing, in no time."""

    def say(self, text: str, done: object = None, *, carefully: bool = False) -> float:
        return 0.1

    def play_sound(self, samples: object, done: object = None) -> float:
        return 0.1

    def tone(self, tone: object) -> None: ...
    def stop(self) -> None: ...
    def prepare(self, texts: object) -> None: ...
    def close(self) -> None: ...


@dataclass
class Found:
    """What became of the rounds."""

    kills: int = 0
    acknowledged: int = 0
    lost: list[str] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)
    unfinished_writes: int = 0
    """Kills that fell between writing and saying."""


def _lines(language: Language, chance: random.Random) -> Iterator[str]:
    """A job without end: figures with a value of their own, counts, notes, redone steps."""
    yield "yes"
    while True:
        yield "go to step two"
        yield f"log clearance {chance.choice(('three', 'four', 'five'))} point {_digits(chance)} thou"
        yield f"{chance.choice(('two', 'three', 'six'))} screws out"
        yield "take back"
        yield "note"
        yield f"note {chance.randrange(10**6)}"
        yield "end of note"


def _digits(chance: random.Random) -> str:
    return " ".join(chance.choice(("one", "two", "three", "four", "six", "seven")) for _ in range(4))


def drive(loaded: Loaded, folder: Path, round_: int, out: int) -> None:
    """Work the job until somebody kills this process; every sentence goes to ``out`` when it would be spoken."""
    store, at = Store(folder), START + timedelta(hours=round_)
    job = ready(loaded, store, at)

    def show(kind: str, text: str) -> None:
        if kind == "says":
            assert bench.log is not None
            os.write(out, f"{bench.guide.session.state.count}\t{text}\n".encode())

    bench = Bench(job.guide, store, _Mute(), show, job.log)  # type: ignore[arg-type]
    clock = PlayedBench(bench, at)
    if job.opened is not None:
        bench.open(job.opened)
    else:
        bench.resume(at)
    language, chance = job.guide.session.language, random.Random(round_)
    sound = np.zeros(1600, np.float32)
    for number, line in enumerate(_lines(language, chance)):
        clock.advance(0.5 * number)
        words = tuple(line.split())
        intents = language.interpret(words)
        hearing = Hearing.CLEAR if intents else Hearing.NONE
        sound[:] = (number % 100) / 200
        bench.hear(Utterance(words, hearing, intents, free_text=line, sound=sound.copy(), end=0.1), clock.now)


def one_round(loaded: Loaded, folder: Path, round_: int, chance: random.Random, found: Found) -> None:
    """Drive, kill, look."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(read)
            drive(loaded, folder, round_, write)
        finally:
            os._exit(1)
    os.close(write)
    with os.fdopen(read, encoding="utf-8") as pipe:
        # So many sentences, however busy the machine is, and then the middle of whatever it is at.
        before = [pipe.readline() for _ in range(chance.randrange(1, 30))]
        time.sleep(chance.uniform(0, 0.02))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        lines = [*before, *pipe]
    found.kills += 1
    whole = [line.rstrip("\n").split("\t", 1) for line in lines if line.endswith("\n") and "\t" in line]
    _look(Store(folder), whole, found, round_)


def _look(store: Store, said: list[list[str]], found: Found, round_: int) -> None:
    if not said:
        found.broken.append(f"round {round_}: the job could not be taken up")
        return
    job = store.jobs()[0].id
    events = store.events(job)
    acknowledged = int(said[-1][0])
    found.acknowledged += len(said)
    if len(events) < acknowledged:
        found.lost.append(f"round {round_}: {acknowledged} events were acknowledged and {len(events)} are there")
    found.unfinished_writes += len(events) > acknowledged
    # Word for word: each figure, count and note that was read back in this round is in the log.
    since = START + timedelta(hours=round_)
    mine = [event for event in events if event.at >= since]
    for words, kind in (
        ("Latch clearance, ", ReadingLogged), (" screws out.", PartsCounted), ("Note kept", NoteKept),
    ):  # fmt: skip
        told = sum(words in text and "Taken back" not in text for _, text in said)
        kept = sum(isinstance(event, kind) for event in mine)
        if kept < told:
            found.lost.append(f"round {round_}: {told} times said {words!r}, {kept} kept")
    fold(events)
    faults = verify(store, job).faults
    if faults:
        found.broken.append(f"round {round_}: {faults[0]}")


def run(rounds: int, folder: Path, seed: int = 1) -> Found:
    """So many kills of one job, each taking it up where the last left it."""
    chance, found = random.Random(seed), Found()
    path = folder / "gate-latch.yaml"
    path.write_text(SMALL, encoding="utf-8")
    loaded = load_procedure(path)
    ready(loaded, Store(folder / "none"), START)  # whatever is loaded on first use is loaded before the fork
    for number in range(rounds):
        # A fresh log now and then: the first events are written by other code than the later ones.
        one_round(loaded, folder / f"log-{number // 25}", number, chance, found)
    return found


def main() -> int:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    with tempfile.TemporaryDirectory() as folder:
        began = time.perf_counter()
        found = run(rounds, Path(folder))
    print(f"{found.kills} kills in {time.perf_counter() - began:.0f} s, {found.acknowledged} sentences acknowledged")
    print(f"{found.unfinished_writes} kills fell between writing and saying")
    print(f"lost: {len(found.lost)}; broken: {len(found.broken)}")
    for line in (*found.lost, *found.broken):
        print(f"  {line}")
    return 1 if found.lost or found.broken else 0


if __name__ == "__main__":
    sys.exit(main())
