"""The check of a measuring tool against a standard, as a procedure; and what its checks have shown over the years."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path

from handsfree.job.events import Event, ReadingLogged
from handsfree.job.readings import standing_readings
from handsfree.job.state import fold
from handsfree.job.stated import value_of
from handsfree.making.disassembly_list import slug
from handsfree.making.yaml_lines import scalar
from handsfree.measure.figure import Figure, exact_text
from handsfree.measure.formatting import figure_shown, spoken
from handsfree.procedure.file.loader import Loaded, parse_procedure
from handsfree.procedure.values import LONGEST_NAME, in_unit, spoken_name
from handsfree.procedure.workshop import OwnTool
from handsfree.text.numerals import whole_words


@dataclass(frozen=True)
class Standard:
    """One size that a tool is checked at: a blade of a set, or a standard that is measured with the tool."""

    name: str
    """As what is measured, so that it can be said: "blade four thou"."""
    size: Figure


def standards_of(tool: OwnTool) -> list[Standard]:
    """What the tool is checked at; none where its entry names neither standards nor blades."""
    what, sizes = ("blade", tool.blades) if tool.blades else ("standard", tool.standards)
    return [Standard(_name(what, number, size), size) for number, size in enumerate(sizes or (), 1)]


def _name(what: str, number: int, size: Figure) -> str:
    try:
        return str(spoken_name(f"{what} {spoken(size)}"))
    except ValueError:
        # Longer than a name may be, or nothing that is said in letters: by its place in the set.
        return " ".join(f"{what} number {whole_words(number)}".split()[-LONGEST_NAME:])


def check_name(tool: OwnTool) -> str:
    """The name under which the checks of a tool stand in the log."""
    return f"check-of-{slug(tool.identity or tool.name)}"


def check_procedure(tool: OwnTool) -> Loaded:
    """The procedure of checking a tool: a step for each standard. ValueError where it has none."""
    standards = standards_of(tool)
    if not standards:
        raise ValueError(f'"{tool.name}" names nothing to be checked at; give it standards: "5, 10 mm" or its blades')
    lines = [
        f"title: {scalar(f'Check of {with_identity(tool)}')}",
        f"item: {scalar(with_identity(tool))}",
        "revision: 1",
        "steps:",
    ]
    for number, standard in enumerate(standards, 1):
        size = standard.size
        lines += [
            f"  - id: at-{number}",
            f"    do: {scalar(f'Measure the {standard.name}.')}",
            "    measure:",
            f"      name: {scalar(standard.name)}",
            f"      unit: {scalar(size.unit or 'mm')}",
            f"      target: {scalar(exact_text(size.value))}",
            *_limits(tool, size),
            "      when: as found",
        ]
    return parse_procedure("\n".join((*lines, "")).encode(), Path(f"{check_name(tool)}.yaml"))


def _limits(tool: OwnTool, size: Figure) -> Iterator[str]:
    if tool.within is not None:
        within = in_unit(tool.within, size.unit or "mm")
        low, high = (exact_text(size.value + sign * within) for sign in (-1, 1))
        yield f"      limits: [{scalar(low)}, {scalar(high)}]"


def with_identity(tool: OwnTool) -> str:
    """The tool with its identity: "micrometer three (M-3)"."""
    return f"{tool.name} ({tool.identity})" if tool.identity else tool.name


@dataclass(frozen=True)
class Drift:
    """How one standard measured from check to check, in its own unit."""

    standard: Standard
    readings: tuple[tuple[date, Fraction], ...]

    @property
    def change(self) -> Fraction | None:
        """By how much it measures more than at the first check; None where there is one check only."""
        return self.readings[-1][1] - self.readings[0][1] if len(self.readings) > 1 else None


def drifts(tool: OwnTool, jobs: Sequence[Sequence[Event]]) -> list[Drift]:
    """What the checks of a tool have shown, oldest first: of each check the newest figure that stands."""
    found: dict[str, list[tuple[date, Fraction]]] = {}
    for events in jobs:
        newest: dict[str, ReadingLogged] = {}
        for reading in standing_readings(fold(events)):
            newest[reading.event.characteristic] = reading.event
        for name, event in newest.items():
            found.setdefault(name, []).append((event.at.date(), value_of(event)))
    known = (each for each in standards_of(tool) if each.name in found)
    return [Drift(each, tuple(sorted(found[each.name]))) for each in known]


def drift_lines(drift: Drift) -> list[str]:
    """One standard's history: each check with the error, and the drift since the first."""
    unit = drift.standard.size.unit
    lines = [f"{drift.standard.name} ({figure_shown(drift.standard.size)})"]
    for day, value in drift.readings:
        error = _signed(value - drift.standard.size.value, unit)
        lines.append(f"  {day.isoformat()}  {figure_shown(_figure(value, unit)):>12}  error {error}")
    if drift.change is not None:
        lines.append(f"  drift since {drift.readings[0][0].isoformat()}: {_signed(drift.change, unit)}")
    return lines


def _figure(value: Fraction, unit: str | None) -> Figure:
    places = next((n for n in range(7) if round(value, n) == value), 6)
    return Figure(round(value, places), places, unit)


def _signed(value: Fraction, unit: str | None) -> str:
    return f"{'+' if value > 0 else ''}{figure_shown(_figure(value, unit))}"
