"""``handsfree strip``: taking an item apart and saying what comes off."""

from __future__ import annotations

import argparse

from handsfree.commands.bench.run import work
from handsfree.commands.problems import UseError
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.procedure.values import spoken_name


def run_strip(args: argparse.Namespace) -> int:
    """Take an item apart by voice."""
    if not args.item.strip():
        raise UseError('the item has no name; write it in quotes, such as "Bench gauge, pattern C"')
    try:
        parts = [str(spoken_name(part)) for part in args.part]
    except ValueError as error:
        raise UseError(f"--part: {error}") from None
    return work(args, stripping_procedure(args.item.strip()), "stripping", parts=parts)
