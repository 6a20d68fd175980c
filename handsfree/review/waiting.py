"""What waits for the check of another person, over all jobs that are open."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime

from handsfree.job.catalogue.summaries import JobSummary, Sought
from handsfree.job.errors import LogCorrupt
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.procedure.file.problems import ProcedureError
from handsfree.review.source import procedures_of
from handsfree.wording.attendance import WaitingCheck, waiting_checks


def checks_of_open_jobs(store: Store, now: datetime) -> list[tuple[JobSummary, WaitingCheck]]:
    """The steps that wait for the check of another person, the newest job first; what of a job can't be read is left
    out. LogError."""
    found = []
    for job in store.jobs(Sought(purpose="repair", finished=False, here=True)):
        if job.checked_by_another:
            with suppress(LogCorrupt, ProcedureError):
                state = fold(store.events(job.id))
                found += [(job, waiting) for waiting in waiting_checks(procedures_of(state), state, now)]
    return found
