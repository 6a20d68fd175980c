"""What is used and what is not: tables, questions, marks, places, parts; and what can never come about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from handsfree.procedure.location import Location
from handsfree.procedure.model import Procedure, Step
from handsfree.procedure.order import OBSTRUCTIONS
from handsfree.procedure.values import nearest_word
from handsfree.procedure.variants import exclude_each_other
from handsfree.text.phonetics import alike

Advice = Iterator[tuple[Location, str]]


def _unused(table: str, names: Iterable[str], used: set[str], what: str) -> Advice:
    for name in names:
        if name not in used:
            yield (
                (table, name),
                f'"{name}" is in "{table}" and {what}; take it out, or correct the name where it is meant',
            )


def tables(procedure: Procedure) -> Advice:
    """What stands in a table and is never used; what is used and stands in none, though there is one."""
    fasteners = {each.use for step in procedure.steps for each in step.fasteners if each.use}
    lubricants = {each.use for step in procedure.steps for each in step.lubricants if each.use}
    tools = {each.use for step in procedure.steps for each in step.tools if each.use}
    tools |= {each.tool.use for each in procedure.characteristics if each.tool and each.tool.use}
    never = "no step uses it"
    yield from _unused("fasteners", procedure.fastener_table, fasteners, never)
    yield from _unused("lubricants", procedure.lubricant_table, lubricants, never)
    yield from _unused("tools", procedure.tool_table, tools, never)
    for at, step in enumerate(procedure.steps):
        here: Location = ("steps", at)
        for number, fastener in enumerate(step.fasteners):
            if procedure.fastener_table and not fastener.use:
                yield _absent((*here, "fasteners", number), fastener.size, "fasteners")
        for number, lubricant in enumerate(step.lubricants):
            if procedure.lubricant_table and not lubricant.use:
                yield _absent((*here, "lubricant", number), lubricant.which, "lubricants")
        for number, tool in enumerate(step.tools):
            if procedure.tool_table and not tool.use:
                yield _absent((*here, "tools", number), tool.name, "tools")
        for number, each in enumerate(step.characteristics):
            if procedure.tool_table and each.tool and not each.tool.use:
                yield _absent((*here, "measure", number, "tool"), each.tool.name, "tools")


def _absent(place: Location, name: str, table: str) -> tuple[Location, str]:
    return place, f'"{name}" is not in the table "{table}"; put it there, and its short name here'


def questions_used(procedure: Procedure) -> Advice:
    """A question on which nothing depends."""
    used = {name for step in procedure.steps for each in (step.only_if, *step.conditions) for name in each}
    yield from _unused("questions", procedure.questions, used, 'nothing depends on it ("only if")')


def places_used(procedure: Procedure) -> Advice:
    """A list of places at which nothing is done."""
    done = {step.place for step in procedure.steps}
    used = {name for name, places in procedure.places.items() if set(places) & done}
    yield from _unused("places", procedure.places, used, 'no step is repeated at it ("for each")')


def unreachable(procedure: Procedure) -> Advice:
    """What no answers can bring about."""
    steps = {step.id: step for step in procedure.steps}
    for at, step in enumerate(procedure.steps):
        for key, attribute in (("fasteners", "fasteners"), ("lubricant", "lubricants"), ("dangers", "dangers"),
                               ("measure", "characteristics")):  # fmt: skip
            for number, part in enumerate(getattr(step, attribute)):
                if exclude_each_other(part.only_if, step.only_if):
                    yield (
                        ("steps", at, key, number, "only if"),
                        "the step is left out with every answer that this wants, so it never comes about; change one",
                    )
        for key, others in (("needs", step.needs), ("rests on", step.rests_on)):
            for number, other in enumerate(others):
                if exclude_each_other(step.only_if, steps[other].only_if) and not _another(step, steps, others):
                    yield (
                        ("steps", at, key, number),
                        f'"{key}": no answers bring both this step and "{other}" about; name a step that is there too',
                    )


def _another(step: Step, steps: Mapping[str, Step], others: Iterable[str]) -> bool:
    return any(not exclude_each_other(step.only_if, steps[other].only_if) for other in others)


def unmatched(procedure: Procedure) -> Advice:
    """Parts that are shut in and worked on by nobody, and marks that never meet: most often a slip of the pen."""
    for way, names in zip(OBSTRUCTIONS, ("traps", "blocks"), strict=True):
        used = {thing for step in procedure.steps for thing in way.used(step)}
        for at, step in enumerate(procedure.steps):
            for number, thing in enumerate(way.closed_by(step)):
                if thing not in used:
                    near = nearest_word(thing, used)
                    hint = (
                        f'did you mean "{near}"?' if near else f'add "{way.uses}: {thing}" to the steps it matters to'
                    )
                    yield ("steps", at, names, number), f'"{names}": no step {way.uses} the {thing}; {hint}'
    met = {name for step in procedure.steps for name in step.meets}
    for at, step in enumerate(procedure.steps):
        for number, mark in enumerate(step.marks):
            if mark.name not in met:
                yield (
                    ("steps", at, "marks", number, "name"),
                    f'the mark "{mark.name}" never meets; name it under "meets" of the step where the parts come '
                    "together",
                )


def sounding_alike(procedure: Procedure) -> Advice:
    """Two characteristics, or two names of them, that are easily taken for each other."""
    said: dict[str, tuple[str, Location]] = {}
    for at, step in enumerate(procedure.steps):
        for number, each in enumerate(step.characteristics):
            for name in (each.name, *each.also, *procedure.vocabulary.get(each.name, ())):
                said.setdefault(name, (each.name, ("steps", at, "measure", number)))
    for (one, (first, _)), (other, (second, place)) in combinations(said.items(), 2):
        if first != second and alike(one, other):
            yield place, f'"{other}" sounds like "{one}"; give one of them another name'
