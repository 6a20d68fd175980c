"""``handsfree forget``: sounds deleted on purpose."""

from __future__ import annotations

import argparse
from datetime import datetime, timedelta

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.log.forget import forget as forget_clips
from handsfree.job.log.forget import jobs_older_than

MOST_DAYS = 36_500
"""A hundred years."""


def run_forget(args: argparse.Namespace) -> int:
    """Delete sounds, of a job or by age; their hashes stay in the log."""
    if (args.job is None) == (args.older_than is None):
        raise UseError("say which sounds: handsfree forget JOB, or handsfree forget --older-than DAYS")
    if args.older_than is not None and not 0 <= args.older_than <= MOST_DAYS:
        raise UseError(f"--older-than is {args.older_than}, and must be from 0 to {MOST_DAYS} days")
    store = store_of(args)
    now = datetime.now().astimezone()
    why = "by hand" if args.job else f"older than {args.older_than} days"
    jobs = [args.job] if args.job else jobs_older_than(store, now - timedelta(days=args.older_than))
    total = 0
    for job in jobs:
        deleted, shared = forget_clips(store, job, now, why)
        total += deleted
        also = f"; {shared} belong to another job as well and stay" if shared else ""
        if deleted or shared or args.job:
            print(f"{job}  {deleted} sounds deleted{also}")
    if not args.job:
        print(f"{total} sounds deleted in {len(jobs)} jobs. Their hashes stay in the log.")
    return 0
