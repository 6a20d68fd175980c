"""The figures of earlier jobs that may be asked for at the bench, as plain data for the guide."""

from __future__ import annotations

from handsfree.guide.figures.earlier import EarlierFigure
from handsfree.job.catalogue.earlier import jobs_with, with_events
from handsfree.job.catalogue.summaries import Sought
from handsfree.job.counter.before import EarlierJob, before_of, day_of, is_open, same_item
from handsfree.job.errors import LogCorrupt
from handsfree.job.log.store import Store
from handsfree.job.stated import parsed
from handsfree.procedure.settings.terms import Terms
from handsfree.review.history import past

MOST_JOBS = 12
"""Jobs looked at, of each way in which a job may be like this one."""


def earlier_figures(
    store: Store, procedure: str, item: str | None, serial: str | None, *, without: str | None = None
) -> tuple[EarlierFigure, ...]:
    """What stands of the newest jobs on this very item, on its kind, and of the same work; ``without`` is left out."""
    alike = [jobs_with(store, item=item, serial=serial)] if serial else []
    alike += [jobs_with(store, item=item)] if item else []
    alike.append(jobs_with(store, procedure=procedure))
    jobs = {job.id: job for of_a_kind in alike for job in of_a_kind[:MOST_JOBS] if job.id != without}
    try:
        jobs_before = [past(job, events) for job, events in with_events(store, list(jobs.values()), len(jobs))]
    except LogCorrupt:
        # Looking back is a convenience: a damaged job must not keep this one from being worked.
        return ()
    return tuple(
        EarlierFigure(
            job=earlier.job.id,
            at=reading.event.at,
            item=earlier.job.item,
            serial=earlier.job.serial,
            procedure=earlier.job.procedure,
            characteristic=reading.event.characteristic,
            place=reading.event.place,
            occasion=reading.event.occasion,
            figure=figure,
            decision=reading.event.decision,
        )
        for earlier in jobs_before
        for reading in earlier.readings
        if (figure := parsed(reading.event.as_said)) is not None
    )


def seen_before(
    store: Store,
    item: str | None,
    serial: str | None,
    owner: str | None,
    terms: Terms,
    *,
    without: str | None = None,
    returns: str | None = None,
) -> list[EarlierJob]:
    """The jobs that were done on this very item, the newest first, with the one that it is said to come back from
    (``returns``) whatever that one calls it; ``without`` is left out. LogError."""
    jobs = jobs_with(store, serial=serial) if serial else jobs_with(store, item=item) if item and owner else []
    found = same_item(jobs, item=item, serial=serial, owner=owner, but=without)[:MOST_JOBS]
    if returns is not None and returns not in [job.id for job in found]:
        found += store.jobs(Sought(job=returns))
    return [
        before_of(job, events, None if is_open(job) else terms.warranted_until(day_of(job)))
        for job, events in with_events(store, found, MOST_JOBS)
    ]
