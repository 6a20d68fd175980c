"""``handsfree delete-sounds``: the sounds of a job, or old ones, deleted on purpose."""

from __future__ import annotations

import argparse
from datetime import datetime, timedelta

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.log.forget import forget, jobs_older_than
from handsfree.text.prose import counted

MOST_DAYS = 36_500
"""A hundred years."""


def run_delete_sounds(args: argparse.Namespace) -> int:
    """Delete the sounds of a job, or of jobs by age; their hashes stay in the log."""
    if (args.job is None) == (args.older_than is None):
        raise UseError("say which sounds: handsfree delete-sounds JOB, or handsfree delete-sounds --older-than DAYS")
    if args.older_than is not None and not 0 <= args.older_than <= MOST_DAYS:
        raise UseError(f"--older-than is {args.older_than}, and must be from 0 to {MOST_DAYS} days")
    store = store_of(args)
    now = datetime.now().astimezone()
    why = "by hand" if args.job else f"older than {args.older_than} days"
    jobs = [args.job] if args.job else jobs_older_than(store, now - timedelta(days=args.older_than))
    total = 0
    for job in jobs:
        deleted, shared = forget(store, job, now, why)
        total += deleted
        also = f"; {shared} belong to another job as well and stay" if shared else ""
        if deleted or shared or args.job:
            print(f"{job}  {counted(deleted, 'sound')} deleted{also}")
    if not args.job:
        sounds = counted(total, "sound").capitalize()
        print(f"{sounds} deleted in {counted(len(jobs), 'job')}. Their hashes stay in the log.")
    return 0
