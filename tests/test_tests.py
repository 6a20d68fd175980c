"""The suite itself: tests stand by room, and none leans on another."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import handsfree

TESTS = Path(__file__).parent
ROOMS = {folder.name for folder in Path(handsfree.__file__).parent.iterdir() if (folder / "__init__.py").is_file()}
OTHER_FOLDERS = {"faults", "benchmarks", "data", "end_to_end", "support", "tools"}


def test_tests_stand_by_room() -> None:
    folders = {path.name for path in TESTS.iterdir() if path.is_dir() and not path.name.startswith("__")}
    assert folders <= ROOMS | OTHER_FOLDERS
    assert folders | {"wording"} >= ROOMS, "a room without tests"


def test_no_test_imports_another() -> None:
    """What several share stands in support: so any of them runs alone, in any order and in any process."""
    wrong = []
    for path in TESTS.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        # Who names none beside its own imports none, and need not be parsed.
        if not re.search(r"(?<!def )test_|conftest", text):
            continue
        for node in ast.walk(ast.parse(text)):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import | ast.ImportFrom) else []
            wrong += [f"{path.relative_to(TESTS)}: {name}" for name in names if "test_" in name or "conftest" in name]
    assert wrong == []
