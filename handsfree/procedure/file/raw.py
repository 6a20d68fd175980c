"""Parts of a procedure file as they stand in it, before anything is known of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from handsfree.procedure.location import Location

PLACE = "{place}"
AT_SOME_PLACES = ("fasteners", "lubricant", "dangers", "measure")
"""Keys of a step whose entries may be there at some of its places only."""


def keyed(key: str, error: ValueError) -> str:
    return f'"{key}": {error}' if str(error).startswith('"') else f'"{key}" {error}'


def entries_of(step: Mapping[str, Any]) -> Iterator[tuple[Location, Any]]:
    for key in AT_SOME_PLACES:
        entries = step.get(key)
        for at, entry in enumerate(entries if isinstance(entries, list) else [entries]):
            yield (key, at), entry


def as_list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def without_places(step: dict[str, Any]) -> None:
    step.pop("only at", None)
    for key in AT_SOME_PLACES:
        entries = step.get(key)
        if isinstance(entries, (list, dict)):
            step[key] = [
                {name: value for name, value in entry.items() if name != "only at"}
                if isinstance(entry, dict)
                else entry
                for entry in as_list(entries)
            ]


def with_place(value: Any, place: str) -> Any:
    """``value`` with the place in all its texts."""
    if isinstance(value, str):
        words = value.replace(PLACE, place)
        return words[:1].upper() + words[1:] if value.startswith(PLACE) else words
    if isinstance(value, list):
        return [with_place(each, place) for each in value]
    return {key: with_place(each, place) for key, each in value.items()} if isinstance(value, dict) else value
