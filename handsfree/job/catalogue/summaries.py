"""The list of jobs, as the catalogue (``job.catalogue``) keeps it: a row for each job, made of its events."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import date, datetime
from functools import lru_cache
from types import NoneType
from typing import Any, Literal

from pydantic import ValidationError

from handsfree.job.counter.orders import PartOrder, orders_of
from handsfree.job.events import Event, JobOpened, Purpose, from_json
from handsfree.job.facts import FACTS
from handsfree.job.log.beside.personal import redacted
from handsfree.job.state import JobState, fold
from handsfree.text.calendar import day_from

SUMMARIES_SCHEMA = (
    """
    CREATE TABLE summaries (
        number INTEGER PRIMARY KEY,
        job TEXT UNIQUE NOT NULL,
        title TEXT NOT NULL,
        procedure TEXT NOT NULL,
        item TEXT,
        serial TEXT,
        owner TEXT,
        owner_kept TEXT,
        opened TEXT NOT NULL,
        last TEXT NOT NULL,
        done INTEGER NOT NULL,
        steps INTEGER NOT NULL,
        status TEXT NOT NULL,
        purpose TEXT NOT NULL,
        procedures TEXT NOT NULL,
        contact_kept TEXT,
        promised TEXT,
        handed_over TEXT,
        taken_in INTEGER NOT NULL,
        orders TEXT NOT NULL,
        checked_by_another INTEGER NOT NULL
    )
    """,
)

_CHECKED = "check by another"
_COLUMNS = """job, title, procedure, item, serial, owner, owner_kept, opened, last, done, steps, status, purpose,
    procedures, contact_kept, promised, handed_over, taken_in, orders, checked_by_another"""
_KEPT = "owner_kept, contact_kept"


_WHERE = {
    "job": "job = :job",
    "item": "fold(item) = fold(:item)",
    "serial": "fold(serial) = fold(:serial)",
    "procedure": """fold(:procedure) IN (fold(title), fold(procedure))
        OR EXISTS (SELECT 1 FROM json_each(procedures) WHERE fold(value) = fold(:procedure))""",
    "purpose": "purpose = :purpose",
    "characteristic": "job IN (SELECT job FROM measured WHERE characteristic = fold(:characteristic))",
}
_UNFINISHED = "status <> 'finished'"
_HERE = f"purpose = 'repair' AND handed_over IS NULL AND ({_UNFINISHED} OR taken_in)"
_WITH_PARTS = "orders <> '[]'"
_WORDS = {str, NoneType}


@dataclass(frozen=True, kw_only=True)
class Sought:
    """Which jobs are looked for: those that fit everything that is given; case does not count."""

    job: str | None = None
    item: str | None = None
    serial: str | None = None
    procedure: str | None = None
    """The title of the one that it is listed with, or the name of any that it was worked by."""
    purpose: Purpose | None = None
    characteristic: str | None = None
    """Something that was measured in it."""
    finished: bool = True
    """Without it, finished jobs are left out."""
    here: bool = False
    """Only repairs of items that are in the workshop."""
    with_parts: bool = False
    """Only jobs for which parts were wanted."""
    rehearsals: bool | None = None
    """Rehearsals alone, or without them."""

    @property
    def where(self) -> str:
        """What SQLite is asked for; ``given`` has its values."""
        asked = [_WHERE[name] for name in self.given]
        asked += [] if self.finished else [_UNFINISHED]
        asked += [_HERE] if self.here else []
        asked += [_WITH_PARTS] if self.with_parts else []
        asked += [] if self.rehearsals is None else [f"purpose {'=' if self.rehearsals else '<>'} 'rehearsal'"]
        return " AND ".join(f"({each})" for each in asked) or "1"

    @property
    def given(self) -> dict[str, str]:
        return {name: value for name in _WHERE if (value := getattr(self, name)) is not None}


@dataclass(frozen=True, kw_only=True)
class JobSummary:
    """One line of the list of jobs; ``of`` counts the steps that apply to the item, ``done`` those done now."""

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
    procedures: tuple[str, ...] = ()
    """The names of all procedures worked in it, in the order of their first use."""
    contact: str | None = None
    """How to reach the owner."""
    promised: date | None = None
    handed_over: datetime | None = None
    """When the owner had the item again."""
    taken_in: bool = False
    """Whether it came over the counter, so that somebody is to fetch it."""
    orders_kept: str = "[]"
    """The parts for it as the catalogue has them: read when they are asked for, for most lists do not."""
    checked_by_another: bool = False
    """Whether a procedure of it wants the check of another person somewhere."""

    @property
    def orders(self) -> tuple[PartOrder, ...]:
        """Parts for it that are to be ordered, are ordered, or have arrived."""
        return _orders(self.orders_kept)

    @property
    def waits(self) -> bool:
        """Whether it waits for parts."""
        return any(order.is_waited_for for order in self.orders)


def keep(catalogue: sqlite3.Connection, log: sqlite3.Connection, job: str, state: JobState) -> None:
    """Write the row of a job, of which ``state`` is the fold."""
    found = log.execute("SELECT rowid, opened, steps FROM jobs WHERE id = ?", (job,)).fetchone()
    if found is not None:
        number, opened, steps = found
        row = (number, job, *_values(state, opened, steps))
        catalogue.execute(f"INSERT OR REPLACE INTO summaries VALUES ({', '.join('?' * len(row))})", row)


def state_of(log: sqlite3.Connection, job: str) -> JobState:
    """The fold of those events of a job that can be read."""
    rows = log.execute("SELECT seq, body FROM events WHERE job = ? ORDER BY seq", (job,))
    return fold(redacted(list(_readable(rows))))


def _readable(bodies: Iterable[tuple[int, str]]) -> Iterator[tuple[int, Event]]:
    for seq, body in bodies:
        # A list, and adding to a job, must go on where one event is damaged; reading the job names it.
        with suppress(ValidationError):
            yield seq, from_json(body)


EVERY_JOB = Sought()

Owners = Callable[[Collection[str]], Mapping[str, str]]
"""Each owner, and how to reach them, of those whose hashes are given (``job.log.beside.personal``)."""


def jobs_listed(
    catalogue: sqlite3.Connection, owners: Owners, sought: Sought, most: int | None = None
) -> list[JobSummary]:
    """The jobs that are ``sought``, the one opened last first; ``most``: no more than so many of them."""
    limit = -1 if most is None else most
    query = f"SELECT {{}} FROM summaries WHERE {sought.where} ORDER BY number DESC LIMIT {limit}"
    kept = {each for row in _asked(catalogue, query.format(_KEPT), sought) for each in row}
    names = owners(kept - {None})
    return [_summary(row, names) for row in _asked(catalogue, query.format(_COLUMNS), sought)]


def jobs_counted(catalogue: sqlite3.Connection, sought: Sought) -> int:
    """How many jobs are ``sought``."""
    (count,) = _asked(catalogue, f"SELECT count(*) FROM summaries WHERE {sought.where}", sought).fetchone()
    return int(count)


def _asked(catalogue: sqlite3.Connection, query: str, sought: Sought) -> sqlite3.Cursor:
    # SQLite's own lower() knows the letters of ASCII only.
    catalogue.create_function("fold", 1, lambda text: text and text.casefold(), deterministic=True)
    return catalogue.execute(query, sought.given)


def _values(state: JobState, opened: str, steps: int) -> tuple[Any, ...]:
    last = state.last
    # A job may be taken in before a procedure is chosen; taking apart tells least of what was done.
    brought = [*state.procedures.values()]
    first = next((each for each in brought if not each.takes_apart), brought[0] if brought else state.opened)
    # How often something was taken apart is no measure of how far the work is, where there is other work.
    own = {name: steps if isinstance(by, JobOpened) else by.steps for name, by in state.procedures.items()} or {
        "": steps
    }
    names = [name for name in own if not state.takes_apart(name)] or list(own)
    status = "finished" if state.finished else "paused" if state.paused else "open"
    return (
        first.title if first else "",
        first.procedure_name if first else "",
        state.fact("item"),
        state.fact("serial"),
        state.fact("owner") or None,
        _kept(state, "owner"),
        opened,
        last.isoformat() if last else opened,
        sum(status == "done" for name in names for status in state.of(name).steps.values()),
        sum(own[name] for name in names) - sum(len(_not_needed(state.of(name))) for name in names),
        status,
        state.purpose,
        json.dumps(list(state.procedures)),
        _kept(state, "contact"),
        state.fact("promised"),
        state.handed_over.at.isoformat() if state.handed_over else None,
        _was_taken_in(state),
        json.dumps([{**asdict(order), "at": order.at.isoformat()} for order in orders_of(state)]),
        any(_CHECKED in (each.procedure_text or "") for each in brought),
    )


def _was_taken_in(state: JobState) -> bool:
    if state.opened is not None and not state.opened.procedure_name and state.opened.purpose == "repair":
        return True
    return any(state.facts(fact.name) for fact in FACTS.values() if fact.at_the_counter)


def _kept(state: JobState, about: str) -> str | None:
    """The hash under which the owner, or how to reach them, is kept beside the log."""
    facts = state.facts(about)
    if facts:
        return facts[-1].event.personal
    return state.opened.personal if state.opened and FACTS[about].identifies else None


def _not_needed(state: JobState) -> list[str]:
    """The steps of the procedure being worked that do not apply to the item."""
    return [step for step in state.progress.left_out if state.status(step) == "not needed"]


def _summary(row: tuple[Any, ...], owners: Mapping[str, str]) -> JobSummary:
    job, title, procedure, item, serial, owner, owner_kept, opened, last, done, steps, status, purpose, *more = row
    procedures, contact_kept, promised, handed_over, taken_in, orders, checked = more
    words = (job, title, procedure, item, serial, owner, owner_kept, status, purpose, orders)
    if not (set(map(type, words)) <= _WORDS and job and isinstance(done + steps, int)):
        raise ValueError(f"{job!r} has something else than words in the list of jobs")
    if orders[-1:] != "]":
        raise ValueError(f"{job!r} has something else than parts in the list of jobs")
    began, ended = datetime.fromisoformat(opened), datetime.fromisoformat(last)
    names = _names(procedures)
    return JobSummary(
        id=job,
        title=title,
        procedure=procedure,
        item=item,
        serial=serial,
        owner=owner or owners.get(owner_kept),
        opened=began,
        last=ended,
        done=done,
        of=steps,
        status=status,
        purpose=purpose,
        procedures=names,
        contact=owners.get(contact_kept),
        promised=day_from(promised) if promised else None,
        handed_over=datetime.fromisoformat(handed_over) if handed_over else None,
        taken_in=bool(taken_in),
        orders_kept=orders,
        checked_by_another=bool(checked),
    )


@lru_cache(maxsize=256)
def _orders(text: str) -> tuple[PartOrder, ...]:
    return tuple(PartOrder(**{**order, "at": datetime.fromisoformat(order["at"])}) for order in json.loads(text))


@lru_cache(maxsize=256)
def _names(procedures: str) -> tuple[str, ...]:
    return tuple(json.loads(procedures))
