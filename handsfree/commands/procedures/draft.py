"""``handsfree draft``: the procedure for putting back what a job took apart."""

from __future__ import annotations

import argparse

from handsfree.commands.files import write_file
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.state import fold
from handsfree.making.draft import drafted


def run_draft(args: argparse.Namespace) -> int:
    """Write the procedure for putting back what a job took apart."""
    store = store_of(args)
    job = args.job or next((each.id for each in store.jobs() if each.purpose == "stripping"), None)
    if job is None:
        raise UseError(f'nothing was taken apart yet in {store.folder}; begin with handsfree strip "ITEM"')
    state = fold(store.events(job))
    if state.opened is None or state.opened.purpose != "stripping":
        raise UseError(f"job {job} took nothing apart; name a job of handsfree strip")
    try:
        made = drafted(state, job)
    except ValueError as error:
        raise UseError(f"job {job}: {error}") from None
    if args.to is None:
        print(made.text, end="")
        return 0
    write_file(args.to, made.text, new=True)
    print(f"{args.to}: {made.gaps} gaps to fill in; handsfree check {args.to} lists them")
    return 0
