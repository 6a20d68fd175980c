"""A step moved in the text of a procedure file: within its list, past a group, into a group or out of one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from handsfree.making.experience import MoveStep
from handsfree.making.step_text import CannotPlace, block, indent, step_place, without_closing_blanks
from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.location import Location

_SHARED = ("for each", "only if", "tray")
"""What a group gives to the steps in it: in or out of such a group, a step would become another."""


def moved(loaded: Loaded, move: MoveStep, wanted: Sequence[MoveStep]) -> str:
    """The text with the step moved; ``wanted`` are all moves that are proposed. CannotPlace with the reason."""
    place, other = step_place(loaded, move.step), step_place(loaded, move.other)
    if place == other:
        raise CannotPlace("both are one step in the file, done at several places")
    copies, others = _copies(loaded, place), _copies(loaded, other)
    if len(copies) > 1:
        told = {each.step for each in wanted if each.after is move.after and step_place(loaded, each.other) == other}
        if not set(copies) <= told:
            raise CannotPlace("it is written once for all its places, and was done so at some of them only")
    elif move.other != (others[-1] if move.after else others[0]):
        raise CannotPlace("the other step is written once for all its places, and this belongs between two of them")
    target = _past_groups(loaded, place, other, move.after)
    for group in _groups_between(place, target):
        data = _data(loaded, group)
        shared = next((key for key in _SHARED if key in data), None)
        if shared is not None:
            raise CannotPlace(f'the group "{data.get("group")}" has "{shared}", which holds for the steps in it alone')
        if group == place[:-2] and len(data["steps"]) == 1:
            raise CannotPlace(f'the group "{data.get("group")}" would be empty')
    return _written(loaded, place, target, move)


def in_order(before: Loaded, after: Loaded, move: MoveStep) -> bool:
    """Whether the move did what was wanted, and let all others stand in their order."""
    copies = set(_copies(before, step_place(before, move.step)))
    old, new = ([step.id for step in each.procedure.steps] for each in (before, after))
    kept = [each for each in old if each not in copies] == [each for each in new if each not in copies]
    return kept and (new.index(move.step) > new.index(move.other)) is move.after


def _copies(loaded: Loaded, place: Location) -> list[str]:
    """The steps that are written at this place, in their order."""
    steps = loaded.procedure.steps
    return [step.id for at, step in enumerate(steps) if loaded.expanded.place(("steps", at)) == place]


def _data(loaded: Loaded, place: Location) -> Any:
    found = loaded.tree.data
    for part in place:
        found = found[part]
    return found


def _past_groups(loaded: Loaded, place: Location, other: Location, after: bool) -> Location:
    """Where to stand: before or after a whole group rather than at its end inside."""
    target = other
    while target[:-1] != place[: len(target) - 1] and len(target) > 2:
        siblings = _data(loaded, target[:-1])
        if target[-1] != (len(siblings) - 1 if after else 0):
            break
        target = target[:-2]
    return target


def _groups_between(place: Location, target: Location) -> Iterator[Location]:
    """The groups that the step leaves and those that it enters."""
    for one, other in ((place, target), (target, place)):
        for length in range(2, len(one) - 1, 2):
            if one[:length] != other[:length] or len(other) == length:
                yield one[:length]


def _written(loaded: Loaded, place: Location, target: Location, move: MoveStep) -> str:
    lines = loaded.written.splitlines(keepends=True)
    first, end = block(loaded.tree, lines, place)
    begin, stop = block(loaded.tree, lines, target)
    if not (stop <= first or end <= begin):
        raise CannotPlace("one of the two is written inside the other")
    to = indent(lines[loaded.tree.values[target][0] - 1])
    shift = _shift(to - indent(lines[loaded.tree.values[place][0] - 1]))
    text = [f"{' ' * to}# From experience: {move.why}.\n", *(shift(line) for line in lines[first:end])]
    text[-1] = text[-1] if text[-1].endswith("\n") else text[-1] + "\n"
    at = stop if move.after else begin
    if at == len(lines):  # behind the last step: the blank line goes between the two
        text = [*([] if not lines[-1].strip() else ["\n"]), *without_closing_blanks(text)]
        lines[-1] = lines[-1] if lines[-1].endswith("\n") else lines[-1] + "\n"
    elif end == len(lines) and text[-1].strip():
        text.append("\n")
    if at >= end:
        result = [*lines[:first], *lines[end:at], *text, *lines[at:]]
    else:
        result = [*lines[:at], *text, *lines[at:first], *lines[end:]]
    return "".join(without_closing_blanks(result))


def _shift(by: int) -> Callable[[str], str]:
    def shifted(line: str) -> str:
        if not line.strip():
            return line
        return " " * by + line if by >= 0 else line[min(-by, indent(line)) :]

    return shifted
