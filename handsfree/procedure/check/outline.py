"""The outline of a step: what other steps may have to do with it, from the step itself or from what its file says."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from handsfree.procedure import values, variants
from handsfree.procedure.location import Location, Placed

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


OUTLINE_LISTS = {
    "needs": "needs", "works_on": "works on", "traps": "traps", "frees": "frees", "gets_at": "gets at",
    "blocks": "blocks", "opens": "opens", "meets": "meets",
}  # fmt: skip
"""What an outline takes from a step as it is, with its key in the file."""
_THINGS = ("works_on", "traps", "frees", "gets_at", "blocks", "opens")
CONDITIONAL_PARTS = {
    "fasteners": "fasteners", "lubricants": "lubricant", "dangers": "dangers", "characteristics": "measure",
}  # fmt: skip
"""The parts of a step that may depend on answers, with their keys in the file."""


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
                _or_none(values.spoken_name, measured.get("name")),
                list(_readable(place, measured, "also", values.spoken_name)),
                _or_none(values.unit_key, measured.get("unit")),
                _or_none(variants.condition, measured.get("only if")) or {},
            )
            for n, measured in _parts(data, "measure")
            if isinstance(measured, dict)
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
                for key in CONDITIONAL_PARTS.values()
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
            for name, key in OUTLINE_LISTS.items()
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
