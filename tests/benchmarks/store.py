"""How the log does at the size of a workshop's life: ``python -m tests.benchmarks.store [--jobs N] [--events N]``.

A store of that many jobs and events is built in a temporary folder, straight into the database but through its own
guards and with its chain of hashes; then what a user waits for is timed. Times are in milliseconds, the best and the
worst of a few runs (the first of them with nothing in memory but what the system keeps of the file).
"""

from __future__ import annotations

import argparse
import gc
import sqlite3
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime, timedelta, timezone
from pathlib import Path
from tempfile import TemporaryDirectory

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import load_named, ready
from handsfree.commands.jobs.report import report_content
from handsfree.job.catalogue.earlier import jobs_with, with_events
from handsfree.job.catalogue.search import search
from handsfree.job.catalogue.summaries import Sought
from handsfree.job.events import (
    Event,
    JobFinished,
    JobOpened,
    NoteKept,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    to_json,
)
from handsfree.job.log.database import open_to_write, transaction
from handsfree.job.log.hash_chain import first_link, link
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.procedure.file.loader import Loaded
from handsfree.review.history import past
from handsfree.review.pages.history import history_page
from handsfree.speaking.print_speaker import PrintSpeaker

BEGIN = datetime(2016, 1, 4, 8, 0, tzinfo=timezone.utc)
WORDS = "pivot worn oval burr lower upper gib spring bent scored dry grease hard thread stripped gasket brass".split()


def events_of(loaded: Loaded, at: datetime, count: int, number: int) -> Iterator[Event]:
    """A job's events: steps entered and done, readings that are settled, a note now and then."""
    procedure = loaded.procedure
    measuring = [step for step in procedure.steps if step.characteristics]
    yield JobOpened(
        at=at,
        title=procedure.title,
        revision=procedure.revision,
        procedure_sha256=loaded.sha256,
        procedure_text=loaded.text,
        procedure_name=loaded.path.stem,
        item=f"Bench gauge, pattern {number % 40}",
        serial=str(number // 4),
        owner=f"Customer {number % 700}",
    )
    for seq in range(2, count):
        at += timedelta(seconds=7)
        step = measuring[seq // 10 % len(measuring)]
        what = seq % 10
        said = {"at": at, "step": step.id, "heard": "log clearance four thou", "recogniser": "builtin"}
        if what == 0:
            yield StepEntered(at=at, step=step.id)
        elif what == 9:
            yield StepDone(at=at, step=step.id)
        elif what == 8:
            text = " ".join(WORDS[(number * 7 + seq * place) % len(WORDS)] for place in range(1, 9))
            yield NoteKept(at=at, step=step.id, id=f"e{seq}", text=text, seconds=6.0, clip=f"{number:064x}")
        elif what % 2:
            measured = step.characteristics[0]
            yield ReadingLogged.model_validate(
                {
                    **said, "id": f"e{seq}", "characteristic": measured.name, "occasion": measured.occasion,
                    "value": "2", "unit": measured.unit, "as_said": "2 thou", "decision": "in limits",
                    "limits": "1.5 to 3 thou", "tool": "feeler blades", "uncertainty": "0.25 thou",
                }
            )  # fmt: skip
        else:
            yield ReadingSettled(at=at, step=step.id, id=f"e{seq - 1}")
    yield JobFinished(at=at + timedelta(seconds=9))


def build(store: Store, loaded: Loaded, jobs: int, events: int) -> None:
    """Fill the store with ``jobs`` jobs that have ``events`` events together."""
    each = events // jobs
    with closing(open_to_write(store.folder)) as db:
        db.execute("PRAGMA synchronous = OFF")
        for begin in range(0, jobs, 500):
            with transaction(db, store.folder):
                for number in range(begin, min(begin + 500, jobs)):
                    at = BEGIN + timedelta(hours=8 * number)
                    _add(db, loaded, f"{at.date()}-{at.hour // 8 + 1}", list(events_of(loaded, at, each, number)))
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()


def _add(db: sqlite3.Connection, loaded: Loaded, job: str, events: list[Event]) -> None:
    opened = events[0]
    assert isinstance(opened, JobOpened)
    at, steps = opened.at, len(loaded.procedure.steps)
    what = (opened.title, opened.procedure_name, opened.item, opened.serial, opened.owner)
    db.execute("INSERT INTO jobs VALUES (?, ?, ?, ?, ?, ?, ?, ?)", (job, at.isoformat(), *what, steps))
    rows, before = [], first_link(job)
    for seq, event in enumerate(events, 1):
        body = to_json(event)
        before = link(before, body)
        rows.append((job, seq, event.at.isoformat(), event.kind, body, before))
    db.executemany("INSERT INTO events VALUES (?, ?, ?, ?, ?, ?)", rows)


def timed(name: str, act: Callable[[], object], limit: float, runs: int = 5) -> None:
    """Run ``act`` and print the best and the worst time beside what is wanted."""
    took = []
    for _ in range(runs):
        began = time.perf_counter()
        act()
        took.append(1000 * (time.perf_counter() - began))
    verdict = "within" if max(took) <= limit else "OVER"
    print(f"{name:58} {min(took):8.1f} {max(took):8.1f}   {verdict} {limit:.0f}", flush=True)


def appending(store: Store, job: str, count: int = 1000) -> None:
    """Events one by one, each on disk before the next."""
    took = []
    with store.resume(job) as log:
        at = datetime(2036, 1, 1, tzinfo=timezone.utc)
        for number in range(count):
            event = StepEntered(at=at + timedelta(seconds=number), step="set-gib")
            began = time.perf_counter()
            log.append(event)
            took.append(1000 * (time.perf_counter() - began))
    ordered = sorted(took)
    print(
        f"{'append, on disk: first, median, 99th percentile, worst':58} {took[0]:8.2f} {statistics.median(took):8.2f} "
        f"{ordered[int(count * 0.99)]:8.2f} {ordered[-1]:8.2f}",
        flush=True,
    )


def memory(hours: int = 12) -> None:
    """A job of twelve hours in simulated time, one thing said every twenty seconds."""
    lines = ["log two thou", "wrong, it is two and a half thou", "where am i", "take back", "read back", "note",
             "a burr at the lower end", "end of note", "take back", "details", "what is left", "timer bath ten minutes",
             "how long is left", "stop the timer"]  # fmt: skip
    loaded = load_named("focusing-slide")
    with TemporaryDirectory() as folder:
        store = Store(Path(folder))
        job = ready(loaded, store, BEGIN)
        bench = Bench(job.guide, store, PrintSpeaker(lambda _: None, guessing=True), lambda *_: None, job.log)
        clock = PlayedBench(bench, BEGIN)
        assert job.opened is not None
        bench.open(job.opened)
        held = []
        for _ in range(hours):
            # The memory of one hour's own turns is let go before the next.
            said = [lines[number % len(lines)] for number in range(180)]
            clock.play(typed(said, job.guide.session.language, pause=18.0))
            gc.collect()
            held.append(_resident())
        count = job.guide.session.state.count
        bench.close()
    print(f"memory over {hours} hours, MB at the end of each: {' '.join(f'{each:.1f}' for each in held)}")
    print(f"    {count} events; from the second hour to the last {1000 * (held[-1] - held[1]):.0f} kB", flush=True)


def _resident() -> float:
    """Memory in use by this process, in MB."""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1000
    return float("nan")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=10_000)
    parser.add_argument("--events", type=int, default=2_000_000)
    args = parser.parse_args()
    if sys.platform == "linux":
        memory()
    loaded = load_named("focusing-slide")
    with TemporaryDirectory() as folder:
        store = Store(Path(folder))
        began = time.perf_counter()
        build(store, loaded, args.jobs, args.events)
        took, size = time.perf_counter() - began, store.file.stat().st_size / 1e6
        print(f"built {args.jobs} jobs and {args.events} events in {took:.0f} s, {size:.0f} MB")
        print(f"{'':58} {'best':>8} {'worst':>8}   wanted, ms")
        began = time.perf_counter()
        jobs = store.jobs()
        print(f"{'the catalogue made anew, seconds':58} {time.perf_counter() - began:8.1f}", flush=True)
        middle = jobs[len(jobs) // 2]
        timed("list all jobs", store.jobs, 200)
        timed("what is asked in the morning", lambda: store.jobs(Sought(here=True)), 200)
        timed("parts of all jobs", lambda: store.jobs(Sought(with_parts=True)), 200)
        timed("open a job: its events and their state", lambda: fold(store.events(middle.id)), 200)

        def take_up() -> None:
            store.resume(middle.id).close()

        timed("take a job up again for writing", take_up, 200)
        timed("unfinished jobs of a procedure", lambda: store.unfinished("focusing-slide"), 200)

        def history(**what: str) -> list[object]:
            return [past(job, events) for job, events in with_events(store, jobs_with(store, **what), 20)]

        timed("history of an item, 20 jobs", lambda: history(item="Bench gauge, pattern 7"), 200)
        timed("history of a serial number", lambda: history(serial="1250"), 200)
        timed("history of a characteristic, 20 jobs", lambda: history(characteristic="gib clearance"), 200)
        timed("the same as a page with charts", lambda: _page(store), 500)
        timed("search, the first ever", lambda: search(store.folder, "burr"), 200, runs=1)
        timed("search for one word", lambda: search(store.folder, "burr"), 200)
        timed("search for three words", lambda: search(store.folder, "gib scored dry"), 200)
        appending(store, middle.id)
        with closing(open_to_write(store.folder)) as db, transaction(db, store.folder):
            _add(db, loaded, "2036-01-01-1", list(events_of(loaded, BEGIN, 5000, 0)))
        timed(
            "report of a job of 5,000 events",
            lambda: report_content(store, "2036-01-01-1", "html", "notes"),
            2000,
            runs=3,
        )


def _page(store: Store) -> str:
    found = [past(job, events) for job, events in with_events(store, jobs_with(store, serial="1250"), 20)]
    return history_page("History", found, 0, written_at=BEGIN, version="0")


if __name__ == "__main__":
    main()
