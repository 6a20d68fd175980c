"""``handsfree verify``: is the log what was written?"""

from __future__ import annotations

import argparse

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.errors import LogCorrupt
from handsfree.job.log.verify import Verified, file_faults, verify, verify_all


def run_verify(args: argparse.Namespace) -> int:
    """Prove a job, or all of them; 1 where something does not hold."""
    if args.hash and args.job is None:
        raise UseError("name the job whose hash this is: handsfree verify JOB --hash HASH")
    store = store_of(args)
    damage = file_faults(store)
    for fault in damage:
        print(f"The log is damaged: {fault}.")
    if damage:
        print(f"handsfree rescue saves what can be read of {store.folder}; what follows may not be all there was.")
    good = not damage
    try:
        for job in [verify(store, args.job)] if args.job else verify_all(store):
            good = _one(job, args.hash) and good
    except LogCorrupt as error:
        if damage:
            return 1
        raise error
    if good and not store.file.exists():
        print(f"No jobs yet in {store.folder}.")
    return 0 if good else 1


def _one(verified: Verified, noted: str | None) -> bool:
    """Say what was found of a job."""
    for line in _lines(verified):
        print(line)
    good = not verified.faults
    return _compare(verified, noted) and good if noted else good


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
