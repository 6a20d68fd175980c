"""Small disks of their own, to be filled."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


class NoDisk(Exception):
    """None can be mounted here; the text says why."""


@contextmanager
def small_disk(folder: Path, kilobytes: int) -> Iterator[Path]:
    """A disk of that size in memory, mounted on ``folder`` (made where it is absent); NoDisk."""
    if shutil.which("mount") is None:
        raise NoDisk("the program mount is absent")
    folder.mkdir(exist_ok=True)
    command = ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "none", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise NoDisk(f"mounting a small disk (tmpfs) is not permitted here: {done.stderr.strip()}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=False)


def disk_of(folder: Path, kilobytes: int) -> Iterator[Path]:
    """For a fixture: the same; without the right to mount one its tests are skipped."""
    try:
        with small_disk(folder, kilobytes) as disk:
            yield disk
    except NoDisk as why:
        pytest.skip(str(why))
