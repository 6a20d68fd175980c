"""``handsfree verify``: is the log what was written?"""

from __future__ import annotations

import argparse

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.log.verify import Verified, file_faults, verify


def run_verify(args: argparse.Namespace) -> int:
    """Prove a job, or all of them; 1 where something does not hold."""
    if args.hash and args.job is None:
        raise UseError("name the job whose hash this is: handsfree verify JOB --hash HASH")
    store = store_of(args)
    damage = file_faults(store)
    for fault in damage:
        print(f"The log's file is damaged: {fault}.")
    if damage:
        print(f"handsfree rescue saves what can be read of {store.folder}; what follows may not be all there was.")
    jobs = [args.job] if args.job else [job.id for job in store.jobs()]
    if not jobs:
        print(f"No jobs yet in {store.folder}.")
        return 1 if damage else 0
    verified = [verify(store, job) for job in jobs]
    good = not damage
    for job in verified:
        for line in _lines(job):
            print(line)
        good = good and not job.faults
    if args.hash:
        good = _compare(verified[0], args.hash) and good
    return 0 if good else 1


def _lines(job: Verified) -> list[str]:
    clips = f", {job.clips} sounds" if job.clips else ""
    gone = f", {job.deleted_clips} sounds deleted on purpose" if job.deleted_clips else ""
    if job.faults:
        return [f"{job.job}  NOT as it was written:", *(f"    {fault}" for fault in job.faults)]
    return [f"{job.job}  holds: {job.events} events{clips}{gone}, last hash {job.last_hash}"]


def _compare(job: Verified, noted: str) -> bool:
    added = job.added_since(noted)
    if added is None:
        print(
            f"    No event of job {job.job} has the hash {noted}: it was cut short or written anew since, or the hash"
        )
        print("    belongs to another job.")
        return False
    what = "nothing was added since" if not added else f"{added} event{'s' if added > 1 else ''} added since"
    print(f"    The job up to the noted hash is unchanged; {what}.")
    return True
