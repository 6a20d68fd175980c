"""Bringing the log's file from an older version to the present one, in one transaction.

Version 1: jobs and events. Version 2: each event carries its hash (``job.chain``), the events know more kinds, and
``versions`` tells since when the file has had its version. Version 3 kept what lists, looking back and search need
beside the events; since version 4 that is in a file of its own (``job.catalogue``), and this one holds the log alone.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

from handsfree.job.errors import LogWriteError
from handsfree.job.events import SCHEMA_VERSION
from handsfree.job.log.hash_chain import first_link, link

NOW = "strftime('%Y-%m-%dT%H:%M:%SZ', 'now')"


def migrate(db: sqlite3.Connection, file: Path) -> None:
    """Bring the file up to the present version; on LogWriteError it is as it was."""
    try:
        db.execute("BEGIN IMMEDIATE")
        try:
            version = int(db.execute("PRAGMA user_version").fetchone()[0])
            while version < SCHEMA_VERSION:
                _STEPS[version](db)
                version += 1
                db.execute(f"INSERT INTO versions VALUES (?, {NOW})", (version,))
            db.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
            db.execute("COMMIT")
        except BaseException:
            if db.in_transaction:
                db.execute("ROLLBACK")
            raise
    except sqlite3.OperationalError as error:
        raise LogWriteError(file.parent, f"bringing {file.name} up to date: {error}") from error


def _add_hashes(db: sqlite3.Connection) -> None:
    """To version 2. The hashes are made now: they prove nothing about the time before."""
    db.execute("CREATE TABLE versions (version INTEGER PRIMARY KEY NOT NULL, since TEXT NOT NULL)")
    db.execute("DROP TRIGGER events_stay")
    db.execute("ALTER TABLE events ADD COLUMN hash TEXT NOT NULL DEFAULT ''")
    for (job,) in db.execute("SELECT id FROM jobs").fetchall():
        before = first_link(job)
        for seq, body in db.execute("SELECT seq, body FROM events WHERE job = ? ORDER BY seq", (job,)).fetchall():
            before = link(before, body)
            db.execute("UPDATE events SET hash = ? WHERE job = ? AND seq = ?", (before, job, seq))
    db.execute(
        "CREATE TRIGGER events_stay BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'events are never changed'); END"
    )


def _change_nothing(db: sqlite3.Connection) -> None:
    """To version 3, of which nothing is left."""


def _log_alone(db: sqlite3.Connection) -> None:
    """To version 4."""
    db.execute("DROP INDEX IF EXISTS events_by_kind")
    db.execute("DROP INDEX IF EXISTS readings_by_name")
    for table in ("summaries", "words_upto", "words"):
        # A SQLite without full text search can't drop the index of words: there it stays, and nobody asks it.
        with suppress(sqlite3.OperationalError):
            db.execute(f"DROP TABLE IF EXISTS {table}")


_STEPS: Mapping[int, Callable[[sqlite3.Connection], None]] = {1: _add_hashes, 2: _change_nothing, 3: _log_alone}
