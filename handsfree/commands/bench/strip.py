"""``handsfree strip``: taking an item apart and saying what comes off."""

from __future__ import annotations

import argparse

from handsfree.commands.bench.run import work
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.state import fold
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.procedure.values import spoken_name


def run_strip(args: argparse.Namespace) -> int:
    """Take an item apart by voice."""
    item = (args.item or "").strip() or (_item_of(args) if args.job else "")
    if not item:
        raise UseError('the item has no name; write it in quotes, such as "Bench gauge, pattern C"')
    try:
        parts = [str(spoken_name(part)) for part in args.part]
    except ValueError as error:
        raise UseError(f"--part: {error}") from None
    return work(args, stripping_procedure(item), "stripping", parts=parts)


def _item_of(args: argparse.Namespace) -> str:
    """What the job is about that is named."""
    return fold(store_of(args).events(args.job)).fact("item") or "item"
