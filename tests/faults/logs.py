"""Damage of the files of a log: every byte in turn, and at random."""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import numpy as np

from handsfree.bench.setting_up import load_named
from handsfree.job.errors import LogError
from handsfree.job.events import JobOpened, NoteKept, ReadingLogged, StepDone
from handsfree.job.log.store import JobLog, Store
from handsfree.job.log.verify import file_faults, verify
from handsfree.job.opening import opened_with
from tests.faults.outcomes import Outcome, Tally, said_by
from tests.support.jobs import AT, opened

Answers = dict[str, tuple[int, str]]


def small_log(folder: Path) -> Path:
    """A log of two short jobs, closed, all of it in its file."""
    store = Store(folder)
    for serial in ("1", "2"):
        with store.open_job(opened(serial=serial), steps=2) as log:
            log.append(NoteKept(at=AT, id="n1", text=f"pivot {serial} worn", seconds=1.0))
            log.append(StepDone(at=AT, step="strip"))
    with closing(sqlite3.connect(store.file)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        db.execute("PRAGMA journal_mode = DELETE")
    store.jobs()
    return folder


def larger_log(folder: Path) -> Path:
    """A log of three jobs with figures, notes and sounds, as a kill leaves it: part of it in the write-ahead log."""
    store = Store(folder / "open")
    logs: list[JobLog] = []
    begun: JobOpened = opened_with(load_named("focusing-slide"), AT, item="Bench gauge", serial="7", owner="Mill Lane")
    for number in range(3):
        log = store.open_job(begun, steps=9)
        logs.append(log)
        for each in range(4):
            clip = log.keep_clip(np.sin(np.arange(1600) / (5 + each + 4 * number)) / 2)
            log.append(NoteKept(at=AT, id=f"n{each}", text=f"pivot {each} worn", seconds=0.1, clip=clip))
            log.append(_figure(f"e{each}"))
        if number == 1:
            with closing(sqlite3.connect(store.file)) as db:
                db.execute("PRAGMA wal_checkpoint(PASSIVE)")
            store.jobs()
    whole = folder / "killed"
    shutil.copytree(store.folder, whole)
    (whole / "handsfree.db-shm").unlink(missing_ok=True)
    for log in logs:
        log.close()
    return whole


def _figure(name: str) -> ReadingLogged:
    return ReadingLogged(
        at=AT, step="set-gib", id=name, characteristic="gib clearance", occasion="final", value="4", unit="thou",
        as_said="4 thou", decision="in limits", limits="1.5 to 6 thou",
    )  # fmt: skip


# every byte of a small log
def _told(store: Store) -> list[str]:
    """What a log answers: its list of jobs, and the events of each."""
    listed = [str(job) for job in store.jobs()]
    return listed + [event.model_dump_json() for job in store.numbers() for event in store.events(job)]


def _noticed(store: Store) -> bool:
    """Whether verify says that something is wrong, or that it can't look."""
    try:
        return bool(file_faults(store)) or any(verify(store, job).faults for job in store.numbers())
    except LogError:
        return True


def every_byte(folder: Path, tally: Tally, start: int = 0, end: int | None = None, every: int = 1) -> tuple[int, int]:
    """Flip one bit of each byte of the small log's database in turn; how many bytes there are, and how many of those
    that were tried change an answer or end in an error of the log."""
    log = small_log(folder / "log")
    store = Store(log)
    whole, right = store.file.read_bytes(), _told(store)
    changing = 0

    def flipped() -> Outcome:
        nonlocal changing
        try:
            after = _told(store)
        except LogError:
            changing += 1
            return "told"
        noticed = _noticed(store)
        if after != right:
            changing += 1
            return "told" if noticed else "silent"
        return "told" if noticed else "harmless"

    for at in range(start, len(whole) if end is None else min(end, len(whole)), every):
        hurt = bytearray(whole)
        hurt[at] ^= 1 << at % 8
        store.file.write_bytes(hurt)
        tally.judged(f"byte {at}, bit {at % 8}", flipped)
        for beside in ("handsfree.db-wal", "handsfree.db-shm", "handsfree.db-journal"):
            (log / beside).unlink(missing_ok=True)
    store.file.write_bytes(whole)
    return len(whole), changing


# at random
def _bit(content: bytearray, chance: random.Random) -> None:
    content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)


def _run(content: bytearray, chance: random.Random) -> None:
    at = chance.randrange(len(content))
    content[at : at + 64] = chance.randbytes(len(content[at : at + 64]))


def _zeros(content: bytearray, chance: random.Random) -> None:
    at = chance.randrange(len(content)) // 4096 * 4096
    content[at : at + 4096] = bytes(len(content[at : at + 4096]))


def _cut(content: bytearray, chance: random.Random) -> None:
    del content[chance.randrange(len(content)) :]


def _swapped(content: bytearray, chance: random.Random) -> None:
    one, other = (chance.randrange(max(1, len(content) // 4096)) * 4096 for _ in range(2))
    first, second = content[one : one + 4096], content[other : other + 4096]
    if len(first) == len(second):
        content[one : one + 4096], content[other : other + 4096] = second, first


HARMS: tuple[Callable[[bytearray, random.Random], None], ...] = (_bit, _bit, _bit, _run, _zeros, _cut, _swapped)


def answers(folder: Path) -> Answers:
    """What commands answer about the log in a folder."""
    logs = ("--logs", str(folder))
    jobs = [line.split()[0] for line in (said_by("jobs", *logs)[1]).splitlines() if line[:2] == "20"]
    asked = [("verify",), ("jobs",), ("search", "pivot"), ("history", "gib clearance")]
    # The report as data has everything in it that the review and the page have.
    asked += [("report", job, "--format", "json", "--to", "-") for job in (jobs or ["2026-11-25-1"])[:3]]
    return {" ".join(words): said_by(*words, *logs)[:2] for words in asked}


def _judge(right: Answers, folder: Path) -> Outcome:
    now = answers(folder)
    if any(code for code, _ in now.values()):
        return "told"
    return (
        "harmless"
        if {k: v for k, v in now.items() if k != "verify"} == {k: v for k, v in right.items() if k != "verify"}
        else "silent"
    )


def at_random(folder: Path, tally: Callable[[str], Tally], count: int, chance: random.Random) -> None:
    """So many damages of database, write-ahead log, ledger, catalogue, what is personal, and sounds."""
    whole = larger_log(folder)
    right = answers(shutil.copytree(whole, folder / "right"))
    hurt = folder / "hurt"
    groups = ("handsfree.db", "handsfree.db-wal", "ledger.txt", "catalogue.*", "personal.db", "clips/*/*.flac")
    for number in range(count):
        group = groups[number % len(groups)]
        shutil.rmtree(hurt, ignore_errors=True)
        shutil.copytree(whole, hurt)
        file = chance.choice(sorted(hurt.glob(group)))
        content = bytearray(file.read_bytes())
        if chance.random() < 0.08 or not content:
            file.unlink()
            how = "deleted"
        else:
            harm = chance.choice(HARMS)
            harm(content, chance)
            file.write_bytes(content)
            how = harm.__name__
        tally(group).judged(f"{file.name} {how}, number {number}", lambda: _judge(right, hurt))
