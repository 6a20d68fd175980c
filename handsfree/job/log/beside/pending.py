"""A sound that is on disk while the event that names it is not yet: what a program that was ended between the two
leaves behind, and how it is cleared away."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from pathlib import Path

from filelock import FileLock, Timeout

from handsfree.job.log.clips import clip_path
from handsfree.job.log.numbers import is_clip, is_number

_FOLDER, _ENDING = "locks", ".clip"


def expect(folder: Path, job: str, sha: str) -> None:
    """A sound is about to be kept for an event of the job; OSError."""
    (folder / _FOLDER / f"{job}{_ENDING}").write_bytes(sha.encode())


def arrived(folder: Path, job: str) -> None:
    """The event that names it is on disk."""
    with suppress(OSError):
        (folder / _FOLDER / f"{job}{_ENDING}").unlink()


def clear_left_sounds(folder: Path, db: sqlite3.Connection, mine: str) -> None:
    """Delete the sounds that were kept for an event that never came: of the job ``mine``, whose lock is held, and of
    those that nobody has open."""
    with suppress(OSError):
        for note in (folder / _FOLDER).glob(f"*{_ENDING}"):
            job = note.name.removesuffix(_ENDING)
            if job == mine:
                _clear(folder, db, note)
            elif is_number(job):
                with suppress(Timeout), FileLock(folder / _FOLDER / f"{job}.lock", timeout=0):
                    _clear(folder, db, note)


def _clear(folder: Path, db: sqlite3.Connection, note: Path) -> None:
    sha = note.read_bytes().decode("ascii", "replace").strip()
    if is_clip(sha):
        path = clip_path(folder, sha)
        for part in path.parent.glob(".*.tmp"):
            part.unlink()
        if not db.execute("SELECT 1 FROM events WHERE body LIKE ? LIMIT 1", (f"%{sha}%",)).fetchone():
            path.unlink(missing_ok=True)
    note.unlink()
