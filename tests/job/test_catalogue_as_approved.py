"""What the catalogue keeps of a log in which everything happens, and what is found in it: word for word as it was read
and found right."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import fields
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from handsfree.job.catalogue import catalogue
from handsfree.job.catalogue.catalogue import CATALOGUE, SEAL, JobsDone
from handsfree.job.catalogue.earlier import jobs_with, with_events
from handsfree.job.catalogue.search import search
from handsfree.job.catalogue.summaries import Sought
from handsfree.job.events import FactNoted, JobFinished, JobPaused, StepDone, WorkerChanged
from handsfree.job.log.forget import forget_owner, jobs_older_than
from handsfree.job.log.store import Store
from tests.support.approved import assert_approved
from tests.support.everything import EVERYTHING
from tests.support.jobs import AT, fill, note, opened
from tests.support.places import DATA

WORDS = ("pawl", "crack", "cracked pawl", "the", "PLAN", "mill", "lane", "back", "lacquer on", "a", "Finch", "zebra")
SOUGHT: dict[str, dict[str, Any]] = {
    "every": {}, "job": {"job": "2026-11-26-1"}, "item": {"item": "BENCH gauge NO. 7"}, "serial": {"serial": "a 13"},
    "title": {"procedure": "setting of the gate LATCH"}, "name": {"procedure": "gate-latch"},
    "second procedure": {"procedure": "cleaning"}, "repairs": {"purpose": "repair"},
    "measured": {"characteristic": "PLAY"},
    "not finished": {"finished": False}, "here": {"here": True}, "with parts": {"with_parts": True},
    "rehearsals": {"rehearsals": True}, "no rehearsals": {"rehearsals": False},
    "both": {"item": "micrometer", "finished": False}, "none": {"item": "zebra"},
}  # fmt: skip


@pytest.fixture
def workshop(store: Store) -> Store:
    """A log of everything, of jobs in hand, and of one that was only rehearsed."""
    first, *events = EVERYTHING
    with store.open_job(first, steps=5) as log:  # type: ignore[arg-type]
        for event in events:
            log.append(event)
    with store.open_job(opened(AT + timedelta(days=1), owner="Mrs Finch", serial="7"), steps=3) as log:
        log.append(note("n2", "the pawl is worn"))
        log.append(FactNoted(at=AT + timedelta(days=1), id="f3", about="contact", text="0191 498 0143"))
        log.append(FactNoted(at=AT + timedelta(days=1), id="f4", about="complaint", text="a crack"))
        log.append(FactNoted(at=AT + timedelta(days=1), id="f5", about="complaint", text="no crack", corrects="f4"))
        log.append(StepDone(at=AT + timedelta(days=2), step="strip"))
        log.append(JobPaused(at=AT + timedelta(days=2)))
    with store.open_job(opened(AT + timedelta(days=2), purpose="rehearsal", item="Small lathe"), steps=3) as log:
        log.append(note("n2", "the pawl, rehearsed"))
        log.append(JobFinished(at=AT + timedelta(days=2)))
    with store.open_job(opened(AT + timedelta(days=2), title="", procedure_name="", item="Lamp"), steps=0) as log:
        log.append(WorkerChanged(at=AT + timedelta(days=2), name="Jo Tern"))
    return store


def test_what_the_catalogue_has_of_everything(workshop: Store) -> None:
    assert_approved("catalogue.txt", "\n".join(_told(workshop)) + "\n")


def _told(store: Store) -> Iterator[str]:
    for job in store.jobs():
        yield f"job {job.id}"
        yield from (f"    {each.name}: {getattr(job, each.name)}" for each in fields(job) if getattr(job, each.name))
        yield f"    waits: {job.waits}"
    for name, sought in SOUGHT.items():
        found = Sought(**sought)
        yield f"sought {name}: {', '.join(job.id for job in store.jobs(found))} ({store.count(found)})"
    yield f"the newest two: {', '.join(job.id for job in store.jobs(most=2))}"
    for words in WORDS:
        yield f"the words {words}:"
        for text in search(store.folder, words):
            yield f"    {text.job} {text.seq} {text.at - AT} {text.kind} {text.step}: {text.text} ({text.ended})"
    yield f"at most two: {[text.text for text in search(store.folder, 'pawl', most=2)]}"
    yield f"real ones with an item: {[job.id for job in jobs_with(store, item='micrometer', finished=False)]}"
    listed = [(job.id, len(events)) for job, events in with_events(store, store.jobs(), 2)]
    yield f"with their events: {listed}"
    yield f"workers: {store.workers()}; the newest real one: {store.newest_real()}; numbers: {store.numbers()}"
    yield f"unfinished: {[job.id for job in store.unfinished('micrometer')]}"
    yield f"old ones: {jobs_older_than(store, AT + timedelta(days=1))}"


@contextmanager
def _counting(told: list[tuple[str, int, int | None]]) -> Iterator[JobsDone]:
    yield lambda *done: told.append(done)


def test_where_there_are_many_jobs_it_is_told_how_far_the_catalogue_is(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(3):
        fill(store, "worn", "bent", days=number)
    told: list[tuple[str, int, int | None]] = []
    watched = Store(store.folder, lambda: _counting(told))
    monkeypatch.setattr(catalogue, "MANY_JOBS", 3)
    watched.jobs()
    assert told == [
        *(("indexing words", done, 3) for done in (0, 1, 2, 3)), *(("listing", done, 3) for done in (1, 2, 3)),
    ]  # fmt: skip
    told.clear()
    fill(store, "one more", days=3)
    watched.jobs()
    assert told == []


def _texts(folder: Path) -> list[str]:
    with closing(sqlite3.connect(folder / CATALOGUE)) as db:
        return [text for (text,) in db.execute("SELECT text FROM texts")]


def test_what_was_forgotten_is_gone_from_the_catalogue_as_well(tmp_path: Path) -> None:
    # In a log of an earlier version what is personal stands in the events, and came into the catalogue with them.
    store = Store(tmp_path)
    with closing(sqlite3.connect(store.file)) as db:
        db.executescript((DATA / "log-version-5.sql").read_text(encoding="utf-8"))
    owners = {str(job.owner) for job in store.jobs()}
    before = _texts(tmp_path)
    for owner in owners:
        forget_owner(store, owner, AT, files_too=False)
    left = _texts(tmp_path)
    gone = [text for text in before if text not in left]
    assert gone
    assert all(search(tmp_path, text) == [] for text in gone)
    assert not any(owner.encode() in (tmp_path / CATALOGUE).read_bytes() for owner in owners)


def test_a_catalogue_of_another_version_is_made_anew_though_it_is_whole(store: Store) -> None:
    job = fill(store, "worn")
    store.jobs()
    with closing(sqlite3.connect(store.folder / CATALOGUE)) as db, db:
        db.execute("PRAGMA user_version = 1")
        db.execute("UPDATE summaries SET title = 'another'")
    (store.folder / SEAL).write_bytes(catalogue._sum(store.folder))
    assert [(each.id, each.title) for each in store.jobs()] == [(job, "Bench micrometer, overhaul")]


def test_catalogues_of_earlier_versions_are_cleared_away_and_nothing_else_is(store: Store) -> None:
    fill(store, "worn")
    for name in ("catalogue-3.db", "catalogue.db-wal", "catalogued.txt", "my-catalogue.db"):
        (store.folder / name).touch()
    store.jobs()
    there = {path.name for path in store.folder.glob("*catalogue*")}
    assert there == {"catalogue.db", "catalogue.sum", "catalogued.txt", "my-catalogue.db"}
