"""What has been worked out before, kept in a folder from run to run: a run that was broken off goes on where it was."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any


def digest(root: Path, names: Iterable[str]) -> str:
    """Of the texts of these files and folders: another one when any of them has changed."""
    sum_of = hashlib.sha256()
    for name in names:
        path = root / name
        for file in sorted(path.rglob("*")) if path.is_dir() else [path]:
            if file.is_file() and "__pycache__" not in file.parts:
                sum_of.update(f"{file.relative_to(root)}\0{file.stat().st_size}\0".encode())
                sum_of.update(file.read_bytes())
    return sum_of.hexdigest()


class Kept:
    """Results by what they follow from, each in a file of its own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def has(self, *of: object) -> bool:
        return self._file(of).exists()

    def result(self, *of: object, work: Callable[[], Any]) -> Any:
        """What ``work`` gives, or gave when it was asked for ``of`` before."""
        file = self._file(of)
        if file.exists():
            return pickle.loads(file.read_bytes())
        result = work()
        file.with_suffix(".part").write_bytes(pickle.dumps(result))
        file.with_suffix(".part").rename(file)
        return result

    def _file(self, of: tuple[object, ...]) -> Path:
        return self._folder / f"{hashlib.sha256(repr(of).encode()).hexdigest()}.pickle"
