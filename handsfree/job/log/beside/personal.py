"""What is personal of the events (whose the item is, how to reach them), kept beside the chain so that it can go.

An event names it by a hash, and has nothing else of it: SHA-256 over a random number and the text, so that a telephone
number can't be found by trying all of them. Number and text stand in a small database of its own. When they are taken
out, the hash stays in the event, the chain holds, and nobody can tell any more what it was of.

A log before version 6 has owners in the events themselves. There they stay, for the hashes are over them; once they are
to be forgotten they are shown nowhere.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import sqlite3
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handsfree.job.errors import LogCorrupt, LogWriteError
from handsfree.job.events import EntryConfirmed, Event, FactNoted, JobOpened, NoteStretch, PersonalForgotten
from handsfree.job.facts import FACTS

PERSONAL_FILE = "personal.db"
FORGOTTEN = "(forgotten)"
"""What is shown where something was taken out."""
_BUSY_SECONDS = 10.0
_UNREADABLE = (sqlite3.Error, UnicodeDecodeError)
"""The latter where SQLite quotes damaged text in what it says."""
_FEW = 500
"""So many hashes are looked up one by one; for more, everything is read."""
_TABLE = """
CREATE TABLE IF NOT EXISTS kept (
    hash TEXT PRIMARY KEY NOT NULL,
    job TEXT NOT NULL,
    salt TEXT NOT NULL,
    text TEXT NOT NULL
)
"""


@dataclass(frozen=True)
class PersonalRow:
    """What is personal of one event: ``text`` is JSON, each field of the event with what it holds."""

    hash: str
    job: str
    salt: str
    text: str

    @property
    def fields(self) -> dict[str, str]:
        """The event's fields; none where the text is no such JSON (a damaged file)."""
        try:
            found = json.loads(self.text)
        except ValueError:
            return {}
        return {str(name): str(value) for name, value in found.items()} if isinstance(found, dict) else {}

    @property
    def words(self) -> str:
        """What somebody would look for in it."""
        fields = self.fields
        return fields.get("owner") or fields.get("text") or ""

    @property
    def holds(self) -> bool:
        """Whether it still is what was kept."""
        return _hash(self.salt, self.text) == self.hash


def _hash(salt: str, text: str) -> str:
    return hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest()


def personal_of(event: Event) -> dict[str, str]:
    """What is personal of an event, by field; empty for most."""
    names: tuple[str, ...] = ()
    if isinstance(event, JobOpened):
        names = ("owner", "heard") if event.owner else ()
    elif isinstance(event, (FactNoted, NoteStretch)) and event.about and FACTS[event.about].personal:
        names = ("text", "heard")
    return {name: value for name in names if (value := getattr(event, name))}


def _filled(event: Event, fields: Mapping[str, Any]) -> Event:
    return event.model_copy(update=dict(fields))


def keep_personal(folder: Path, job: str, event: Event) -> Event:
    """Keep what is personal of an event, on disk when this returns, and give the event without it; LogWriteError.

    An event of which nothing is personal is given as it is.
    """
    fields = personal_of(event)
    if not fields:
        return event
    text, salt = json.dumps(fields, ensure_ascii=False, sort_keys=True), secrets.token_hex(16)
    kept = PersonalRow(_hash(salt, text), job, salt, text)
    put_rows(folder, [kept])
    # A required text is left empty, anything else left out.
    blank = {name: "" if name == "text" else None for name in fields}
    return _filled(event, {**blank, "personal": kept.hash})


def put_rows(folder: Path, rows: Iterable[PersonalRow]) -> None:
    """Put rows on disk as they are; LogWriteError."""
    rows = list(rows)
    if not rows:
        return
    try:
        with closing(_opened(folder / PERSONAL_FILE)) as db, db:
            db.executemany(
                "INSERT OR IGNORE INTO kept VALUES (?, ?, ?, ?)", [(k.hash, k.job, k.salt, k.text) for k in rows]
            )
    except (*_UNREADABLE, OSError) as error:
        raise LogWriteError(folder, f"{PERSONAL_FILE}: {error}") from error


def _opened(file: Path) -> sqlite3.Connection:
    # Its owner alone can read it; what SQLite puts beside it is as the file is.
    os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))
    db = sqlite3.connect(file, timeout=_BUSY_SECONDS)
    try:
        db.execute("PRAGMA synchronous = FULL")
        db.execute("PRAGMA fullfsync = ON")
        # What goes is overwritten, not only unlinked.
        db.execute("PRAGMA secure_delete = ON")
        db.execute(_TABLE)
    except BaseException:
        db.close()
        raise
    return db


@contextmanager
def personal_database(folder: Path) -> Iterator[sqlite3.Connection]:
    """The database to read, which must be there; LogCorrupt."""
    file = folder / PERSONAL_FILE
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True, timeout=_BUSY_SECONDS)) as db:
            yield db
    except _UNREADABLE as error:
        raise LogCorrupt(f"{file} can't be read ({error}): restore it from a copy of the log") from error


def rows_of(folder: Path, job: str | None = None) -> list[PersonalRow]:
    """All rows, or those of a job; LogCorrupt."""
    if not (folder / PERSONAL_FILE).is_file():
        return []
    with personal_database(folder) as db:
        where, given = ("", ()) if job is None else (" WHERE job = ?", (job,))
        return [PersonalRow(*row) for row in db.execute(f"SELECT hash, job, salt, text FROM kept{where}", given)]


def legible_rows(folder: Path, job: str) -> list[PersonalRow]:
    """The rows of a job; none where the file is damaged: its owner must not keep a job from being worked."""
    with suppress(LogCorrupt):
        return rows_of(folder, job)
    return []


def owners(folder: Path, hashes: Collection[str]) -> dict[str, str]:
    """Each owner, and how to reach them, by those of the hashes that an event has of it; none where the file is
    damaged, which ``verify`` tells."""
    name = "coalesce(json_extract(text, '$.owner'), json_extract(text, '$.text'))"
    if not hashes or not (folder / PERSONAL_FILE).is_file():
        return {}
    few = list(hashes) if len(hashes) <= _FEW else []
    among = f" AND hash IN ({', '.join('?' * len(few))})" if few else ""
    with suppress(LogCorrupt), personal_database(folder) as db:
        return dict(db.execute(f"SELECT hash, {name} FROM kept WHERE json_valid(text){among}", few))
    return {}


def take_out(folder: Path, hashes: Sequence[str]) -> None:
    """Take rows out so that nothing of them is left in the file; LogWriteError."""
    if not hashes or not (folder / PERSONAL_FILE).is_file():
        return
    try:
        with closing(_opened(folder / PERSONAL_FILE)) as db:
            with db:
                db.executemany("DELETE FROM kept WHERE hash = ?", [(each,) for each in hashes])
            # Written anew: pages that were moved about may hold remnants.
            db.execute("VACUUM")
    except (*_UNREADABLE, OSError) as error:
        raise LogWriteError(folder, f"{PERSONAL_FILE}: {error}") from error


def forgotten(events: Iterable[tuple[int, Event]]) -> set[int]:
    """The running numbers of the events of a job of which the personal part was to be forgotten."""
    return {number for _, event in events if isinstance(event, PersonalForgotten) for number in event.events}


def redacted(events: Sequence[tuple[int, Event]]) -> list[Event]:
    """The events of a job, by running number, without what was to be forgotten, wherever it stands."""
    gone = forgotten(events)
    return [_redacted(event) if seq in gone else event for seq, event in events] if gone else [e for _, e in events]


def _redacted(event: Event) -> Event:
    name = "owner" if isinstance(event, JobOpened) else "point" if isinstance(event, EntryConfirmed) else "text"
    return _filled(event, {name: FORGOTTEN, "heard": None})


def completed(folder: Path, job: str, events: Sequence[tuple[int, Event]]) -> list[Event]:
    """The events of a job, by running number, with what is personal of them as far as it is kept."""
    if any(event.personal for _, event in events):
        kept = {row.hash: {**row.fields, "personal": None} for row in legible_rows(folder, job)}
        # As they were written: the hash is how they are kept, and only where nothing is kept any more it is left.
        events = [
            (seq, _filled(event, kept[event.personal]) if event.personal in kept else event) for seq, event in events
        ]
    return redacted(events)


def personal_faults(folder: Path, job: str, events: Sequence[tuple[int, Event]]) -> Iterator[str]:
    """What does not hold of what is kept beside a job's events, in sentences."""
    if not any(event.personal for _, event in events):
        return
    try:
        kept = {row.hash: row for row in rows_of(folder, job)}
    except LogCorrupt as error:
        yield str(error)
        return
    gone = forgotten(events)
    for seq, event in events:
        if event.personal is None or seq in gone:
            continue
        if event.personal not in kept:
            yield f"what is personal of event {seq} is not in {PERSONAL_FILE}"
        elif not kept[event.personal].holds:
            yield f"what is personal of event {seq} is not what was kept"
