"""Folders for work that is under way, which a program that was ended in the middle leaves behind.

Such a folder is locked as long as somebody works in it. So the next who begins such work can take away what nobody
works in any more, and nothing else.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import mkdtemp

from filelock import BaseFileLock, FileLock, Timeout

_IN_USE = ".in-use"


@contextmanager
def scratch_folder(parent: Path, prefix: str) -> Iterator[Path]:
    """A new folder in ``parent`` that is gone afterwards; those of the same ``prefix`` that nobody works in any more go
    first. OSError."""
    sweep(parent, prefix)
    folder, lock = _taken(parent, prefix)
    try:
        yield folder
    finally:
        lock.release()
        shutil.rmtree(folder, ignore_errors=True)


def _taken(parent: Path, prefix: str) -> tuple[Path, BaseFileLock]:
    """A new folder with its lock. One that another swept away between its making and its locking is made again."""
    while True:
        folder = Path(mkdtemp(prefix=prefix, dir=parent))
        lock = FileLock(folder / _IN_USE)
        try:
            lock.acquire()
        except OSError:
            if folder.exists():
                shutil.rmtree(folder, ignore_errors=True)
                raise
            continue
        if (folder / _IN_USE).is_file():
            return folder, lock
        lock.release()


def sweep(parent: Path, prefix: str) -> None:
    """Take away the scratch folders in ``parent`` that were left behind."""
    with suppress(OSError):
        for left in parent.glob(f"{prefix}*"):
            if not (left / _IN_USE).is_file() or left.is_symlink():
                continue
            with suppress(Timeout, OSError), FileLock(left / _IN_USE, timeout=0):
                shutil.rmtree(left)
