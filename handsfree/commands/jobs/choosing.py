"""Which log, and which of its jobs, a command means."""

from __future__ import annotations

import argparse

from handsfree.commands.problems import UseError
from handsfree.commands.progress import progress
from handsfree.job.log.numbers import typed_number
from handsfree.job.log.store import Store, default_folder


def store_of(args: argparse.Namespace) -> Store:
    """The log in the folder that was named, else in its usual place. Where its catalogue is long in the making, that
    shows on the terminal."""
    return Store(args.logs or default_folder(), watch=lambda: progress("jobs"))


def chosen_job(store: Store, job: str | None) -> str:
    """The job that was named, or the last one; UseError where there is none."""
    if job is not None:
        return typed_number(job)
    # The last one that was real: what was only rehearsed is named by its number.
    newest = store.newest_real()
    if newest is None:
        raise UseError(f"there are no jobs yet in {store.folder}; begin one with handsfree run focusing-slide")
    return newest
