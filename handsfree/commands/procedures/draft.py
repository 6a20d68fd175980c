"""``handsfree draft``: the procedure for putting back what a job took apart."""

from __future__ import annotations

import argparse

from handsfree.commands.files import write_file
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.output import data
from handsfree.commands.problems import UseError
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.disassembly import taken_apart
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.making.draft import drafted


def run_draft(args: argparse.Namespace) -> int:
    """Write the procedure for putting back what a job took apart."""
    store = store_of(args)
    job = args.job or next((job.id for job in store.jobs() if _took_apart(store, job)), None)
    if job is None:
        raise UseError(f'nothing was taken apart yet in {store.folder}; begin with handsfree strip "ITEM"')
    state = taken_apart(fold(store.events(job)))
    if state is None:
        raise UseError(f"job {job} took nothing apart; name a job in which something was")
    try:
        draft = drafted(state, job)
    except ValueError as error:
        raise UseError(f"job {job}: {error}") from None
    if args.to is None:
        with data():
            print(draft.text, end="")
        return 0
    write_file(args.to, draft.text, new=True)
    print(f"{args.to}: {draft.gaps} gaps to fill in; handsfree check {args.to} lists them")
    return 0


def _took_apart(store: Store, job: JobSummary) -> bool:
    """Whether something was taken apart in a real job; only those with a procedure of that name are read."""
    named = job.purpose != "rehearsal" and any(name.startswith("strip-") for name in job.procedures)
    return named and taken_apart(fold(store.events(job.id))) is not None
