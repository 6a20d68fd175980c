"""A copy of the repository in a temporary folder, where a module may be spoilt: the tree itself is never written to."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.tools.mutants.planting import Mistake

_COPIED = ("handsfree", "tests", "procedures", "pyproject.toml", "README.md", "DEVELOPERS.md")
_LINKED = ("audio_fixtures",)
_LATER = 100
"""Seconds by which a spoilt module is newer, so that no compiled file of the right one passes for its own."""


@contextmanager
def copy_of(repository: Path) -> Iterator[Path]:
    """The copy; it goes when the work is done, or broken off."""
    with TemporaryDirectory(prefix="mistakes-") as folder:
        root = Path(folder).resolve() / "copy"
        root.mkdir()
        for name in _COPIED:
            source = repository / name
            if source.is_dir():
                shutil.copytree(source, root / name, ignore=shutil.ignore_patterns("__pycache__"))
            elif source.exists():
                shutil.copy2(source, root / name)
        for name in _LINKED:
            if (repository / name).exists():
                (root / name).symlink_to((repository / name).resolve())
        yield root


@contextmanager
def planted(mistake: Mistake, root: Path) -> Iterator[None]:
    """The copy with one mistake in it, and without it again."""
    path = root / mistake.module
    right, when = path.read_bytes(), path.stat()
    try:
        path.write_text(mistake.source, encoding="utf-8")
        os.utime(path, (when.st_atime, when.st_mtime + _LATER))
        yield
    finally:
        path.write_bytes(right)
        os.utime(path, (when.st_atime, when.st_mtime))
