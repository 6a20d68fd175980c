"""Files that others made (a photo, a drawing, a PDF), copied beside the log under the hash of their content.

What a file is told to be counts for nothing: only its first bytes say whether it is a picture that a page may show.
Anything else, a drawing that could run a script among it, is named and never shown.
"""

from __future__ import annotations

import hashlib
import os
import stat
from pathlib import Path
from tempfile import mkstemp

from handsfree.job.errors import LogCorrupt, LogError, LogWriteError, told_by_system
from handsfree.job.log.clips import sync_folder

ATTACHMENTS = "attachments"
LARGEST_ATTACHED = 25_000_000
"""Bytes of a file that is taken."""
_PICTURES = ((b"\x89PNG\r\n\x1a\n", "image/png"), (b"\xff\xd8\xff", "image/jpeg"))


class FileRefused(LogError):
    """The file can't be attached; one sentence that says why."""


def attached_path(folder: Path, sha: str) -> Path:
    """Where a file of this hash is kept below the log's ``folder``."""
    return folder / ATTACHMENTS / sha[:2] / sha


def picture_type(content: bytes) -> str | None:
    """The media type of a picture that a page may show, by its first bytes; None for everything else."""
    return next((name for begins, name in _PICTURES if content.startswith(begins)), None)


def content_of(source: Path) -> bytes:
    """The content of a file that is to be attached; FileRefused."""
    try:
        found = source.stat()
        if not stat.S_ISREG(found.st_mode):
            raise FileRefused(f"{source} is no file that can be attached; name a photo, a drawing or a document")
        if found.st_size > LARGEST_ATTACHED:
            size = f"{found.st_size / 1e6:.0f} MB"
            raise FileRefused(
                f"{source} has {size}, and at most {LARGEST_ATTACHED / 1e6:.0f} MB can be attached; make it smaller"
            )
        content = source.read_bytes()
    except OSError as error:
        raise FileRefused(f"{source} can't be read ({told_by_system(error)})") from error
    if not content:
        raise FileRefused(f"{source} is empty; nothing was attached")
    return content


def keep_file(folder: Path, content: bytes) -> str:
    """Keep the content of a file and return its SHA-256; it is on disk when this returns. LogWriteError."""
    sha = hashlib.sha256(content).hexdigest()
    path = attached_path(folder, sha)
    if path.exists():
        return sha
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = mkstemp(suffix=".tmp", prefix=".", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        sync_folder(path.parent)
    except OSError as error:
        raise LogWriteError(folder, told_by_system(error)) from error
    return sha


def delete_file(folder: Path, sha: str) -> None:
    """Delete the content of a file, if it is there; LogWriteError."""
    try:
        attached_path(folder, sha).unlink(missing_ok=True)
    except OSError as error:
        raise LogWriteError(folder, told_by_system(error)) from error


def read_attached(folder: Path, sha: str) -> bytes:
    """The content of a file that was attached; LogError where it is not there, LogCorrupt where it is another."""
    path = attached_path(folder, sha)
    try:
        content = path.read_bytes()
    except OSError as error:
        raise LogError(f"the attached file {sha[:8]} is not at {path}: restore it from a copy of the log") from error
    if hashlib.sha256(content).hexdigest() != sha:
        raise LogCorrupt(f"the attached file {path} is not what was attached: restore it from a copy of the log")
    return content
