"""Proposals as changes to the text of a procedure file: every other line stays as it is, comments and all."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from handsfree.making.experience import MoveStep, Proposal, Remark, SetFigure
from handsfree.making.step_moves import in_order, moved
from handsfree.making.step_text import CannotPlace, block, indent, step_data, step_place
from handsfree.procedure.file.loader import Loaded, parse_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.location import Location

_BEFORE_NEW_KEY = ("target", "limits", "at most", "at least", "unit")
_PLAIN_END = re.compile(r"\s+#|[,}\]\n]|\s*$")


@dataclass
class Patched:
    """The new text, and what was put into it."""

    text: str
    made: list[Proposal]
    told: list[tuple[Proposal, str]]
    """What could only be told, and why."""


def patched(loaded: Loaded, proposals: Sequence[Proposal]) -> Patched:
    """The file with the proposals in it, one after another; one that would spoil the file is left out."""
    done = Patched(loaded.written, [], [])
    # One change to the text settles the same one at every place at which a step is repeated.
    settled: set[tuple[object, ...]] = set()
    for proposal in proposals:
        here = parse_procedure(done.text.encode(), loaded.path)
        try:
            same = _same_change(loaded, proposal)
            if same not in settled:
                text = _changed(here, proposal, proposals)
                there = parse_procedure(text.encode(), loaded.path)
                if isinstance(proposal, MoveStep) and not in_order(here, there, proposal):
                    raise CannotPlace("other steps would be moved with it")
                done.text = text
                settled.add(same)
        except CannotPlace as error:
            done.told.append((proposal, str(error)))
        except ProcedureError as error:
            done.told.append((proposal, f"it would break something else: {error.problems[0].message}"))
        else:
            done.made.append(proposal)
    return done


def _same_change(loaded: Loaded, proposal: Proposal) -> tuple[object, ...]:
    place = step_place(loaded, proposal.step)
    match proposal:
        case MoveStep():
            return place, step_place(loaded, proposal.other), proposal.after
        case SetFigure():
            return place, _measured(loaded, proposal), proposal.key
        case _:
            return proposal.step, proposal.why


def unified(loaded: Loaded, text: str) -> str:
    """The change as a patch that the usual programs take."""
    name = loaded.path.name
    before, after = loaded.written.splitlines(keepends=True), text.splitlines(keepends=True)
    return "".join(difflib.unified_diff(before, after, f"a/{name}", f"b/{name}"))


def _changed(loaded: Loaded, proposal: Proposal, proposals: Sequence[Proposal]) -> str:
    lines = loaded.written.splitlines(keepends=True)
    if isinstance(proposal, MoveStep):
        return moved(loaded, proposal, [each for each in proposals if isinstance(each, MoveStep)])
    if isinstance(proposal, SetFigure):
        _at_every_place(loaded, proposal, proposals)
        _set(loaded, lines, proposal)
        remark = f'{proposal.key} of "{proposal.characteristic}": {proposal.why}'
        return _remarked(loaded, lines, Remark(proposal.step, remark))
    return _remarked(loaded, lines, proposal)


def _at_every_place(loaded: Loaded, change: SetFigure, proposals: Sequence[Proposal]) -> None:
    """CannotPlace where the entry holds for further places, for which the same is not proposed."""
    entry, place = _measured(loaded, change), step_place(loaded, change.step)
    wanted = [each for each in proposals if isinstance(each, SetFigure) and each.key == change.key]
    for at, step in enumerate(loaded.procedure.steps):
        if loaded.expanded.place(("steps", at)) != place:
            continue
        asked = [each.value for each in wanted if each.step == step.id and _measured(loaded, each) == entry]
        for number, each in enumerate(step.characteristics):
            same = replace(change, step=step.id, characteristic=each.name, entry=number)
            if _measured(loaded, same) == entry and change.value not in asked:
                raise CannotPlace("it is written once for all its places, and they do not agree")


def _remarked(loaded: Loaded, lines: list[str], remark: Remark) -> str:
    at = loaded.tree.values[step_place(loaded, remark.step)][0] - 1
    if not lines[at].lstrip().startswith("- "):
        raise CannotPlace("it does not begin a line of its own")
    place = loaded.procedure.by_id(remark.step).place
    told = f"{place}: {remark.why}" if place else remark.why
    lines.insert(at, f"{' ' * indent(lines[at])}# From experience: {told}.\n")
    return "".join(lines)


def _set(loaded: Loaded, lines: list[str], change: SetFigure) -> None:
    """Write the value over the old one, or as a new key behind the one it belongs to."""
    tree = loaded.tree
    first, end = block(tree, lines, step_place(loaded, change.step))
    group = _measured(loaded, change)
    key = (*group, change.key)
    if key in tree.values:
        line, column = _at(tree.values[key], first, end)
        rest = lines[line][column:]
        lines[line] = lines[line][:column] + change.value + rest[_length(rest) :]
        return
    behind = next((name for name in _BEFORE_NEW_KEY if (*group, name) in tree.values), None)
    if behind is None:
        raise CannotPlace("the figure has nothing there to stand behind")
    known = (*group, behind)
    line, column = _at(tree.values[known], first, end)
    key_line, key_column = _at(tree.keys[known], first, end)
    rest = lines[line][column:]
    in_braces = lines[key_line][:key_column].rstrip().endswith(("{", ","))
    if in_braces:
        stop = column + _length(rest)
        lines[line] = f"{lines[line][:stop]}, {change.key}: {change.value}{lines[line][stop:]}"
    elif rest.startswith(("|", ">")) or (rest.startswith("[") and "]" not in rest):
        raise CannotPlace("the value before it goes over several lines")
    else:
        lines[line] = lines[line] if lines[line].endswith("\n") else lines[line] + "\n"
        lines.insert(line + 1, f"{' ' * key_column}{change.key}: {change.value}\n")


def _measured(loaded: Loaded, change: SetFigure) -> Location:
    """The place of a characteristic in the file."""
    at = loaded.procedure.step_number(change.step) - 1
    place = loaded.expanded.place(("steps", at))
    measure = step_data(loaded, place).get("measure")
    if isinstance(measure, dict) and measure.get("name") == change.characteristic:
        return (*place, "measure")
    origin = loaded.expanded.place(("steps", at, "measure", change.entry))
    number = origin[-1]
    if isinstance(measure, list) and isinstance(number, int) and number < len(measure):
        found = measure[number]
        if isinstance(found, dict) and found.get("name") == change.characteristic:
            return (*place, "measure", number)
    raise CannotPlace("the figure is not written in the step itself")


def _at(mark: tuple[int, int], first: int, end: int) -> tuple[int, int]:
    """Line and column from nought; not outside the step, where an alias has led."""
    line, column = mark[0] - 1, mark[1] - 1
    if not first <= line < end:
        raise CannotPlace("the value stands elsewhere in the file and is shared")
    return line, column


def _length(rest: str) -> int:
    """How many characters the value at the start of ``rest`` has."""
    if rest.startswith("["):
        if "]" not in rest:
            raise CannotPlace("the value goes over several lines")
        return rest.index("]") + 1
    if rest.startswith(("'", '"')):
        return rest.index(rest[0], 1) + 1
    found = _PLAIN_END.search(rest)
    return found.start() if found else len(rest)
