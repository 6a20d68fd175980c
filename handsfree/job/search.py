"""Finding words in what was said and typed: notes, reasons, and every other free text of the log.

An index for SQLite's full text search stands in the log's file beside the events and is kept up with every event that
is added. It is no part of the log: whatever it lacks is made up for when a job is opened and there is none yet, or when
somebody searches.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from handsfree.job.database import FILE, open_to_read, open_to_write, transaction, translated
from handsfree.job.errors import LogFolderError, LogWriteError

KINDS = ("note kept", "fact noted", "text typed", "step skipped", "outcome given", "job reopened")
"""Kinds of event with free text."""

_SCHEMA = (
    "CREATE VIRTUAL TABLE IF NOT EXISTS words USING fts5 (text, job UNINDEXED, seq UNINDEXED, tokenize = 'porter')",
    "CREATE TABLE IF NOT EXISTS words_upto (job TEXT PRIMARY KEY NOT NULL, seq INTEGER NOT NULL) WITHOUT ROWID",
)
_TEXT = """CASE WHEN json_valid(e.body) THEN
    coalesce(json_extract(e.body, '$.text'), json_extract(e.body, '$.reason')) END"""
_KINDS = ", ".join(f"'{kind}'" for kind in KINDS)
_BEHIND = """
SELECT jobs.id, coalesce(words_upto.seq, 0), (SELECT max(seq) FROM events WHERE job = jobs.id) AS newest
FROM jobs LEFT JOIN words_upto ON words_upto.job = jobs.id
WHERE newest > coalesce(words_upto.seq, 0) ORDER BY jobs.rowid
"""
_ADD = f"""
INSERT INTO words (text, job, seq)
SELECT {_TEXT}, e.job, e.seq FROM events AS e
WHERE e.job = ? AND e.seq > ? AND e.kind IN ({_KINDS}) AND {_TEXT} <> ''
"""
_UPTO = "INSERT OR REPLACE INTO words_upto VALUES (?, ?)"
_ENDED = """
SELECT CASE kind WHEN 'entry withdrawn' THEN json_extract(body, '$.why')
    WHEN 'text typed' THEN 'typed later' ELSE 'corrected' END FROM events
WHERE job = ? AND ((kind = 'entry withdrawn' AND json_extract(body, '$.id') = ?)
    OR (kind = 'fact noted' AND json_extract(body, '$.corrects') = ?)
    OR (kind = 'text typed' AND json_extract(body, '$.id') = ? AND seq > ?)) ORDER BY kind LIMIT 1
"""
# What was only rehearsed happened to no item.
_REAL = """NOT EXISTS (SELECT 1 FROM events AS o WHERE o.job = e.job AND o.seq = 1 AND json_valid(o.body)
    AND json_extract(o.body, '$.purpose') = 'rehearsal')"""
_FIND = f"""
SELECT w.job, w.seq, w.text, e.at, e.kind, json_extract(e.body, '$.step'), json_extract(e.body, '$.id')
FROM words AS w JOIN events AS e ON e.job = w.job AND e.seq = CAST(w.seq AS INTEGER)
WHERE words MATCH ? AND {_REAL} ORDER BY w.rowid DESC LIMIT ?
"""
_SCAN = f"""
SELECT e.job, e.seq, {_TEXT} AS text, e.at, e.kind, json_extract(e.body, '$.step'), json_extract(e.body, '$.id')
FROM events AS e WHERE e.kind IN ({_KINDS}) AND text <> '' AND {_REAL} ORDER BY e.at DESC
"""


@dataclass(frozen=True)
class Found:
    """A text in which the words stand: where and when it was said."""

    job: str
    seq: int
    at: datetime
    kind: str
    step: str | None
    text: str
    ended: str | None = None
    """What became of it: "taken back", "corrected", or "typed later" of what was understood of the sound."""


def keep_ready(db: sqlite3.Connection, folder: Path) -> bool:
    """Make the index where there is none; whether there is one (a SQLite without full text search has none)."""
    with translated(folder / FILE):
        if db.execute("SELECT 1 FROM sqlite_master WHERE name = 'words_upto'").fetchone():
            return True
        try:
            for statement in _SCHEMA:
                db.execute(statement)
        except sqlite3.OperationalError:
            return False
        _catch_up(db, folder)
    return True


def add(db: sqlite3.Connection, job: str, seq: int, kind: str) -> None:
    """Take an event of this running number and kind into the index, in the transaction that adds it to the log."""
    found = db.execute("SELECT seq FROM words_upto WHERE job = ?", (job,)).fetchone()
    upto = int(found[0]) if found else 0
    if kind in KINDS or upto < seq - 1:
        db.execute(_ADD, (job, upto))
    db.execute(_UPTO, (job, seq))


def _catch_up(db: sqlite3.Connection, folder: Path) -> None:
    behind = db.execute(_BEHIND).fetchall()
    if behind:
        with transaction(db, folder):
            for job, upto, newest in behind:
                db.execute(_ADD, (job, upto))
                db.execute(_UPTO, (job, newest))


def search(folder: Path, words: str, most: int = 50) -> list[Found]:
    """The texts that hold all of ``words`` (or beginnings or forms of them): the ``most`` written last, newest first.

    ValueError where there is no word in ``words``; LogFolderError, LogCorrupt.
    """
    terms = re.findall(r"\w+", words)
    if not terms:
        raise ValueError("say at least one word to look for")
    with open_to_read(folder) as db:
        if db is None:
            return []
    try:
        return _by_index(folder, terms, most)
    except (LogFolderError, LogWriteError, sqlite3.OperationalError):
        # A log that can't be written, or a SQLite without full text search: look through all of it.
        return list(_by_looking(folder, terms))[:most]


def _by_index(folder: Path, terms: list[str], most: int) -> list[Found]:
    with closing(open_to_write(folder)) as db:
        if not keep_ready(db, folder):
            return list(_by_looking(folder, terms))[:most]
        _catch_up(db, folder)
        # Each word in quotes, so that none is taken for an operator of the query language.
        query = " ".join(f'"{term}" *' for term in terms)
        with translated(folder / FILE):
            # The index runs in the order of writing, so that its end is had without sorting all of it.
            found = [_found(db, row) for row in db.execute(_FIND, (query, most)).fetchall()]
            return sorted(found, key=lambda each: each.at, reverse=True)


def _by_looking(folder: Path, terms: list[str]) -> Iterator[Found]:
    wanted = [term.casefold() for term in terms]
    with open_to_read(folder) as db:
        assert db is not None
        for row in db.execute(_SCAN):
            there = re.findall(r"\w+", row[2].casefold())
            if all(any(word.startswith(term) for word in there) for term in wanted):
                yield _found(db, row)


def _found(db: sqlite3.Connection, row: tuple[str, int, str, str, str, str | None, str | None]) -> Found:
    job, seq, text, at, kind, step, id_ = row
    ended = None
    if id_ is not None:
        why = db.execute(_ENDED, (job, id_, id_, id_, int(seq))).fetchone()
        ended = str(why[0]) if why else None
    return Found(job, int(seq), datetime.fromisoformat(at), kind, step, text, ended)
