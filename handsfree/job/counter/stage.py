"""Where a job stands for the workshop: promised, waiting, done and not fetched, handed over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from handsfree.job.catalogue.summaries import JobSummary


@dataclass(frozen=True)
class Morning:
    """What a workshop asks in the morning. A job may be promised and wait for parts as well."""

    promised: tuple[JobSummary, ...]
    """Not finished, with the day they are promised for, the soonest first."""
    waiting: tuple[JobSummary, ...]
    """Not finished, and wait for parts, the oldest first."""
    done: tuple[JobSummary, ...]
    """Finished and not fetched, the oldest first: those that were taken in, for others nobody is to come."""


def morning(jobs: Iterable[JobSummary]) -> Morning:
    """What of ``jobs`` is promised, waits, or is done and still here."""
    here = [job for job in jobs if job.purpose == "repair" and job.handed_over is None]
    open_ = [job for job in here if job.status != "finished"]
    promised = [job for job in open_ if job.promised is not None]
    return Morning(
        tuple(sorted(promised, key=lambda job: (job.promised or date.max, job.opened))),
        tuple(sorted((job for job in open_ if job.waits), key=lambda job: job.opened)),
        tuple(sorted((job for job in here if job.status == "finished" and job.taken_in), key=lambda job: job.last)),
    )
