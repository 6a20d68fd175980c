"""What can still be read of a procedure with mistakes, so that one run tells everything.

It is for looking over alone: such a procedure can't be worked.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from handsfree.procedure.file.expansion import Expanded
from handsfree.procedure.model import Procedure, ProcedureHead, Step

_ROUNDS = 4
"""Taking a part out can bring up another mistake in its step."""


def readable_part(expanded: Expanded) -> Procedure | None:
    """What is left when all that can't be read is taken out; None where there are no steps at all. Where entries of
    a list are taken out, ``expanded`` learns the way back to the file for those behind them."""
    data = expanded.data
    if not isinstance(data, Mapping) or not isinstance(data.get("steps"), list) or not data["steps"]:
        return None
    steps = []
    for at, raw in enumerate(data["steps"]):
        step = _step(raw, at, expanded)
        steps.append(step or Step.model_validate({"id": f"unreadable {at + 1}", "do": "Unreadable."}))
    known = _head({key: value for key, value in data.items() if key != "steps"})
    fields = {name: getattr(known, name) for name in ProcedureHead.model_fields}
    return Procedure.model_construct(**fields, steps=_coherent(steps))


def _coherent(steps: list[Step]) -> tuple[Step, ...]:
    """The steps with nothing in them that names a step there is not."""
    names = {step.id for step in steps}
    return tuple(
        step.model_copy(
            update={
                "needs": tuple(each for each in step.needs if each in names),
                "rests_on": tuple(each for each in step.rests_on if each in names),
                "dangers": tuple(
                    each if each.until is None or each.until in names else each.model_copy(update={"until": None})
                    for each in step.dangers
                ),
            }
        )
        for step in steps
    )


def _head(raw: Mapping[str, Any]) -> ProcedureHead:
    head = dict(raw)
    for key in ("title", "item", "revision"):
        head[key] = "unread"  # no check asks for them
    for _ in range(_ROUNDS):
        try:
            return ProcedureHead.model_validate(head, by_alias=True, by_name=False)
        except ValidationError as error:
            wrong = {str(each["loc"][0]) for each in error.errors(include_url=False) if each["loc"]}
        head = {key: value for key, value in head.items() if key not in wrong}
    return ProcedureHead(title="unread", item="unread", revision="unread")


def _step(raw: Any, at: int, expanded: Expanded) -> Step | None:
    if not isinstance(raw, Mapping):
        return None
    kept = {"id": f"nameless {at + 1}", **raw}
    numbers = {key: list(range(len(value))) for key, value in kept.items() if isinstance(value, list)}
    for _ in range(_ROUNDS):
        for key, kept_numbers in numbers.items():
            kept[key] = [raw[key][number] for number in kept_numbers]
        try:
            step = Step.model_validate(kept, by_alias=True, by_name=False)
        except ValidationError as error:
            wrong = {tuple(flaw["loc"][:2]) for flaw in error.errors(include_url=False)}
        else:
            _remember(at, numbers, expanded)
            return step
        before = dict(numbers)
        for key, *number in sorted(wrong, key=str, reverse=True):
            if key in ("id", "do"):
                return None
            if key in numbers and number and isinstance(number[0], int):
                numbers[key] = [flaw for flaw in numbers[key] if flaw != before[key][number[0]]]
            else:
                kept.pop(key, None)
                numbers.pop(key, None)
    return None


def _remember(at: int, numbers: Mapping[str, list[int]], expanded: Expanded) -> None:
    for key, there in numbers.items():
        moved = [(now, expanded.place(("steps", at, key, number))) for now, number in enumerate(there) if now != number]
        for now, origin in moved:
            expanded.move(("steps", at, key, now), origin)
