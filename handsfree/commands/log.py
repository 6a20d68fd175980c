"""``handsfree jobs`` and ``handsfree review``."""

from __future__ import annotations

import argparse

from handsfree.commands.problems import UseError
from handsfree.job.errors import LogCorrupt
from handsfree.job.log.store import Store, default_folder
from handsfree.job.state import events_of, fold
from handsfree.making.disassembly_list import stripping_text
from handsfree.making.experience import FEWEST_JOBS, PastJob, proposals
from handsfree.procedure.model import Procedure
from handsfree.review.source import procedure_of, procedures_of
from handsfree.review.text.job_facts import entries_text, history_text, taken_in_text
from handsfree.review.text.spoken import spoken_review
from handsfree.review.text.whole import review_text
from handsfree.text.prose import counted


def jobs(args: argparse.Namespace) -> int:
    """List the jobs, the newest first."""
    store = Store(args.logs or default_folder())
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


def review(args: argparse.Namespace) -> int:
    """Print the review of a job, of the last one where none is named."""
    store = Store(args.logs or default_folder())
    job = chosen_job(store, args.job)
    if args.history or args.entries or args.spoken:
        _print_part(store, job, args)
    else:
        print_review(store, job)
    return 0


def _print_part(store: Store, job: str, args: argparse.Namespace) -> None:
    state = fold(store.events(job))
    procedures = procedures_of(state)
    if args.spoken:
        print("\n".join(spoken_review(procedures, state)))
    if args.history:
        print(history_text(state), end="")
    if args.entries:
        print(entries_text(procedures, state), end="")


def chosen_job(store: Store, job: str | None) -> str:
    """The job that was named, or the last one; UseError where there is none."""
    if job is not None:
        return job
    # The last one that was real: what was only rehearsed is named by its number.
    found = [each for each in store.jobs() if each.purpose != "rehearsal"]
    if not found:
        raise UseError(f"there are no jobs yet in {store.folder}; begin one with handsfree run focusing-slide")
    return found[0].id


def print_review(store: Store, job: str) -> None:
    """Print the review of a job."""
    events = store.events(job)
    state = fold(events)
    if state.opened is None:
        raise LogCorrupt(f"job {job} has no beginning in the log of {store.folder}; it cannot be reviewed")
    if state.opened.purpose == "stripping":
        print(stripping_text(state, job), end="")
        return
    procedures = procedures_of(state)
    if procedures:
        print(review_text(procedures, state, events, job=job), end="")
    else:
        print(taken_in_text(state, job), end="")
    if state.opened.purpose == "repair":
        for name, brought in state.procedures.items():
            _print_proposals(store, name, procedure_of(brought))


def _print_proposals(store: Store, name: str, procedure: Procedure) -> None:
    past = past_jobs(store, name)
    found = proposals(procedure, past, FEWEST_JOBS)
    if found:
        count = counted(len(found), "change")
        print(f"\nThe last {len(past)} jobs propose {count} to the procedure: handsfree propose PROCEDURE shows them.")


def past_jobs(store: Store, procedure: str) -> list[PastJob]:
    """The real jobs of the procedure of this name that are finished or have got anywhere, oldest first."""
    jobs = [job for job in store.jobs() if procedure in job.procedures and job.purpose == "repair" and job.done]
    return [
        PastJob(job.id, list(events_of(store.events(job.id), procedure).values()), procedure) for job in reversed(jobs)
    ]
