"""What must hold between the steps of a procedure: identifiers, references, names that mean one thing only.

Marks, conditions and the order of the steps too. It works on outlines, so that a file with other mistakes in it can be
checked just the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

from handsfree.procedure import order, values, variants

if TYPE_CHECKING:
    from handsfree.procedure.model import Step

Location = tuple[str | int, ...]
"""Keys and list positions (from nought) from the top of the file."""
Placed = tuple[Location, str]
_T = TypeVar("_T")


@dataclass(frozen=True)
class Measured:
    """The names of one characteristic in one step; None for what can't be read."""

    place: Location
    name: str | None
    also: Sequence[Placed] = ()
    unit: str | None = None
    only_if: variants.Condition = field(default_factory=dict)


@dataclass(frozen=True)
class Outline:
    """What other steps may have to do with a step; ``at`` is its position from nought."""

    at: int
    id: str | None
    untils: Sequence[Placed] = ()
    rests_on: Sequence[Placed] = ()
    measured: Sequence[Measured] = field(default=())
    needs: Sequence[str] = ()
    works_on: Sequence[str] = ()
    traps: Sequence[str] = ()
    frees: Sequence[str] = ()
    gets_at: Sequence[str] = ()
    blocks: Sequence[str] = ()
    opens: Sequence[str] = ()
    marks: Sequence[str] = ()
    meets: Sequence[str] = ()
    only_if: variants.Condition = field(default_factory=dict)
    conditions: Sequence[tuple[Location, variants.Condition]] = ()
    """All conditions in the step, its own and those of its parts."""


_LISTS = {
    "needs": "needs", "works_on": "works on", "traps": "traps", "frees": "frees", "gets_at": "gets at",
    "blocks": "blocks", "opens": "opens", "meets": "meets",
}  # fmt: skip
_THINGS = ("works_on", "traps", "frees", "gets_at", "blocks", "opens")
_CONDITIONAL = {"fasteners": "fasteners", "lubricants": "lubricant", "dangers": "dangers", "characteristics": "measure"}


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
                each.only_if,
            )
            for n, each in enumerate(step.characteristics)
        ],
        marks=[mark.name for mark in step.marks],
        only_if=step.only_if,
        conditions=[
            ((*here, "only if"), step.only_if),
            *(
                ((*here, key, n, "only if"), part.only_if)
                for name, key in _CONDITIONAL.items()
                for n, part in enumerate(getattr(step, name))
            ),
        ],
        **{name: getattr(step, name) for name in _LISTS},
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
                _or_none(variants.condition, each.get("only if")) or {},
            )
            for n, each in _parts(data, "measure")
            if isinstance(each, dict)
        ],
        marks=[
            name
            for _, mark in _parts(data, "marks")
            if isinstance(mark, dict) and (name := _or_none(values.text, mark.get("name")))
        ],
        only_if=_or_none(variants.condition, data.get("only if")) or {},
        conditions=[
            ((*here, "only if"), _or_none(variants.condition, data.get("only if")) or {}),
            *(
                ((*here, key, n, "only if"), _or_none(variants.condition, part.get("only if")) or {})
                for key in _CONDITIONAL.values()
                for n, part in _parts(data, key)
                if isinstance(part, dict)
            ),
        ],
        **{
            name: [
                said or ""
                for _, raw in _parts(data, key)
                for said in [_or_none(values.thing if name in _THINGS else values.text, raw)]
            ]
            for name, key in _LISTS.items()
        },
    )


def _parts(data: Mapping[str, Any], key: str) -> Iterable[tuple[int, Any]]:
    found = data.get(key, [])
    return enumerate(found if isinstance(found, list) else [found])


def _or_none(read: Callable[[object], _T], value: object) -> _T | None:
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
    steps: Sequence[Outline],
    vocabulary: Mapping[str, Sequence[str]] | None = None,
    questions: Mapping[str, Sequence[str]] | None = None,
) -> Iterator[Placed]:
    """Every contradiction between the steps, with its place.

    ``questions`` are those of the procedure with their answers; None: they can't be read, so nothing is said of them.
    """
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
        for number, other in enumerate(step.needs):
            if other and other not in positions:
                yield ("steps", step.at, "needs", number), f'"needs": {_no_such_step(other, positions)}'
    for fault in order.faults(steps):
        yield ("steps", fault.at, fault.key, fault.entry), fault.message
    yield from _marks(steps)
    if questions is not None:
        yield from _conditions(steps, questions)
    yield from _names(steps, vocabulary or {})


def _marks(steps: Sequence[Outline]) -> Iterator[Placed]:
    made = {name: step.at for step in reversed(steps) for name in step.marks}
    for step in steps:
        for number, name in enumerate(step.meets):
            place: Location = ("steps", step.at, "meets", number)
            if name and name not in made:
                near = values.nearest_word(name, made)
                hint = f'did you mean "{near}"?' if near else 'put it under "marks" of the step that makes it'
                yield place, f'"meets": no step makes the mark "{name}"; {hint}'
            elif name and made[name] >= step.at:
                yield place, f'"meets": the mark "{name}" is made in step {made[name] + 1} only; make it before'


def _conditions(steps: Sequence[Outline], questions: Mapping[str, Sequence[str]]) -> Iterator[Placed]:
    for step in steps:
        for place, condition in step.conditions:
            for name, fitting in condition.items():
                if name not in questions:
                    near = values.nearest_word(name, questions)
                    hint = f'did you mean "{near}"?' if near else 'put it under "questions"'
                    yield (*place, name), f'"only if": there is no question "{name}"; {hint}'
                    continue
                for said in fitting:
                    if said not in questions[name]:
                        answers = " or ".join(f'"{each}"' for each in questions[name])
                        yield (*place, name), f'"only if": "{name}" is answered {answers}, never "{said}"; correct it'
        for number, each in enumerate(step.measured):
            for other in step.measured[:number]:
                if each.name and each.name == other.name and not _apart(each.only_if, other.only_if):
                    yield (
                        (*each.place, "name"),
                        f'"{each.name}" is measured twice in this step; give it another name, or an "only if" that '
                        "keeps the two apart",
                    )


def _apart(one: variants.Condition, other: variants.Condition) -> bool:
    return variants.exclude_each_other(one, other)


def _no_such_step(name: str, positions: Mapping[str, int]) -> str:
    near = values.nearest_word(name, positions)
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
