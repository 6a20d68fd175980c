"""What must hold between the steps of a procedure: identifiers, references, names that mean one thing only.

Marks, conditions and the order of the steps too. It works on outlines, so that a file with other mistakes in it can be
checked just the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from handsfree.procedure import order, values, variants
from handsfree.procedure.check.outline import Measured, Outline
from handsfree.procedure.location import Location, Placed


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
        if step.id is not None and positions.setdefault(step.id, step.at) != step.at:
            yield (
                ("steps", step.at, "id"),
                f'"{step.id}" is already the identifier of step {positions[step.id] + 1}; choose another',
            )
    yield from _references(steps, positions)
    for fault in order.faults(steps):
        yield ("steps", fault.at, fault.key, fault.entry), fault.message
    yield from _marks(steps)
    if questions is not None:
        yield from _conditions(steps, questions)
        yield from _measured_twice(steps)
    yield from _names(steps, vocabulary or {})


def _references(steps: Sequence[Outline], positions: Mapping[str, int]) -> Iterator[Placed]:
    """Steps that are named and not there, or in the wrong place."""
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


def _measured_twice(steps: Sequence[Outline]) -> Iterator[Placed]:
    for step in steps:
        for number, measured in enumerate(step.measured):
            for other in step.measured[:number]:
                same = measured.name and measured.name == other.name
                if same and not variants.exclude_each_other(measured.only_if, other.only_if):
                    yield (
                        (*measured.place, "name"),
                        f'"{measured.name}" is measured twice in this step; give it another name, or an "only if" that '
                        "keeps the two apart",
                    )


def _no_such_step(name: str, positions: Mapping[str, int]) -> str:
    near = values.nearest_word(name, positions)
    hint = f'did you mean "{near}"?' if near else f"steps are {', '.join(positions)}"
    return f'there is no step "{name}"; {hint}'


def _names(steps: Sequence[Outline], vocabulary: Mapping[str, Sequence[str]]) -> Iterator[Placed]:
    named = [
        (step.at, measured, measured.name) for step in steps for measured in step.measured if measured.name is not None
    ]
    yield from _units(named)
    meanings: dict[str, tuple[str, str]] = {}
    """What each spoken name stands for, and where that was said first."""
    # Proper names first: an alias has to give way to a name, wherever the two stand.
    for at, _, name in named:
        meanings.setdefault(name, (name, f"step {at + 1}"))
    for at, measured, name in named:
        for place, said in measured.also:
            meant, where = meanings.setdefault(said, (name, f"step {at + 1}"))
            if meant != name:
                yield place, _two_meanings(said, meant, where)
    # A name that can't be read may be the one that the vocabulary has in mind.
    all_readable = len(named) == sum(len(step.measured) for step in steps)
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


def _units(named: Sequence[tuple[int, Measured, str]]) -> Iterator[Placed]:
    units: dict[str, tuple[str, int]] = {}
    for at, measured, name in named:
        if measured.unit is None:
            continue
        unit, first = units.setdefault(name, (measured.unit, at))
        if unit != measured.unit:
            yield (
                (*measured.place, "unit"),
                f'"{name}" is measured in {measured.unit} here and in {unit} in step {first + 1}; use one unit',
            )


def _two_meanings(said: str, meant: str, where: str) -> str:
    return f'"{said}" already stands for "{meant}" ({where}); a spoken name may mean one thing only'
