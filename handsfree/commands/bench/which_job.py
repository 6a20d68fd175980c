"""Which of several unfinished jobs is meant, where they are of several items."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from handsfree.commands.problems import UseError
from handsfree.job.catalogue.summaries import JobSummary


def which_job(jobs: Sequence[JobSummary]) -> str | None:
    """The job that is meant, asked for at a terminal; None where they are all of one item, so that the newest is.

    UseError, which names the jobs, where nobody can be asked.
    """
    if len({(job.item, job.serial, job.owner) for job in jobs}) < 2:
        return None
    if not sys.stdin.isatty():
        named = "; ".join(f"{job.id} ({_item(job)})" for job in jobs)
        raise UseError(f"several items have unfinished jobs of this procedure, so say which with --job: {named}")
    print("Several items have unfinished jobs of this procedure, the one worked on last first:")
    for number, job in enumerate(jobs, 1):
        print(f"  {number}  {_item(job)}; job {job.id}, {job.done} of {job.of} steps")
    while True:
        print("Which? Type its number: ", end="", flush=True)
        line = sys.stdin.readline()
        if not line:
            raise UseError("no job was chosen; say which with --job")
        said = line.strip()
        if said.isdecimal() and 1 <= int(said) <= len(jobs):
            return jobs[int(said) - 1].id
        print(f"There are 1 to {len(jobs)}.")


def _item(job: JobSummary) -> str:
    serial = f"serial number {job.serial}" if job.serial else "no serial number"
    return ", ".join(filter(None, (job.item or "item not named", serial, job.owner)))
