"""The jobs that were done with a procedure, as proposals are made from them."""

from __future__ import annotations

from handsfree.commands.progress import gone_through
from handsfree.job.log.store import Store
from handsfree.job.state import events_of
from handsfree.making.experience import PastJob


def past_jobs(store: Store, procedure: str, most: int | None = None) -> list[PastJob]:
    """The real jobs of the procedure of this name that are finished or have got anywhere, oldest first; the newest
    ``most`` of them."""
    jobs = [job for job in store.jobs() if procedure in job.procedures and job.purpose == "repair" and job.done][:most]
    return [
        PastJob(job.id, list(events_of(store.events(job.id), procedure).values()), procedure)
        for job in gone_through("reading", reversed(jobs), len(jobs))
    ]
