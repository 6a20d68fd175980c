"""``handsfree jobs``: what is in the log."""

from __future__ import annotations

import argparse

from handsfree.commands.jobs.choosing import store_of
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.text.terminal import printable

_HEADINGS = ("job", "state", "steps", "last", "item", "serial", "owner", "procedure")


def run_jobs(args: argparse.Namespace) -> int:
    """List the jobs, the newest first."""
    store = store_of(args)
    jobs = [job for job in store.jobs() if (job.purpose == "rehearsal") == args.rehearsals]
    if not jobs:
        what, command = ("rehearsals", "rehearse") if args.rehearsals else ("jobs", "run")
        print(f"No {what} yet in {store.folder}. Begin one: handsfree {command} focusing-slide")
        return 0
    rows = [_HEADINGS, *(_row(job) for job in jobs)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(_HEADINGS))]
    for row in rows:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    return 0


def _row(job: JobSummary) -> tuple[str, ...]:
    cells = (
        job.id,
        job.status if job.purpose != "stripping" else f"{job.status} (stripping)",
        f"{job.done} of {job.of}",
        job.last.astimezone().strftime("%Y-%m-%d %H:%M"),
        job.item or "",
        job.serial or "",
        job.owner or "",
        job.title,
    )
    return tuple(map(printable, cells))
