"""What the list of jobs needs of each job, kept beside the events so that no list has to read them all.

A row is made of the fold over the job's events, in the transaction that adds an event. It is a convenience and no part
of the log: a row that is behind its events is not believed, and any of it can be made anew from them.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Literal

from pydantic import ValidationError

from handsfree.job.events import Event, FactNoted, ProcedureTakenUp, Purpose, from_json
from handsfree.job.state import JobState, fold

SCHEMA = (
    """
    CREATE TABLE summaries (
        job TEXT PRIMARY KEY NOT NULL,
        seq INTEGER NOT NULL,
        title TEXT NOT NULL,
        procedure TEXT NOT NULL,
        item TEXT,
        serial TEXT,
        owner TEXT,
        last TEXT NOT NULL,
        done INTEGER NOT NULL,
        steps INTEGER NOT NULL,
        status TEXT NOT NULL
    ) WITHOUT ROWID
    """,
    """
    CREATE INDEX readings_by_name ON events (json_extract(body, '$.characteristic'), job)
        WHERE kind = 'reading logged'
    """,
)

_LIST = """
SELECT jobs.id, jobs.steps, jobs.opened, s.title, s.procedure, s.item, s.serial, s.owner, s.last, s.done, s.steps,
    s.status
FROM jobs LEFT JOIN summaries AS s
    ON s.job = jobs.id AND s.seq = (SELECT max(seq) FROM events WHERE job = jobs.id)
ORDER BY jobs.rowid DESC
"""

_PURPOSES = """
SELECT job, json_extract(body, '$.purpose') FROM events WHERE kind = 'job opened' AND json_valid(body)
"""


@dataclass(frozen=True)
class JobSummary:
    """One line of the list of jobs; ``of`` counts all steps of the procedure, ``done`` those done now."""

    id: str
    title: str
    procedure: str
    """The procedure's name, as its file is called."""
    item: str | None
    serial: str | None
    owner: str | None
    opened: datetime
    last: datetime
    done: int
    of: int
    status: Literal["open", "paused", "finished"]
    purpose: Purpose = "repair"


def keep(db: sqlite3.Connection, job: str, seq: int, steps: int, state: JobState) -> None:
    """Write the row of a job whose newest event is number ``seq``; ``state`` is the fold of its events."""
    row = (job, seq, *_values(state, steps))
    db.execute(f"INSERT OR REPLACE INTO summaries VALUES ({', '.join('?' * len(row))})", row)


def forget_entries(state: JobState) -> None:
    """Drop from a fold everything that grows with the job and that no summary is made of."""
    for entries in (state.entries, *(there.entries for there in state.elsewhere.values())):
        for key in [key for key, entry in entries.items() if not isinstance(entry.event, FactNoted)]:
            del entries[key]
            state.order.pop(key, None)
    state.confirmed.clear()


def fill(db: sqlite3.Connection) -> None:
    """Make the rows of all jobs from their events."""
    for job, steps, seq in db.execute(
        "SELECT id, steps, (SELECT max(seq) FROM events WHERE job = id) FROM jobs"
    ).fetchall():
        if seq is not None:
            keep(db, job, seq, steps, state_of(db, job))


def state_of(db: sqlite3.Connection, job: str) -> JobState:
    """The fold of those events of a job that can be read."""
    return fold(_readable(db.execute("SELECT body FROM events WHERE job = ? ORDER BY seq", (job,))))


def _readable(bodies: Iterable[tuple[str]]) -> Iterator[Event]:
    for (body,) in bodies:
        # A list, and adding to a job, must go on where one event is damaged; reading the job names it.
        with suppress(ValidationError):
            yield from_json(body)


def listed(db: sqlite3.Connection) -> Iterator[JobSummary]:
    """All jobs, the one opened last first."""
    purposes: dict[str, Purpose] = {job: purpose for job, purpose in db.execute(_PURPOSES) if purpose}
    for job in _listed(db):
        yield replace(job, purpose=purposes.get(job.id, "repair"))


def _listed(db: sqlite3.Connection) -> Iterator[JobSummary]:
    there = db.execute("SELECT 1 FROM sqlite_master WHERE name = 'summaries'").fetchone()
    if there:
        for job, steps, opened, *row in db.execute(_LIST).fetchall():
            yield _summary(job, opened, row) if row[0] is not None else _made(db, job, opened, steps)
    else:
        for job, steps, opened in db.execute("SELECT id, steps, opened FROM jobs ORDER BY rowid DESC").fetchall():
            yield _made(db, job, opened, steps)


def _made(db: sqlite3.Connection, job: str, opened: str, steps: int) -> JobSummary:
    return _summary(job, opened, _values(state_of(db, job), steps))


def _values(state: JobState, steps: int) -> tuple[Any, ...]:
    last = state.last
    # A job may be taken in before a procedure is chosen.
    first = next(iter(state.procedures.values()), state.opened)
    names = state.procedures or ("",)
    status = "finished" if state.finished else "paused" if state.paused else "open"
    return (
        first.title if first else "",
        first.procedure_name if first else "",
        state.fact("item"),
        state.fact("serial"),
        state.fact("owner"),
        last.isoformat() if last else "",
        sum(status == "done" for name in names for status in state.of(name).steps.values()),
        steps + sum(each.steps for each in state.procedures.values() if isinstance(each, ProcedureTakenUp)),
        status,
    )


def _summary(job: str, opened: str, row: Sequence[Any]) -> JobSummary:
    title, procedure, item, serial, owner, last, done, steps, status = row
    began = datetime.fromisoformat(opened)
    ended = datetime.fromisoformat(last) if last else began
    return JobSummary(job, title, procedure, item, serial, owner, began, ended, done, steps, status)
