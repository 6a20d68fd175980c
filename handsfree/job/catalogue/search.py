"""Finding words in what was said and typed: notes, reasons, and every other free text of the log."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any

from handsfree.job.catalogue import text_index as kept
from handsfree.job.catalogue.catalogue import Watch, consult, unwatched
from handsfree.job.log.beside.personal import rows_of
from handsfree.job.log.database import open_to_read

_COLUMNS = "t.job, t.seq, t.at, t.kind, t.step, t.text, t.ended"
# What was only rehearsed happened to no item.
_REAL = "t.job NOT IN (SELECT job FROM summaries WHERE purpose = 'rehearsal')"
# The index runs in the order of writing, so that its end is had without sorting all of it.
_FIND = f"""
SELECT {_COLUMNS} FROM words JOIN texts AS t ON t.number = words.rowid
WHERE words MATCH ? AND {_REAL} ORDER BY words.rowid DESC LIMIT ?
"""
_ALL = f"SELECT {_COLUMNS} FROM texts AS t WHERE {_REAL} ORDER BY number DESC"


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


def search(folder: Path, words: str, most: int = 50, watch: Watch = unwatched) -> list[Found]:
    """The texts that hold all of ``words`` (or beginnings or forms of them): the ``most`` written last, newest first.
    ``watch`` is told how far the catalogue is, while it is made of many jobs.

    ValueError where there is no word in ``words``; LogFolderError, LogCorrupt.
    """
    terms = re.findall(r"\w+", words)
    if not terms:
        raise ValueError("say at least one word to look for")

    def rows(catalogue: sqlite3.Connection) -> list[Any]:
        if not kept.indexed(catalogue):
            return [row for row in catalogue.execute(_ALL) if _holds(row[5], terms)][:most]
        # Each word in quotes, so that none is taken for an operator of the query language.
        query = " ".join(f'"{term}" *' for term in terms)
        return catalogue.execute(_FIND, (query, most)).fetchall()

    texts = consult(folder, rows, watch)
    found = [Found(row[0], row[1], datetime.fromisoformat(row[2]), *row[3:]) for row in texts]
    found += islice(_personal(folder, terms), most)
    return sorted(found, key=lambda each: each.at, reverse=True)[:most]


def _personal(folder: Path, terms: list[str]) -> Iterator[Found]:
    """What is kept beside the log, and is never copied into the catalogue."""
    query = """SELECT seq, at, kind, json_extract(body, '$.step') FROM events
        WHERE job = ? AND json_extract(body, '$.personal') = ?"""
    rows = [row for row in rows_of(folder) if _holds(row.words, terms)]
    rehearsals = "SELECT job FROM summaries WHERE purpose = 'rehearsal'"
    rehearsed = set(consult(folder, lambda catalogue: catalogue.execute(rehearsals).fetchall())) if rows else set()
    with open_to_read(folder) as db:
        for row in reversed(rows):
            there = None if db is None or (row.job,) in rehearsed else db.execute(query, (row.job, row.hash)).fetchone()
            if there is not None:
                seq, at, kind, step = there
                yield Found(row.job, seq, datetime.fromisoformat(at), kind, step, row.words)


def _holds(text: str, terms: list[str]) -> bool:
    there = re.findall(r"\w+", text.casefold())
    return all(any(word.startswith(term.casefold()) for word in there) for term in terms)
