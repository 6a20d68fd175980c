"""What must hold between the steps of a procedure: identifiers, references, names that mean one thing only.

It works on outlines, so that a file with other mistakes in it can be checked just the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from handsfree.procedure import values

if TYPE_CHECKING:
    from handsfree.procedure.model import Step

Location = tuple[str | int, ...]
"""Keys and list positions (from nought) from the top of the file."""
Placed = tuple[Location, str]
T = TypeVar("T")


@dataclass(frozen=True)
class Measured:
    """The names of one characteristic in one step; None for what can't be read."""

    place: Location
    name: str | None
    also: Sequence[Placed] = ()
    unit: str | None = None


@dataclass(frozen=True)
class Outline:
    """What other steps may have to do with a step; ``at`` is its position from nought."""

    at: int
    id: str | None
    untils: Sequence[Placed] = ()
    rests_on: Sequence[Placed] = ()
    measured: Sequence[Measured] = field(default=())


def outline(at: int, step: Step) -> Outline:
    """The outline of a step."""
    here: Location = ("steps", at)
    untils = [((*here, "dangers", n, "until"), each.until) for n, each in enumerate(step.dangers)]
    return Outline(
        at,
        step.id,
        [(place, until) for place, until in untils if until is not None],
        [((*here, "rests on", n), other) for n, other in enumerate(step.rests_on)],
        [
            Measured(
                place := (*here, "measure", n),
                each.name,
                [((*place, "also", number), said) for number, said in enumerate(each.also)],
                each.unit,
            )
            for n, each in enumerate(step.characteristics)
        ],
    )


def outline_of_data(at: int, data: Any) -> Outline:
    """The outline of a step as it stands in the file, whatever else is wrong with it."""
    here: Location = ("steps", at)
    if not isinstance(data, dict):
        return Outline(at, None)
    return Outline(
        at,
        _or_none(values.text, data.get("id")),
        [
            ((*here, "dangers", n, "until"), until)
            for n, danger in _parts(data, "dangers")
            if isinstance(danger, dict) and (until := _or_none(values.text, danger.get("until")))
        ],
        list(_readable(here, data, "rests on", values.text)),
        [
            Measured(
                place := (*here, "measure", n),
                _or_none(values.spoken_name, each.get("name")),
                list(_readable(place, each, "also", values.spoken_name)),
                _or_none(values.unit_key, each.get("unit")),
            )
            for n, each in _parts(data, "measure")
            if isinstance(each, dict)
        ],
    )


def _parts(data: Mapping[str, Any], key: str) -> Iterable[tuple[int, Any]]:
    found = data.get(key, [])
    return enumerate(found if isinstance(found, list) else [found])


def _or_none(read: Callable[[object], T], value: object) -> T | None:
    try:
        return read(value)
    except ValueError:
        return None


def _readable(place: Location, data: Mapping[str, Any], key: str, read: Callable[[object], str]) -> Iterator[Placed]:
    for number, raw in _parts(data, key):
        said = _or_none(read, raw)
        if said is not None:
            yield (*place, key, number), said


def inconsistencies(
    steps: Sequence[Outline], vocabulary: Mapping[str, Sequence[str]] | None = None
) -> Iterator[Placed]:
    """Every contradiction between the steps, with its place."""
    positions: dict[str, int] = {}
    for step in steps:
        if step.id in positions:
            yield (
                ("steps", step.at, "id"),
                f'"{step.id}" is already the identifier of step {positions[step.id] + 1}; choose another',
            )
        elif step.id is not None:
            positions[step.id] = step.at
    for step in steps:
        for place, other in step.untils:
            if other not in positions:
                yield place, f'"until": {_no_such_step(other, positions)}'
            elif positions[other] < step.at:
                yield place, f'"until": "{other}" comes before this step; name this step or a later one'
        for place, other in step.rests_on:
            if other not in positions:
                yield place, f'"rests on": {_no_such_step(other, positions)}'
            elif positions[other] >= step.at:
                which = "this step itself" if other == step.id else "a later step"
                yield place, f'"rests on": "{other}" is {which}; a step can only rest on earlier ones'
    yield from _names(steps, vocabulary or {})


def _no_such_step(name: str, positions: Mapping[str, int]) -> str:
    near = values.nearest(name, positions)
    hint = f'did you mean "{near}"?' if near else f"steps are {', '.join(positions)}"
    return f'there is no step "{name}"; {hint}'


def _names(steps: Sequence[Outline], vocabulary: Mapping[str, Sequence[str]]) -> Iterator[Placed]:
    meanings: dict[str, tuple[str, str]] = {}
    units: dict[str, tuple[str, int]] = {}
    measured = [(step.at, each, each.name) for step in steps for each in step.measured if each.name is not None]
    # Proper names first: an alias has to give way to a name, wherever the two stand.
    for at, each, name in measured:
        meanings.setdefault(name, (name, f"step {at + 1}"))
        if each.unit is None:
            continue
        unit, first = units.setdefault(name, (each.unit, at))
        if unit != each.unit:
            yield (
                (*each.place, "unit"),
                f'"{name}" is measured in {each.unit} here and in {unit} in step {first + 1}; use one unit',
            )
    for at, each, name in measured:
        for place, said in each.also:
            meant, where = meanings.setdefault(said, (name, f"step {at + 1}"))
            if meant != name:
                yield place, _two_meanings(said, meant, where)
    all_readable = len(measured) == sum(len(step.measured) for step in steps)
    for name, others in vocabulary.items():
        if meanings.get(name, ("", ""))[0] != name:
            if all_readable:
                yield (
                    ("vocabulary", name),
                    f'"vocabulary" names "{name}", which no step measures; correct the name or take it out',
                )
            continue
        for number, said in enumerate(others):
            meant, where = meanings.setdefault(said, (name, "the vocabulary"))
            if meant != name:
                yield ("vocabulary", name, number), _two_meanings(said, meant, where)


def _two_meanings(said: str, meant: str, where: str) -> str:
    return f'"{said}" already stands for "{meant}" ({where}); a spoken name may mean one thing only'
