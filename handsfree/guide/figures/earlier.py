"""Figures of earlier jobs, and which of them is that of last time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from handsfree.job.events import JobOpened
from handsfree.measure.figure import Figure
from handsfree.measure.limits import Decision
from handsfree.procedure.parts import AS_FOUND

_FAILS = (Decision.OUT.value, Decision.UNDECIDED.value)


@dataclass(frozen=True)
class EarlierFigure:
    """A figure that stood at the end of an earlier job."""

    job: str
    at: datetime
    item: str | None
    serial: str | None
    procedure: str
    """The procedure's name."""
    characteristic: str
    place: str | None
    occasion: str
    figure: Figure
    """As it was stated."""
    decision: str


def nearest_figures(
    earlier: Sequence[EarlierFigure], characteristic: str, opened: JobOpened | None, place: str | None = None
) -> tuple[tuple[EarlierFigure, ...], str]:
    """The figures that count as those of last time for the job that was ``opened``, and in a few words whose they are:
    of this very item where there are any, else of its kind, else of the same work.

    One for each place at which the characteristic was measured, what failed first; only that of ``place`` where it was
    measured there. None: an empty tuple.
    """
    serial, item = (opened.serial, opened.item) if opened else (None, None)
    procedure = opened.procedure_name if opened else ""
    measured = [figure for figure in earlier if figure.characteristic == characteristic]
    of_this = [figure for figure in measured if serial and _same(figure.serial, serial) and _same(figure.item, item)]
    of_its_kind = [figure for figure in measured if item and _same(figure.item, item)]
    of_the_work = [figure for figure in measured if figure.procedure == procedure]
    ways = (
        (of_this, "this one"),
        (of_its_kind, "the same kind of item"),
        (of_the_work, "the same work on another item"),
    )
    figures, whose = next(((figures, whose) for figures, whose in ways if figures), ([], ""))
    here = [figure for figure in figures if figure.place == place]
    return _newest(here if place is not None and here else figures), whose


def _same(one: str | None, other: str | None) -> bool:
    return (one or "").casefold() == (other or "").casefold()


def _newest(figures: Sequence[EarlierFigure]) -> tuple[EarlierFigure, ...]:
    """Of the newest job: the last figure at each place, of those that were not taken as found where there are such."""
    if not figures:
        return ()
    job = max(figures, key=lambda figure: figure.at).job
    last: dict[str | None, EarlierFigure] = {}
    for figure in sorted(figures, key=lambda figure: (figure.occasion != AS_FOUND, figure.at)):
        if figure.job == job:
            last[figure.place] = figure
    return tuple(sorted(last.values(), key=lambda figure: figure.decision not in _FAILS))
