"""``handsfree jobs``: what is in the log."""

from __future__ import annotations

import argparse

from handsfree.commands.jobs.choosing import store_of


def run_jobs(args: argparse.Namespace) -> int:
    """List the jobs, the newest first."""
    store = store_of(args)
    everything = store.jobs()
    rehearsals = [job for job in everything if job.purpose == "rehearsal"]
    found = rehearsals if args.rehearsals else [job for job in everything if job.purpose != "rehearsal"]
    if not found and args.rehearsals:
        print(f"No rehearsals yet in {store.folder}. Begin one: handsfree rehearse focusing-slide")
        return 0
    if not found:
        print(f"No jobs yet in {store.folder}. Begin one: handsfree run focusing-slide")
        return 0
    rows = [("job", "state", "steps", "last", "item", "serial", "owner", "procedure")]
    rows += [
        (
            job.id,
            job.status if job.purpose != "stripping" else f"{job.status} (stripping)",
            f"{job.done} of {job.of}",
            job.last.astimezone().strftime("%Y-%m-%d %H:%M"),
            job.item or "",
            job.serial or "",
            job.owner or "",
            job.title,
        )
        for job in found
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    return 0
