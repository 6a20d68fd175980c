"""Whether the files of an open log are still those that are written to, and where else its job can be saved.

A file that is deleted or moved can still be written to by whoever has it open, and nobody will find it.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import datetime
from os import stat_result
from os.path import samestat
from pathlib import Path

_DATABASE, _WAL = "handsfree.db", "handsfree.db-wal"


class FilesInPlace:
    """The files of the log in ``folder`` as they are now, just opened."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / _DATABASE
        self._wal = folder / _WAL
        self._was = _look(self._file)
        self._wal_was = _look(self._wal)

    def are_in_place(self) -> bool:
        """Whether the database and its write-ahead log are those that were there, and no shorter than they were."""
        now, wal = _look(self._file), _look(self._wal)
        if now is None or self._was is None or not samestat(now, self._was) or now.st_size < self._was.st_size:
            return False
        self._was = now
        if self._wal_was is None:
            # It is made by the first write.
            self._wal_was = wal
            return True
        return wal is not None and samestat(wal, self._wal_was)


def _look(file: Path) -> stat_result | None:
    try:
        return file.stat()
    except OSError:
        return None


def new_folders(folder: Path, now: datetime) -> Iterator[Path]:
    """Folders that are not there yet, in which a job of the log that was in ``folder`` can be saved: beside it, in the
    home folder, where temporary files are."""
    for parent in (folder.absolute().parent, Path.home(), Path(tempfile.gettempdir())):
        name = f"handsfree-saved-{now:%Y-%m-%d-%H%M%S}"
        for again in ("", "-2", "-3"):
            try:
                taken = (parent / f"{name}{again}").exists()
            except OSError:
                break
            if not taken:
                yield parent / f"{name}{again}"
                break
