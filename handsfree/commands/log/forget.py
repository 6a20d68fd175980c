"""``handsfree forget``: sounds, and what is personal of an owner, taken out on purpose."""

from __future__ import annotations

import argparse
import re
from datetime import datetime, timedelta

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.log.forget import forget as forget_clips
from handsfree.job.log.forget import forget_owner, jobs_older_than
from handsfree.job.log.store import Store
from handsfree.text.prose import counted

MOST_DAYS = 36_500
"""A hundred years."""


_A_JOB = re.compile(r"\d{4}-\d\d-\d\d-\d+")


def run_forget(args: argparse.Namespace) -> int:
    """Delete sounds, of a job or by age, or what is personal of an owner; their hashes stay in the log."""
    if (args.job is None) == (args.older_than is None):
        raise UseError(
            "say which sounds: handsfree forget JOB, or handsfree forget --older-than DAYS; or whose data: handsfree "
            "forget OWNER"
        )
    if args.older_than is not None and not 0 <= args.older_than <= MOST_DAYS:
        raise UseError(f"--older-than is {args.older_than}, and must be from 0 to {MOST_DAYS} days")
    store = store_of(args)
    now = datetime.now().astimezone()
    if args.job is not None and not _A_JOB.fullmatch(args.job.strip()):
        return _forget_owner(store, args.job, now)
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


def _forget_owner(store: Store, owner: str, now: datetime) -> int:
    """The exit code is 1 where something could not be taken out."""
    found = forget_owner(store, owner, now)
    if not found.jobs and not found.busy:
        print(f"No job in {store.folder} has an owner called {owner} (as handsfree jobs writes it).")
        return 0
    if found.jobs:
        what = counted(found.entries, "entry", "entries").capitalize()
        sounds = f" and {counted(found.clips, 'sound')}" if found.clips else ""
        print(f"{what}{sounds} taken out of {counted(len(found.jobs), 'job')}: {', '.join(found.jobs)}.")
        print(_WHAT_STAYS)
    if found.in_chain:
        print(f"{', '.join(found.in_chain)}: {_IN_THE_CHAIN}")
    if found.busy:
        open_ = ", ".join(found.busy)
        print(f"Open in another Handsfree, so nothing of it was forgotten: {open_}. End it, and ask again.")
    return 1 if found.busy else 0


_WHAT_STAYS = """\
Stays: the jobs and what was done, and for each entry a hash of it with a random number, which tells nothing but
keeps the log proved. Not looked through: notes and other free text, attached files, sounds of notes.
Backups, reports and job sheets made before still have it: make a new backup, and delete those."""
_IN_THE_CHAIN = """\
begun by an earlier Handsfree, which wrote the owner into the log itself. It is shown, exported and
found no more, but stands in the log's file, because the hashes that prove the job are over it."""
