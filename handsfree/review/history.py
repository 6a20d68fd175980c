"""Earlier jobs: their figures and notes as far as they stand, and how a characteristic went from job to job."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import Event, FactNoted, NoteKept, ReadingLogged
from handsfree.job.facts import FACTS
from handsfree.job.readings import LoggedReading
from handsfree.job.state import Entry, every_entry, fold
from handsfree.job.stated import parsed, value_of
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import number_written
from handsfree.measure.limits import Limits
from handsfree.measure.units import UnitError, convert
from handsfree.procedure.values import in_unit
from handsfree.review.pages.charts import Bounds, PlottedReading
from handsfree.text.columns import paragraph, table
from handsfree.text.terminal import printable_lines
from handsfree.wording.facts import fact_written
from handsfree.wording.readings import decision_words, figure_name, outcome_words


@dataclass(frozen=True)
class Past:
    """A job that has been, with what stands of it."""

    job: JobSummary
    readings: tuple[LoggedReading, ...]
    notes: tuple[str, ...]
    """The words of its notes, and what was noted about the job as a whole, as far as it was understood; each with what
    it is."""
    titles: tuple[str, ...] = ()
    """The procedures that it was worked by."""

    def of(self, characteristic: str) -> Past:
        """The same with the readings of one characteristic only, and without the notes."""
        wanted = characteristic.casefold()
        kept = tuple(each for each in self.readings if each.event.characteristic.casefold() == wanted)
        return replace(self, readings=kept, notes=())


def past(job: JobSummary, events: Iterable[Event]) -> Past:
    """What stands of a job."""
    state = fold(events)
    standing = [entry for entry in every_entry(state) if entry.stands]
    figures = tuple(LoggedReading(entry.event, entry) for entry in standing if isinstance(entry.event, ReadingLogged))
    titles = tuple(each.title for each in state.procedures.values())
    return Past(job, figures, tuple(_note(entry) for entry in standing if _is_note(entry)), titles)


def _is_note(entry: Entry) -> bool:
    """What tells of the item and of the work; what was arranged with the owner is no part of its history."""
    event = entry.event
    if not isinstance(event, FactNoted):
        return isinstance(event, NoteKept)
    fact = FACTS[event.about]
    return not (fact.identifies or fact.at_the_counter)


def _note(entry: Entry) -> str:
    event = entry.event
    if isinstance(event, FactNoted):
        return fact_written(event, entry.text)
    return f"note: {entry.text or '(not understood)'}"


@dataclass(frozen=True)
class Trend:
    """A characteristic at one place over jobs, oldest first, in one unit, with the limits of the newest."""

    name: str
    """What was measured, with its place where it is measured at several."""
    unit: str
    bounds: Bounds
    marks: tuple[PlottedReading, ...]


def trends(jobs: Sequence[Past]) -> list[Trend]:
    """Every characteristic, place by place, that was measured in at least two of the jobs (given newest first)."""
    together: dict[tuple[str, str | None], list[tuple[Past, LoggedReading]]] = {}
    for job in reversed(jobs):
        for reading in job.readings:
            key = reading.event.characteristic, reading.event.place
            together.setdefault(key, []).append((job, reading))
    found = []
    for (characteristic, place), points in together.items():
        if len({job.job.id for job, _ in points}) < 2:
            continue
        newest = points[-1][1]
        marks = tuple(mark for job, reading in points if (mark := _mark(job, reading, newest.event.unit)) is not None)
        if marks:
            found.append(Trend(figure_name(characteristic, place), newest.event.unit, bounds_shown(newest), marks))
    return found


def _mark(job: Past, reading: LoggedReading, unit: str) -> PlottedReading | None:
    event = reading.event
    try:
        value = convert(value_of(event), event.unit, unit)
    except (ValueError, ArithmeticError, UnitError):
        return None
    return PlottedReading(
        value=value, text=event.shown, occasion=event.occasion, decision=event.decision, when=job.job.id
    )


def bounds_shown(reading: LoggedReading) -> Bounds:
    """The limits of a reading, from what was shown when it was judged: the log needs no procedure for that."""
    event = reading.event
    return bounds_of(event.limits, event.unit, event.uncertainty)


def bounds_of(text: str, unit: str, uncertainty: str | None) -> Bounds:
    """Limits as they are shown (``text``), for a chart in ``unit``; ``uncertainty`` is as shown, too."""
    low, high = limits_shown(text)
    if low is None and high is None:
        return Bounds(text=text, unit=unit)
    u = parsed(uncertainty) if uncertainty else None
    # "0.02 to 0.05 mm": the unit is written once, and need not be the one in which readings are kept (hundredths).
    shown = (high or low or Figure(Fraction(0))).unit or unit
    try:
        low_value, high_value = (
            convert(bound.value, bound.unit or shown, unit) if bound else None for bound in (low, high)
        )
        limits = Limits(low_value, high_value, None, in_unit(u, unit) if u else Fraction(0))
    except UnitError:  # a damaged log
        return Bounds(text=text, unit=unit)
    written_low, written_high = (number_written(bound) if bound else "" for bound in (low, high))
    return Bounds(limits, written_low, written_high, "", text, unit)


def limits_shown(text: str) -> tuple[Figure | None, Figure | None]:
    """The figures in limits as they are shown ("1.5 to 3 thou", "at most 2 thou"); None where there is none."""
    if text.startswith("at least "):
        return parsed(text.removeprefix("at least ")), None
    if text.startswith("at most "):
        return None, parsed(text.removeprefix("at most "))
    low, between, high = text.partition(" to ")
    return (parsed(low), parsed(high)) if between else (None, None)


def past_jobs_text(title: str, jobs: Sequence[Past]) -> str:
    """The jobs as plain text, the newest first."""
    lines = [title, "=" * len(title)]
    for job in jobs:
        number, _, words = job_heading(job).partition("  ")
        lines += ["", *paragraph(words, len(number) + 2, number)]
        rows = [
            (
                figure_name(each.event.characteristic, each.event.place),
                each.event.occasion,
                each.event.shown,
                each.event.limits,
                verdict(each),
            )
            for each in job.readings
        ]
        lines += table(("figure", "when", "as said", "limits", "verdict"), rows, (22, 9, 14, 18)) if rows else []
        for note in job.notes:
            lines += paragraph(note, 2)
    text = "\n".join(lines) + "\n"
    return printable_lines(text)


def job_heading(job: Past) -> str:
    """Which job it is, in one line."""
    worked = job.titles or (job.job.title,)
    known = [job.job.item, job.job.serial and f"serial {job.job.serial}", job.job.owner, *worked]
    return f"{job.job.id}  {', '.join(filter(None, known))}" + (
        "" if job.job.status == "finished" else " (not finished)"
    )


def verdict(reading: LoggedReading) -> str:
    """What the figure proved, and what was decided about it."""
    return "; ".join(filter(None, (decision_words(reading.event), outcome_words(reading.entry))))


def figures_named(jobs: Iterable[Past], characteristic: str) -> Iterator[Past]:
    """The jobs in which something of this name was measured, each with that only."""
    for job in jobs:
        only = job.of(characteristic)
        if only.readings:
            yield only
