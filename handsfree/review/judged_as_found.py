"""What was measured while taking apart, judged by the limits of a procedure that the job was worked by as well.

While something is taken apart nothing is known of limits, and the log says so and stays as it is. Where a procedure of
the same job measures the same thing at the same place, its limits tell what the figure as found was.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from handsfree.guide.figures.proposed import Proposed
from handsfree.job.events import ReadingLogged
from handsfree.job.state import JobState, every_entry
from handsfree.job.stated import parsed
from handsfree.measure.formatting import figure_shown, range_written
from handsfree.measure.limits import Decision
from handsfree.measure.units import in_use
from handsfree.procedure.model import Characteristic, Procedure, Step
from handsfree.text.prose import singular


@dataclass(frozen=True)
class JudgedAsFound:
    """What a figure as found was, by the limits of ``procedure``."""

    procedure: str
    """The name of the procedure."""
    measured: Characteristic
    place: str | None
    """Where the procedure measures it, where it does at several."""
    decision: str
    beyond: str | None
    side: str | None
    limits: str
    uncertainty: str | None
    """That of the tool which the procedure names: it is taken for the one that was used."""


def judged_as_found(procedures: Mapping[str, Procedure], state: JobState) -> dict[str, JudgedAsFound]:
    """The figures of taking apart that can be judged, by their entries; ``procedures`` are as they are for the item.

    Left as they are: figures of two blades, those taken with another tool than the procedure names, and what two limits
    would judge unlike.
    """
    known: dict[str, list[tuple[str, Step, Characteristic]]] = {}
    for name, procedure in procedures.items():
        if not state.takes_apart(name):
            for step in procedure.steps:
                for measured in step.characteristics:
                    for said in dict.fromkeys(map(_plain, _names(step, measured))):
                        known.setdefault(said, []).append((name, step, measured))
    taken = [entry.event for entry in every_entry(state) if isinstance(entry.event, ReadingLogged)]
    return {
        event.id: judged
        for event in taken
        if state.takes_apart(state.home_of(event.id))
        if (judged := _judged(event, known.get(_plain(event.characteristic), []), taken)) is not None
    }


def _names(step: Step, measured: Characteristic) -> Iterator[str]:
    """What a thing is called while taking apart: with its place, where it is measured at several."""
    for name in (measured.name, *measured.also):
        yield f"{step.place} {name}" if step.place else name


def _plain(name: str) -> str:
    """What is the same of a name however it is written: "run out" and "runout", "clearance" and "clearances". Names
    that can be said are in lower case and without hyphens; other words are other things."""
    return singular(name).replace(" ", "")


def _judged(
    event: ReadingLogged, candidates: Sequence[tuple[str, Step, Characteristic]], taken: Sequence[ReadingLogged]
) -> JudgedAsFound | None:
    limited = [each for each in candidates if each[2].low is not None or each[2].high is not None]
    figure = None if event.upper is not None else parsed(event.as_said)
    if figure is None or len({_bounds(measured) for _, _, measured in limited}) != 1:
        return None
    procedure, step, measured = limited[0]
    tool = measured.tool.name if measured.tool is not None else None
    if event.tool is not None and event.tool != tool:
        return None
    measured = _as_it_was_measured(measured, taken)
    proposed = Proposed(step, measured, in_use(figure, measured.unit), event.occasion)
    if not proposed.fits or proposed.verdict.decision is Decision.NO_LIMITS:
        return None
    beyond = proposed.beyond
    return JudgedAsFound(
        procedure=procedure,
        measured=measured,
        place=step.place,
        decision=proposed.verdict.decision.value,
        beyond=None if beyond is None else figure_shown(beyond),
        side=proposed.verdict.side,
        limits=range_written(measured.low, measured.high),
        uncertainty=figure_shown(measured.uncertainty_shown) if measured.uncertainty else None,
    )


def _as_it_was_measured(measured: Characteristic, taken: Sequence[ReadingLogged]) -> Characteristic:
    """With the uncertainty that the figures taken by the procedure have of its tool, where the procedure states none:
    it is of a tool of the workshop."""
    tool = measured.tool
    if tool is None or measured.uncertainty:
        return measured
    wanted = (measured.name, tool.name, measured.unit)
    own = (each for each in taken if (each.characteristic, each.tool, each.unit) == wanted)
    known = next((parsed(each.uncertainty) for each in own if each.uncertainty), None)
    if known is None:
        return measured
    return measured.model_copy(update={"tool": tool.model_copy(update={"uncertainty": known})})


def _bounds(measured: Characteristic) -> tuple[str, str]:
    return measured.unit, range_written(measured.low, measured.high)
