"""Which parts the report of a job has: a setting of the workshop, and of each report."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from handsfree.procedure.location import Placed
from handsfree.procedure.values import kind_of, yes_or_no

REPORT_PARTS: Mapping[str, str] = MappingProxyType(
    {
        "owner": "the owner's page",
        "record": "the technical record",
        "time line": "in the record, every event with its time",
        "charts": "in the record, the figures drawn against their limits",
        "sounds": "in the record, notes to be listened to",
        "charges": "on the owner's page, what is charged",
        "remarks": "on the owner's page, reasons and what was done knowingly",
    }
)
"""The parts by name, with what they are."""
USUAL_PARTS = frozenset(REPORT_PARTS) - {"charges", "remarks"}
"""What a report has where nobody says otherwise: what it costs and the remarks of the bench are private."""


def report_parts_in(data: object) -> tuple[frozenset[str], list[Placed]]:
    """The parts that the workshop's file asks for under "report", and what is wrong there."""
    if data is None:
        return USUAL_PARTS, []
    if not isinstance(data, dict):
        message = f'"report" must be parts with yes or no, as in "charges: yes", not {kind_of(data)}'
        return USUAL_PARTS, [(("report",), message)]
    wrong: list[Placed] = []
    parts = set(USUAL_PARTS)
    for name, wanted in data.items():
        if name not in REPORT_PARTS:
            wrong.append((("report", name), f'"{name}" is no part of a report; parts are {", ".join(REPORT_PARTS)}'))
            continue
        try:
            (parts.add if yes_or_no(wanted) else parts.discard)(name)
        except ValueError as error:
            wrong.append((("report", name), f'"{name}" {error}'))
    if not parts & {"owner", "record"}:
        wrong.append((("report",), "a report needs the owner's page or the record, or both"))
    return frozenset(parts), wrong


def chosen_parts(usual: Collection[str], more: Collection[str], less: Collection[str]) -> frozenset[str]:
    """The parts of one report: the workshop's, with ``more`` and without ``less``."""
    return (frozenset(usual) | frozenset(more)) - frozenset(less)
