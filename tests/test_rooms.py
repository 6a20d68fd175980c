"""The rooms of the house: imports run downwards only, and the core stays pure."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
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

MOST_IN_A_FOLDER = 12
MOST_BY_POSITION = 6


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def _nodes(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(_tree(path)))


def _room(module: str) -> str:
    return module.split(".")[1] if module.count(".") else ""


def _imports(path: Path) -> set[str]:
    found = set()
    for node in _nodes(path):
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


def _name(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {_name(path): path for path in PACKAGE.rglob("*.py")}


def _modules_imported(path: Path) -> Iterator[str]:
    """Every module of the package that a file imports, wherever in it: for types only, or within a function, too."""
    for node in _nodes(path):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in MODULES)
        elif isinstance(node, ast.ImportFrom) and node.module in MODULES:
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in MODULES else node.module


def _public(package: str) -> set[str]:
    for node in _tree(MODULES[package]).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return set(ast.literal_eval(node.value))
    return set()


def test_no_room_reaches_for_what_another_does_not_name_as_public() -> None:
    wrong = []
    for name, path in MODULES.items():
        for module in _modules_imported(path):
            parts = module.split(".")
            if _room(module) in ("", _room(name)):
                continue
            hidden = [at for at in range(2, len(parts)) if parts[at] not in _public(".".join(parts[:at]))]
            if hidden:
                wrong.append(f"{name} imports {module}")
    assert wrong == []


def test_what_a_room_names_as_public_is_there_and_told_of_in_its_description() -> None:
    wrong = []
    for package, path in MODULES.items():
        if path.name != "__init__.py":
            continue
        described = ast.get_docstring(_tree(path)) or ""
        wrong += [
            f"{package}: {name}"
            for name in _public(package)
            if f"{package}.{name}" not in MODULES or f"``{name}``:" not in described
        ]
    assert wrong == []


def test_no_modules_import_each_other_in_a_circle() -> None:
    try:
        TopologicalSorter({name: set(_modules_imported(path)) - {name} for name, path in MODULES.items()}).prepare()
    except CycleError as error:
        raise AssertionError(" imports ".join(reversed(error.args[1]))) from None


def test_no_folder_is_full() -> None:
    full = set()
    for folder in {path.parent for path in MODULES.values()}:
        modules = [path for path in folder.glob("*.py") if path.name != "__init__.py"]
        if len(modules) > MOST_IN_A_FOLDER:
            full.add(folder.relative_to(PACKAGE).as_posix())
    assert full == set()


def test_long_calls_name_what_they_give() -> None:
    """Beyond six values by position, two that are swapped pass every check. What takes any number of them is no such
    call."""
    calls: list[tuple[str, str]] = []
    any_number = {"print"}
    for top in (PACKAGE, Path(__file__).parent):
        for path in top.rglob("*.py"):
            for node in _nodes(path):
                if isinstance(node, ast.ClassDef):
                    makers = [part for part in node.body if isinstance(part, ast.FunctionDef)]
                    if any(maker.name == "__init__" and maker.args.vararg is not None for maker in makers):
                        any_number.add(node.name)
                elif isinstance(node, ast.FunctionDef) and node.args.vararg is not None:
                    any_number.add(node.name)
                elif isinstance(node, ast.Call) and len(node.args) > MOST_BY_POSITION:
                    calls.append((ast.unparse(node.func).split(".")[-1], f"{path.relative_to(top)}:{node.lineno}"))
    assert sorted({f"{name} at {place}" for name, place in calls if name not in any_number}) == []


def _public_names(module: ast.Module) -> Iterator[str]:
    for node in module.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            yield node.name
        elif isinstance(node, ast.Assign):
            yield from (target.id for target in node.targets if isinstance(target, ast.Name))
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id


def test_a_public_name_stands_for_one_thing() -> None:
    homes: dict[str, set[str]] = {}
    for module, path in MODULES.items():
        for name in _public_names(_tree(path)):
            if not name.startswith("_"):
                homes.setdefault(name, set()).add(module)
    assert {name: sorted(modules) for name, modules in homes.items() if len(modules) > 1} == {}
