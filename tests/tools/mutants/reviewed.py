"""Mistakes that somebody has looked at and that change nothing, each with the reason."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import yaml

from tests.tools.mutants.planting import Mistake

FILE = Path(__file__).with_name("reviewed.yaml")


class Key(NamedTuple):
    """A mistake by its text, so that it is known again where lines have moved."""

    module: str
    where: str
    was: str
    becomes: str


def key(mistake: Mistake) -> Key:
    return Key(mistake.module, mistake.where, mistake.was, mistake.becomes)


def reviewed(file: Path = FILE) -> dict[Key, str]:
    """The reasons by mistake.

    Raises:
        ValueError: an entry lacks its reason.
    """
    entries = yaml.safe_load(file.read_text(encoding="utf-8")) or []
    reasons = {}
    for entry in entries:
        if not str(entry.get("why", "")).strip():
            raise ValueError(f"{file.name}: no reason for {entry['was']!r} in {entry['module']}")
        reasons[Key(*(str(entry[name] or "").strip() for name in Key._fields))] = entry["why"].strip()
    return reasons


def out_of_date(reasons: Iterable[Key], possible: Iterable[Mistake]) -> list[Key]:
    """Entries for mistakes that cannot be made any more."""
    return sorted(set(reasons) - {key(mistake) for mistake in possible})
