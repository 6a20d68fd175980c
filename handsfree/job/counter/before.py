"""An item that was here before: when, what was done, what was accepted out of limits, what was to be watched."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import Event, FactNoted, ReadingLogged
from handsfree.job.state import Entry, every_entry, fold
from handsfree.measure.limits import Decision

TO_WATCH = "to be watched"


@dataclass(frozen=True)
class EarlierJob:
    """A job that was done on the same item."""

    job: str
    day: date
    """When it was handed over, else finished, else worked last."""
    finished: bool
    titles: tuple[str, ...]
    """Of the procedures it was worked by."""
    accepted: tuple[Entry, ...]
    """Figures out of limits that were accepted or left open, as they stood at the end."""
    watch: tuple[str, ...]
    """What was to be watched: serious findings, and what was accepted with that reason."""
    warranted_until: date | None = None
    is_open: bool = False
    """Whether the item is here for it still, and its work goes on."""


def before_of(job: JobSummary, events: Iterable[Event], warranted_until: date | None = None) -> EarlierJob:
    """What is worth knowing of an earlier job at the counter."""
    state = fold(events)
    standing = [entry for entry in every_entry(state) if entry.stands]
    accepted = [
        entry
        for entry in standing
        if isinstance(entry.event, ReadingLogged)
        and entry.event.decision == Decision.OUT.value
        and not entry.event.is_finding
        and entry.outcome in ("accepted", "left open")
    ]
    serious = [
        entry.text
        for entry in standing
        if isinstance(entry.event, FactNoted) and entry.event.severity in ("serious", "unsafe") and entry.text
    ]
    return EarlierJob(
        job=job.id,
        day=day_of(job),
        finished=job.status == "finished",
        is_open=is_open(job),
        titles=tuple(each.title for each in state.procedures.values() if each.title),
        accepted=tuple(accepted),
        watch=tuple(serious),
        warranted_until=warranted_until,
    )


def is_open(job: JobSummary) -> bool:
    """Whether the item is here for the job still, and its work goes on."""
    return job.status != "finished" and job.handed_over is None


def day_of(job: JobSummary) -> date:
    """When it was handed over, else finished, else worked last, by the local calendar."""
    return (job.handed_over or job.last).astimezone().date()


def same_item(
    jobs: Sequence[JobSummary], *, item: str | None, serial: str | None, owner: str | None, but: str | None = None
) -> list[JobSummary]:
    """The real jobs on this very item, the newest first: of its serial number (and a name like it, where both are
    given), else of its name and its owner."""

    def same(one: str | None, other: str | None) -> bool:
        return bool(one and other) and (one or "").casefold() == (other or "").casefold()

    found = [job for job in jobs if job.purpose == "repair" and job.id != but]
    if serial:
        return [job for job in found if same(job.serial, serial) and _alike(job.item, item)]
    return [job for job in found if same(job.item, item) and same(job.owner, owner)]


def _alike(one: str | None, other: str | None) -> bool:
    """Whether two names may be of one item: at the counter it is a "bench gauge", in a procedure "bench gauge, pattern
    C"."""
    first, second = ((name or "").casefold().split(",")[0].split() for name in (one, other))
    most = min(len(first), len(second))
    return first[:most] == second[:most] or (most > 0 and first[-most:] == second[-most:])
