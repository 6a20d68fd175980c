"""The table that describes the recordings: one row for each file."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from tests.support.places import FIXTURES

FOLDER = FIXTURES
TABLE = FOLDER / "table.csv"
PROCEDURE = FOLDER / "procedure.yaml"
"""The procedure whose names the recordings use."""
COLUMNS = ("file", "words", "meaning", "voice", "noise", "set", "outcome", "known_to_fail")


@dataclass(frozen=True)
class Recording:
    """One row. ``file`` is relative to the table; ``meaning`` is empty where nothing should be understood."""

    file: str
    words: str = ""
    meaning: dict[str, str] = field(default_factory=dict)
    voice: str = ""
    noise: str = "clean"
    set: str = "judge"
    """ "tune": thresholds may be derived from it; "judge": for judging only."""
    outcome: str = "clear"
    """What should come of it: "clear", heard without doubt and with this meaning; "none", no answer at all."""
    known_to_fail: str = ""
    """What comes of it instead, where that is known: "doubtful", "near", "none", "wrong"; else empty."""


def read(path: Path = TABLE) -> list[Recording]:
    """The rows of the table, in its order."""
    with path.open(newline="", encoding="utf-8") as file:
        return [
            Recording(**{**row, "meaning": json.loads(row["meaning"])} if row["meaning"] else {**row, "meaning": {}})
            for row in csv.DictReader(file)
        ]  # fmt: skip


def write(recordings: Iterable[Recording], path: Path = TABLE) -> None:
    """Writes the table anew."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        for row in recordings:
            meaning = json.dumps(row.meaning) if row.meaning else ""
            writer.writerow([meaning if name == "meaning" else getattr(row, name) for name in COLUMNS])
