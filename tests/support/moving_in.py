"""A folder that is made once, and worked in by each test as its own."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest


def moved_in(made: Path, place: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of ``made`` in ``place`` as the folder one is in, with settings and data of its own."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(place / "home"))
    shutil.copytree(made, place, dirs_exist_ok=True)
    monkeypatch.chdir(place)
    return place
