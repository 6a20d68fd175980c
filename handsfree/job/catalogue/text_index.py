"""What the catalogue (``job.catalogue``) keeps of the events: their free text, and which job has which figure."""

from __future__ import annotations

import sqlite3
from contextlib import suppress

from handsfree.job.events import fields_in

KINDS = ("file attached", "note kept", "fact noted", "text typed", "step skipped", "outcome given", "job reopened")
"""Kinds of event with free text."""

TEXT_SCHEMA = (
    """
    CREATE TABLE texts (
        number INTEGER PRIMARY KEY,
        job TEXT NOT NULL,
        seq INTEGER NOT NULL,
        at TEXT NOT NULL,
        kind TEXT NOT NULL,
        step TEXT,
        id TEXT,
        text TEXT NOT NULL,
        ended TEXT
    )
    """,
    "CREATE INDEX texts_by_id ON texts (job, id)",
    "CREATE TABLE measured (characteristic TEXT, job TEXT, PRIMARY KEY (characteristic, job)) WITHOUT ROWID",
)
_WORDS = (
    "CREATE VIRTUAL TABLE words USING fts5 (text, content = 'texts', content_rowid = 'number', tokenize = 'porter')"
)

READ = (*KINDS, "entry withdrawn", "reading logged", "personal data forgotten")
"""Kinds of event that anything is kept of here."""


def make_index(catalogue: sqlite3.Connection) -> None:
    """Make the full text index; a SQLite that has none goes without it."""
    with suppress(sqlite3.OperationalError):
        catalogue.execute(_WORDS)


def indexed(catalogue: sqlite3.Connection) -> bool:
    """Whether there is a full text index."""
    return catalogue.execute("SELECT 1 FROM sqlite_master WHERE name = 'words'").fetchone() is not None


def add(catalogue: sqlite3.Connection, row: tuple[int, str, int, str, str, str], index: bool) -> None:
    """Take an event in: its place in the log, job, running number, time, kind and JSON, in the order of writing."""
    number, job, seq, at, kind, body = row
    event = fields_in(body)
    id_, step = event.get("id"), event.get("step")
    if kind == "reading logged":
        name = str(event.get("characteristic", "")).casefold()
        catalogue.execute("INSERT OR IGNORE INTO measured VALUES (?, ?)", (name, job))
    elif kind == "entry withdrawn":
        catalogue.execute("UPDATE texts SET ended = ? WHERE job = ? AND id = ?", (event.get("why"), job, id_))
    elif kind == "personal data forgotten":
        for seq_gone in event.get("events", ()):
            _take_out(catalogue, job, seq_gone, index)
    if kind == "text typed":
        _end(catalogue, "typed later", job, id_)
    elif kind == "fact noted" and event.get("corrects"):
        _end(catalogue, "corrected", job, event["corrects"])
    text = event.get("text") or event.get("reason")
    if kind == "file attached":
        text = ": ".join(filter(None, (event.get("name"), text)))
    if kind in KINDS and isinstance(text, str):
        values = (number, job, seq, at, kind, step, id_, text)
        catalogue.execute("INSERT INTO texts VALUES (?, ?, ?, ?, ?, ?, ?, ?, NULL)", values)
        if index:
            catalogue.execute("INSERT INTO words (rowid, text) VALUES (?, ?)", (number, text))


def _take_out(catalogue: sqlite3.Connection, job: str, seq: int, index: bool) -> None:
    for number, text in catalogue.execute(
        "SELECT number, text FROM texts WHERE job = ? AND seq = ?", (job, seq)
    ).fetchall():
        if index:
            catalogue.execute("INSERT INTO words (words, rowid, text) VALUES ('delete', ?, ?)", (number, text))
        catalogue.execute("DELETE FROM texts WHERE number = ?", (number,))


def _end(catalogue: sqlite3.Connection, how: str, job: str, id_: str | None) -> None:
    # "Taken back" is the stronger word, whichever came first; of the others, "corrected".
    weaker = "'typed later'" if how == "corrected" else "''"
    query = f"UPDATE texts SET ended = ? WHERE job = ? AND id = ? AND coalesce(ended, '') IN ('', {weaker})"
    catalogue.execute(query, (how, job, id_))
