"""The rooms of the house: imports run downwards only, and the core stays pure."""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import handsfree

PACKAGE = Path(handsfree.__file__).parent

LEVELS = (
    {"cli", "__main__"},
    {"commands"},
    {"bench"},
    {"hearing", "speaking", "display", "review", "making"},
    {"guide"},
    {"wording"},
    {"phrases"},
    {"job"},
    {"procedure"},
    {"measure"},
    {"text", "audio"},
)

PURE = ("text", "phrases", "measure", "wording", "guide")
IMPURE_MODULES = {"os", "time", "threading", "sqlite3", "sounddevice", "soundfile", "subprocess", "socket", "random"}


def _room(module: str) -> str:
    return module.split(".")[1] if module.count(".") else ""


def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


def _level(room: str) -> int:
    return next(level for level, rooms in enumerate(LEVELS) if room in rooms)


def test_imports_run_downwards_only() -> None:
    wrong = []
    for path in PACKAGE.rglob("*.py"):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        room = parts[0]
        if room in ("__init__", "shipped"):
            continue
        for module in _imports(path):
            other = _room(module) if module.startswith("handsfree") else ""
            if other and other != room and _level(other) <= _level(room):
                wrong.append(f"{'/'.join(parts)} imports {module}")
    assert wrong == []


def test_the_core_touches_no_sound_clock_disk_or_thread() -> None:
    wrong = [
        f"{path.relative_to(PACKAGE)} imports {module}"
        for room in PURE
        for path in (PACKAGE / room).rglob("*.py")
        for module in _imports(path) & IMPURE_MODULES
        # The sampler draws from a generator that it is handed.
        if module != "random" or room != "phrases"
    ]
    assert wrong == []


def test_no_module_is_imported_in_a_circle() -> None:
    """Imports that only a type checker sees are counted too."""
    modules = {
        ".".join(("handsfree", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__"): path
        for path in PACKAGE.rglob("*.py")
    }
    imported: dict[str, set[str]] = {}
    for module, path in modules.items():
        imported[module] = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported[module] |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                names = {f"{node.module}.{alias.name}" for alias in node.names}
                imported[module] |= names & set(modules) or {node.module}
    TopologicalSorter({module: names & set(modules) - {module} for module, names in imported.items()}).prepare()
