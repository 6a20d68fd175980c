"""``handsfree rehearse``: a procedure tried out before there is an item on the bench."""

from __future__ import annotations

import argparse

from handsfree.bench.setting_up import load_named
from handsfree.commands.bench.run import work
from handsfree.commands.problems import UseError


def run_rehearse(args: argparse.Namespace) -> int:
    """Work a procedure as a rehearsal; waiting times pass ``args.speed`` times as fast."""
    if not 1 <= args.speed <= 3600:
        raise UseError(f"--speed is {args.speed:g}, and must be from 1 to 3600; 60 makes a minute of a second")
    loaded = load_named(args.procedure)
    print(f"Rehearsal of {loaded.procedure.title}: kept apart from the jobs (handsfree jobs --rehearsals).")
    return work(args, loaded, "rehearsal", speed=args.speed)
