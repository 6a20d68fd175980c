"""What may stand in a procedure file beyond the steps themselves: groups, repeats, other procedures.

These models say which keys there are; ``expansion`` writes them out. The JSON Schema is made from them.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, PlainValidator, WithJsonSchema

from handsfree.procedure import values
from handsfree.procedure.model import ProcedureHead, Step
from handsfree.procedure.parts import ConditionField, OneOrList, ProcedurePart, SpokenName, Text, only_if


def _stop(value: object) -> object:
    return value if isinstance(value, bool) else values.text(value)


_PLACES = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}]}
ForEach = Annotated[Any, PlainValidator(lambda value: value), WithJsonSchema(_PLACES)]
Stop = Annotated[
    str | bool, PlainValidator(_stop), WithJsonSchema({"anyOf": [{"type": "boolean"}, {"type": "string"}]})
]


def for_each() -> Any:
    """A list of places, or the short name of one: the whole is done at each of them."""
    return Field(default=None, validation_alias="for each")


class StepInFile(Step):
    """A step as it stands in the file."""

    for_each: ForEach = for_each()


class Included(ProcedurePart):
    """Another procedure, whose steps stand here."""

    include: Text
    """Its file, seen from this one."""
    prefix: SpokenName | None = Field(default=None, validation_alias="as")
    """Put before the identifiers of its steps, so that it can be included twice."""
    only_if: ConditionField = only_if()


class Group(ProcedurePart):
    """Steps that belong together."""

    group: Text
    for_each: ForEach = for_each()
    only_if: ConditionField = only_if()
    tray: Text | None = None
    """Where the parts of its steps lie, if a step says nothing else."""
    stop: Stop | None = None
    """The group is a stage: after it the guide stops, and says this."""
    steps: tuple[StepInFile | Group | Included, ...] = ()


class ProcedureFile(ProcedureHead):
    """A procedure file."""

    steps: Annotated[tuple[StepInFile | Group | Included, ...], Field(min_length=1)]


__all__ = ["Group", "Included", "OneOrList", "ProcedureFile", "StepInFile"]
