"""Bringing the log's file from an earlier version to the present one, in one transaction; older ones are refused.

Version 3 kept what lists, looking back and search need beside the events. Since version 4 that is in a file of its own
(``job.catalogue``), and this one holds the log alone. Version 5 knows two more kinds of event: who is at the bench, and
the stretches of a note. Since version 6 what is personal of an event stands beside the log
(``job.log.beside.personal``), and further kinds of event are known. What was written before is read as it is.
"""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from pathlib import Path

from handsfree.job.errors import LogWriteError
from handsfree.job.events import SCHEMA_VERSION

NOW = "strftime('%Y-%m-%dT%H:%M:%SZ', 'now')"
OLDEST_VERSION = 3


def migrate(db: sqlite3.Connection, file: Path) -> None:
    """Bring the file up to the present version; on LogWriteError it is as it was."""
    try:
        db.execute("BEGIN IMMEDIATE")
        try:
            # Another process may have done it while this one waited.
            if db.execute("PRAGMA user_version").fetchone()[0] < SCHEMA_VERSION:
                _leave_the_log_alone(db)
                db.execute(f"INSERT INTO versions VALUES (?, {NOW})", (SCHEMA_VERSION,))
                db.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
            db.execute("COMMIT")
        except BaseException:
            if db.in_transaction:
                db.execute("ROLLBACK")
            raise
    except sqlite3.OperationalError as error:
        raise LogWriteError(file.parent, f"bringing {file.name} up to date: {error}") from error


def _leave_the_log_alone(db: sqlite3.Connection) -> None:
    """From version 3 to version 4."""
    db.execute("DROP INDEX IF EXISTS events_by_kind")
    db.execute("DROP INDEX IF EXISTS readings_by_name")
    for table in ("summaries", "words_upto", "words"):
        # A SQLite without full text search can't drop the index of words: there it stays, and nobody asks it.
        with suppress(sqlite3.OperationalError):
            db.execute(f"DROP TABLE IF EXISTS {table}")
