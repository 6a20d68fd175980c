"""``handsfree review``: what was done, found and left open in a job."""

from __future__ import annotations

import argparse

from handsfree.commands.jobs.choosing import chosen_job, store_of
from handsfree.commands.jobs.past import past_jobs
from handsfree.commands.jobs.proving import told_if_broken
from handsfree.commands.output import columns
from handsfree.job.errors import LogCorrupt
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.making.experience import FEWEST_JOBS, proposals
from handsfree.procedure.model import Procedure
from handsfree.review.source import procedures_of
from handsfree.review.text.job_facts import corrections_text, entries_text, taken_in_text
from handsfree.review.text.spoken import spoken_review
from handsfree.review.text.taken_apart import stripping_text
from handsfree.review.text.whole import review_text
from handsfree.text.columns import within
from handsfree.text.prose import counted

_LOOKED_BACK_ON = 40
"""The newest jobs of a procedure that are looked through for what they propose; propose itself looks through all."""


def run_review(args: argparse.Namespace) -> int:
    """Print the review of a job, of the last one where none is named; 1 where its log does not hold."""
    store = store_of(args)
    job = chosen_job(store, args.job)
    with within(columns()):
        if args.history or args.entries or args.spoken:
            _print_part(store, job, args)
        else:
            print_review(store, job)
    return 1 if told_if_broken(store, job) else 0


def _print_part(store: Store, job: str, args: argparse.Namespace) -> None:
    state = fold(store.events(job))
    procedures = procedures_of(state)
    if args.spoken:
        print("\n".join(spoken_review(procedures, state)))
    if args.history:
        print(corrections_text(state), end="")
    if args.entries:
        print(entries_text(procedures, state), end="")


def print_review(store: Store, job: str) -> None:
    """Print the review of a job."""
    events = store.events(job)
    state = fold(events)
    if state.opened is None:
        raise LogCorrupt(f"job {job} has no beginning in the log of {store.folder}; it cannot be reviewed")
    if state.purpose == "stripping":
        print(stripping_text(state, job), end="")
        return
    procedures = procedures_of(state)
    if procedures:
        print(review_text(procedures, state, events, job=job), end="")
    else:
        print(taken_in_text(state, job), end="")
    if state.purpose == "repair":
        for name, brought in state.procedures.items():
            if not brought.takes_apart and name in procedures:
                _print_proposals(store, name, procedures[name])


def _print_proposals(store: Store, name: str, procedure: Procedure) -> None:
    past = past_jobs(store, name, _LOOKED_BACK_ON)
    proposed = proposals(procedure, past, FEWEST_JOBS)
    if proposed:
        count = counted(len(proposed), "change")
        print(f"\nThe last {len(past)} jobs propose {count} to the procedure: handsfree propose PROCEDURE shows them.")
