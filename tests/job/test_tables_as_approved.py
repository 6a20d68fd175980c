"""What an event of the log may hold, and what can be noted about a job: the tables as they were read and found right.
Whoever changes them changes the log, and what older logs mean."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields
from typing import get_args

import pytest
from pydantic import BaseModel, TypeAdapter, ValidationError

from handsfree.job.events import Event, from_json, to_json
from handsfree.job.facts import FACTS
from tests.support.approved import assert_approved
from tests.support.everything import EVERYTHING


def _of_events() -> Iterator[str]:
    kinds: tuple[type[BaseModel], ...] = get_args(get_args(Event)[0])
    slots = {kind.__name__: list(_slots(kind)) for kind in kinds}
    shared = [slot for slot in slots["StoodBy"] if all(slot in held for held in slots.values())]
    yield from ("every event:", *shared)
    for name, held in slots.items():
        yield from (f"{name}:", *(slot for slot in held if slot not in shared))


def _slots(kind: type[BaseModel]) -> Iterator[str]:
    schema = TypeAdapter(kind).json_schema()
    yield f"    more: {'refused' if schema.get('additionalProperties') is False else 'taken'}"
    for name, what in schema["properties"].items():
        told = {key: value for key, value in what.items() if key not in ("title", "description")}
        yield f"    {name}: {json.dumps(told, sort_keys=True)}{' (must be there)' * (name in schema['required'])}"


def _of_facts() -> Iterator[str]:
    for fact in FACTS.values():
        told = {each.name: getattr(fact, each.name) for each in fields(fact)}
        worked_out = ("many", "phrases", "free", "option", "attribute")
        told |= {name: getattr(fact, name) for name in worked_out}
        yield f"{fact.name}:"
        yield from (f"    {name}: {value}" for name, value in told.items() if value not in ("", False, ()))


def test_what_an_event_may_hold() -> None:
    assert_approved("events.txt", "\n".join(_of_events()) + "\n")


def test_what_can_be_noted_about_a_job() -> None:
    assert_approved("facts.txt", "\n".join(_of_facts()) + "\n")


@pytest.mark.parametrize("event", {event.kind: event for event in EVERYTHING}.values(), ids=lambda event: event.kind)
def test_an_event_is_read_as_it_was_written_and_never_changed(event: Event) -> None:
    text = to_json(event)
    assert "null" not in text
    assert from_json(text) == event
    with pytest.raises(ValidationError, match="Instance is frozen"):
        event.at = event.at
    with pytest.raises(ValidationError, match="Extra inputs are not permitted"):
        from_json(text.removesuffix("}") + ',"more":1}')
