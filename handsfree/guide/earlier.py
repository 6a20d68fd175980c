"""Figures of earlier jobs, and which of them is that of last time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from handsfree.job.events import JobOpened
from handsfree.measure.figure import Figure


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
    occasion: str
    figure: Figure
    """As it was stated."""
    decision: str


def nearest_figure(
    earlier: Sequence[EarlierFigure], characteristic: str, opened: JobOpened | None
) -> tuple[EarlierFigure, str] | None:
    """The figure that counts as that of last time for the job that was ``opened``, and in a few words whose it is: of
    this very item where there is one, else of its kind, else of the same work."""
    serial, item = (opened.serial, opened.item) if opened else (None, None)
    procedure = opened.procedure_name if opened else ""
    measured = [figure for figure in earlier if figure.characteristic == characteristic]
    if serial:
        own = [figure for figure in measured if _same(figure.serial, serial) and _same(figure.item, item)]
        if own:
            return _newest(own), "this one"
    alike = [figure for figure in measured if item and _same(figure.item, item)]
    if alike:
        return _newest(alike), "the same kind of item"
    work = [figure for figure in measured if figure.procedure == procedure]
    return (_newest(work), "the same work on another item") if work else None


def _same(one: str | None, other: str | None) -> bool:
    return (one or "").casefold() == (other or "").casefold()


def _newest(figures: Sequence[EarlierFigure]) -> EarlierFigure:
    """Of the newest job: its last figure, of those that were not taken as found where there are such."""
    job = max(figures, key=lambda figure: figure.at).job
    of_job = [figure for figure in figures if figure.job == job]
    return max(of_job, key=lambda figure: (figure.occasion != "as found", figure.at))
