"""``handsfree propose``: what the jobs done with a procedure say about it, as a patch."""

from __future__ import annotations

import argparse

from handsfree.bench.setting_up import load_named
from handsfree.commands.files import write_file
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.jobs.past import past_jobs
from handsfree.commands.output import data
from handsfree.commands.problems import UseError
from handsfree.making.experience import proposals
from handsfree.making.patch import patched, unified


def run_propose(args: argparse.Namespace) -> int:
    """Show what the jobs done with a procedure say about it, as a patch; change the file only when told to."""
    if args.jobs < 1:
        raise UseError(f"--jobs is {args.jobs}, and must be one or more")
    loaded = load_named(args.procedure)
    store = store_of(args)
    past = past_jobs(store, loaded.path.stem)
    proposed = proposals(loaded.procedure, past, args.jobs)
    if not proposed:
        jobs = f"{len(past)} job{'' if len(past) == 1 else 's'} of {loaded.path.stem}"
        print(f"Nothing to propose from {jobs} ({args.jobs} must agree).")
        return 0
    result = patched(loaded, proposed)
    with data():
        for proposal, reason in result.told:
            print(f"# To be changed by hand: step {proposal.step}: {proposal.why}.\n#   Not in the patch: {reason}.")
        print(unified(loaded, result.text), end="")
    if args.apply and result.made:
        write_file(loaded.path, result.text)
        print(f"# {loaded.path} is changed.")
    return 0
