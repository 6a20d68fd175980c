"""Where a step stands in the text of a procedure file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.file.yaml_text import Tree
from handsfree.procedure.location import Location


class CannotPlace(Exception):
    """The file is written in a way in which a change can't be made by itself; the message says in which."""


def step_place(loaded: Loaded, step: str) -> Location:
    """The place at which a step, or the one that it repeats, is written."""
    place = loaded.expanded.place(("steps", loaded.procedure.step_number(step) - 1))
    step_data(loaded, place)
    return place


def step_data(loaded: Loaded, place: Location) -> dict[str, Any]:
    """What the file itself says of the step at this place."""
    found = loaded.tree.data
    try:
        for part in place:
            found = found[part]
    except (KeyError, IndexError, TypeError):
        found = None
    if not isinstance(found, dict) or "do" not in found:
        raise CannotPlace("it stands in an included file")
    return found


def block(tree: Tree, lines: Sequence[str], place: Location) -> tuple[int, int]:
    """First line and end (from nought) of a step or group, with the comments that stand right above it."""
    first = tree.values[place][0] - 1
    if not lines[first].lstrip().startswith("- "):
        raise CannotPlace("it does not begin a line of its own")
    own = indent(lines[first])
    end = first + 1
    while end < len(lines) and (not lines[end].strip() or indent(lines[end]) > own):
        end += 1
    # What stands below at the step's own indent is the comment on the next one.
    while first and lines[first - 1].lstrip().startswith("#") and indent(lines[first - 1]) == own:
        first -= 1
    return first, end


def indent(line: str) -> int:
    """The spaces before a line."""
    return len(line) - len(line.lstrip())


def without_closing_blanks(lines: list[str]) -> list[str]:
    """The lines without empty ones at the end."""
    while lines and not lines[-1].strip():
        lines = lines[:-1]
    return lines
