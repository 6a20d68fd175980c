"""One procedure included in another: its steps stand where it is named, its tables are there too.

An included procedure is a whole one that passes by itself, so its mistakes are told in its own file.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from handsfree.procedure.file.format import Included
from handsfree.procedure.file.problems import LocatedFault, in_plain_words
from handsfree.procedure.location import Location

TABLES = ("vocabulary", "questions", "places", "fasteners", "lubricants", "tools")


@dataclass
class Assembled:
    """A file's data with everything included in it; ``added`` are the bytes of the included files."""

    data: Any
    faults: list[LocatedFault] = field(default_factory=list)
    added: list[bytes] = field(default_factory=list)


Fetch = Callable[[Path], tuple[Any, bytes]]
"""Gives the assembled data and the bytes of another procedure file; ProcedureError."""


def assemble(data: Any, folder: Path, fetch: Fetch) -> Assembled:
    """Put everything that is included, seen from ``folder``, in its place."""
    if not isinstance(data, dict) or not isinstance(data.get("steps"), list):
        return Assembled(data)
    return _Assembler(dict(data), folder, fetch).assembled()


class _Assembler:
    def __init__(self, whole: dict[str, Any], folder: Path, fetch: Fetch) -> None:
        self._whole, self._folder, self._fetch = whole, folder, fetch
        self._found = Assembled(whole)

    def assembled(self) -> Assembled:
        self._whole["steps"] = self._entries(self._whole["steps"], ("steps",))
        return self._found

    def _entries(self, entries: list[Any], origin: Location) -> list[Any]:
        done: list[Any] = []
        for at, entry in enumerate(entries):
            here = (*origin, at)
            if isinstance(entry, dict) and "include" in entry:
                done.append(self._included(entry, here))
            elif isinstance(entry, dict) and isinstance(entry.get("steps"), list):
                done.append({**entry, "steps": self._entries(entry["steps"], (*here, "steps"))})
            else:
                done.append(entry)
        return done

    def _included(self, entry: dict[str, Any], here: Location) -> Any:
        try:
            wanted = Included.model_validate(entry, by_alias=True, by_name=False)
        except ValidationError as error:
            self._found.faults += [
                LocatedFault((*here, *fault.place), fault.message, fault.of_key)
                for fault in in_plain_words(error, whole=Included)
            ]
            return entry
        data, content = self._fetch(self._folder / wanted.include)
        self._found.added.append(content)
        for table in TABLES:
            self._merge(table, data.get(table, {}), wanted.include, (*here, "include"))
        steps = data["steps"]
        if wanted.prefix:
            steps = _prefixed(steps, wanted.prefix, _identifiers(steps))
        group: dict[str, Any] = {"group": data["title"], "steps": steps}
        if wanted.only_if:
            group["only if"] = {name: list(fitting) for name, fitting in wanted.only_if.items()}
        return group

    def _merge(self, table: str, rows: dict[str, Any], file: str, here: Location) -> None:
        own = self._whole.get(table, {})
        if not rows or not isinstance(own, dict):
            return
        for name, row in rows.items():
            if name in own and own[name] != row:
                message = f'"{name}" means something else under "{table}" of {file}; use another short name'
                self._found.faults.append(LocatedFault(here, message))
        self._whole[table] = {**rows, **own}


def _identifiers(steps: list[Any]) -> set[str]:
    found: set[str] = set()
    for step in steps:
        found |= _identifiers(step["steps"]) if "steps" in step else {step["id"]}
    return found


def _prefixed(value: Any, prefix: str, names: set[str], key: str = "") -> Any:
    """The steps with ``prefix`` before their identifiers, wherever they are named."""
    if isinstance(value, list):
        return [_prefixed(each, prefix, names, key) for each in value]
    if isinstance(value, Mapping):
        return {name: _prefixed(each, prefix, names, name) for name, each in value.items()}
    return f"{prefix} {value}" if key in ("id", "until", "needs", "rests on") and value in names else value
