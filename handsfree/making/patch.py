"""Proposals as changes to the text of a procedure file: every other line stays as it is, comments and all."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from handsfree.making.experience import MoveStep, Proposal, Remark, SetFigure
from handsfree.procedure.consistency import Location
from handsfree.procedure.loader import Loaded, parse
from handsfree.procedure.problems import ProcedureError
from handsfree.procedure.yaml_text import Tree

_BEFORE_NEW_KEY = ("target", "limits", "at most", "at least", "unit")
_PLAIN_END = re.compile(r"\s+#|[,}\]\n]|\s*$")


class CannotPlace(Exception):
    """The file is written in a way in which this change can't be made by itself."""


@dataclass
class Patched:
    """The new text, what was put into it, and what could only be told."""

    text: str
    made: list[Proposal]
    told: list[Proposal]


def patched(loaded: Loaded, proposals: Sequence[Proposal]) -> Patched:
    """The file with the proposals in it, one after another; one that would spoil the file is left out."""
    done = Patched(loaded.text, [], [])
    for proposal in proposals:
        here = parse(done.text.encode(), loaded.path)
        try:
            text = _changed(here, proposal)
            parse(text.encode(), loaded.path)
        except (CannotPlace, ProcedureError):
            done.told.append(proposal)
            continue
        done.text = text
        done.made.append(proposal)
    return done


def unified(loaded: Loaded, text: str) -> str:
    """The change as a patch that the usual programs take."""
    name = loaded.path.name
    before, after = loaded.text.splitlines(keepends=True), text.splitlines(keepends=True)
    return "".join(difflib.unified_diff(before, after, f"a/{name}", f"b/{name}"))


def _changed(loaded: Loaded, proposal: Proposal) -> str:
    lines = loaded.text.splitlines(keepends=True)
    if isinstance(proposal, MoveStep):
        return _moved(loaded.tree, lines, proposal)
    if isinstance(proposal, SetFigure):
        _set(loaded.tree, lines, proposal)
        remark = f'{proposal.key} of "{proposal.characteristic}": {proposal.why}'
        return _remarked(loaded.tree, lines, Remark(proposal.step, remark))
    return _remarked(loaded.tree, lines, proposal)


def step_places(data: Any, here: Location = ()) -> Iterator[tuple[Location, str]]:
    """Every step as it is written in the file: its place, and its identifier."""
    if isinstance(data, dict):
        for key, value in data.items():
            if key == "steps" and isinstance(value, list):
                for at, step in enumerate(value):
                    place = (*here, key, at)
                    if isinstance(step, dict) and isinstance(step.get("id"), str) and "do" in step:
                        yield place, step["id"]
                    yield from step_places(step, place)
            elif isinstance(value, (dict, list)):
                yield from step_places(value, (*here, key))
    elif isinstance(data, list):
        for at, value in enumerate(data):
            yield from step_places(value, (*here, at))


def _place(tree: Tree, step: str) -> Location:
    for place, written in step_places(tree.data):
        if written == step:
            return place
    raise CannotPlace


def _block(tree: Tree, lines: Sequence[str], place: Location) -> tuple[int, int]:
    """First line and end (from nought) of a step, with the comments that stand right above it."""
    first = tree.values[place][0] - 1
    if not lines[first].lstrip().startswith("- "):
        raise CannotPlace
    indent = len(lines[first]) - len(lines[first].lstrip())
    end = first + 1
    while end < len(lines) and (not lines[end].strip() or _indent(lines[end]) > indent):
        end += 1
    # What stands below at the step's own indent is the comment on the next one.
    while first and lines[first - 1].lstrip().startswith("#") and _indent(lines[first - 1]) == indent:
        first -= 1
    return first, end


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


def _remarked(tree: Tree, lines: list[str], remark: Remark) -> str:
    at = tree.values[_place(tree, remark.step)][0] - 1
    if not lines[at].lstrip().startswith("- "):
        raise CannotPlace
    lines.insert(at, f"{' ' * _indent(lines[at])}# From experience: {remark.why}.\n")
    return "".join(lines)


def _moved(tree: Tree, lines: list[str], move: MoveStep) -> str:
    one, other = _place(tree, move.step), _place(tree, move.other)
    if one[:-1] != other[:-1]:
        raise CannotPlace  # into another group: for the writer to decide
    first, end = _block(tree, lines, one)
    there, there_end = _block(tree, lines, other)
    indent = " " * _indent(lines[tree.values[one][0] - 1])
    block = [f"{indent}# From experience: {move.why}.\n", *lines[first:end]]
    block[-1] = block[-1] if block[-1].endswith("\n") else block[-1] + "\n"
    at = there_end if move.after else there
    if at == len(lines):  # behind the last step: the blank line goes between the two
        block = [*([] if not lines[-1].strip() else ["\n"]), *_without_closing_blanks(block)]
        lines[-1] = lines[-1] if lines[-1].endswith("\n") else lines[-1] + "\n"
    elif end == len(lines) and block[-1].strip():
        block.append("\n")
    if at >= end:
        result = [*lines[:first], *lines[end:at], *block, *lines[at:]]
    else:
        result = [*lines[:at], *block, *lines[at:first], *lines[end:]]
    return "".join(_without_closing_blanks(result))


def _without_closing_blanks(lines: list[str]) -> list[str]:
    while lines and not lines[-1].strip():
        lines = lines[:-1]
    return lines


def _set(tree: Tree, lines: list[str], change: SetFigure) -> None:
    """Write the value over the old one, or as a new key behind the one it belongs to."""
    place = _place(tree, change.step)
    first, end = _block(tree, lines, place)
    group = _measured(tree, place, change.characteristic)
    key = (*group, change.key)
    if key in tree.values:
        line, column = _at(tree.values[key], first, end)
        rest = lines[line][column:]
        lines[line] = lines[line][:column] + change.value + rest[_length(rest) :]
        return
    behind = next((name for name in _BEFORE_NEW_KEY if (*group, name) in tree.values), None)
    if behind is None:
        raise CannotPlace
    known = (*group, behind)
    line, column = _at(tree.values[known], first, end)
    key_line, key_column = _at(tree.keys[known], first, end)
    rest = lines[line][column:]
    in_braces = lines[key_line][:key_column].rstrip().endswith(("{", ","))
    if in_braces:
        stop = column + _length(rest)
        lines[line] = f"{lines[line][:stop]}, {change.key}: {change.value}{lines[line][stop:]}"
    elif rest.startswith(("|", ">")) or (rest.startswith("[") and "]" not in rest):
        raise CannotPlace
    else:
        lines[line] = lines[line] if lines[line].endswith("\n") else lines[line] + "\n"
        lines.insert(line + 1, f"{' ' * key_column}{change.key}: {change.value}\n")


def _measured(tree: Tree, place: Location, name: str) -> Location:
    """The place of a characteristic in a step."""
    step = tree.data
    for part in place:
        step = step[part]
    measure = step.get("measure")
    if isinstance(measure, dict) and measure.get("name") == name:
        return (*place, "measure")
    if isinstance(measure, list):
        for at, each in enumerate(measure):
            if isinstance(each, dict) and each.get("name") == name:
                return (*place, "measure", at)
    raise CannotPlace


def _at(mark: tuple[int, int], first: int, end: int) -> tuple[int, int]:
    """Line and column from nought; not outside the step, where an alias has led."""
    line, column = mark[0] - 1, mark[1] - 1
    if not first <= line < end:
        raise CannotPlace
    return line, column


def _length(rest: str) -> int:
    """How many characters the value at the start of ``rest`` has."""
    if rest.startswith("["):
        if "]" not in rest:
            raise CannotPlace
        return rest.index("]") + 1
    if rest.startswith(("'", '"')):
        return rest.index(rest[0], 1) + 1
    found = _PLAIN_END.search(rest)
    return found.start() if found else len(rest)
