"""``python -m tests.faults [PART ...]``: all of the faults, or some parts of them, and a table of what became of them.

``--share N`` of the whole is done (1: all of it); the tests do a small share. ``--bytes FROM TO`` bounds the bytes of
the small log that are flipped. Exit code 1 where anything was silent, ended in a traceback, or hung.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from pathlib import Path

from tests.faults import inputs, logs, places
from tests.faults.outcomes import Tally, heading
from tests.tools import durability

PARTS = ("kills", "disks", "vanished", "bytes", "damages", "archives", "sounds", "procedures", "requests")


class Table:
    """The tallies of all kinds, in the order in which they came."""

    def __init__(self) -> None:
        self.rows: dict[str, Tally] = {}
        self.remarks: list[str] = []

    def __call__(self, kind: str) -> Tally:
        return self.rows.setdefault(kind, Tally(kind))

    @property
    def bad(self) -> list[str]:
        return [f"{tally.kind}: {what}" for tally in self.rows.values() for what in tally.bad]


def run(parts: tuple[str, ...], folder: Path, share: float = 1.0, seed: int = 1, only: range | None = None) -> Table:
    """Do the faults of these parts in ``folder``."""
    table = Table()
    for part in parts:
        here = folder / part
        here.mkdir()
        _part(part, here, table, share, random.Random(f"{part} {seed}"), only)
    return table


def _part(  # noqa: C901 - one case for each part
    part: str, here: Path, table: Table, share: float, chance: random.Random, only: range | None
) -> None:
    def some(count: int) -> int:
        return max(3, round(count * share))

    match part:
        case "kills":
            found = durability.run(some(300), here)
            tally = table("kills of a job at random moments")
            tally.counts["harmless"] += found.kills - len(found.lost) - len(found.broken)
            for what in (*found.lost, *found.broken):
                tally.add("silent", what)
        case "disks":
            step = max(16, round(16 / share))
            if not places.full_disks(here, table("full disks of 32 to 800 kB"), range(32, 800, step)):
                table.remarks.append("no disk can be mounted here, so none was full")
        case "vanished":
            places.vanished(here, table, every=max(1, round(1 / share / 4)))
        case "bytes":
            start, end = (only.start, only.stop) if only else (0, None)
            every = max(1, round(1 / share))
            tally = table("bytes of a small log's database, one bit each")
            size, changing = logs.every_byte(here, tally, start, end, every)
            table.remarks.append(
                f"of {sum(tally.counts.values())} bytes tried of {size}, {changing} change an answer or prevent it; "
                f"unnoticed {tally.counts['silent']}"
            )
        case "damages":
            logs.at_random(here, lambda group: table(f"damages of {group}"), some(2000), chance)
        case "archives":
            inputs.archives(here, table("changed archives"), some(400), chance)
        case "sounds":
            inputs.sounds(here, table("changed recordings"), some(1000), chance)
        case "procedures":
            inputs.procedures(here, table("changed procedures"), some(600), chance)
        case "requests":
            inputs.requests(table("changed requests without the key"), some(1000), chance)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"of {', '.join(PARTS)} (default: all)")
    parser.add_argument("--share", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--bytes", type=int, nargs=2, metavar=("FROM", "TO"))
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        began = time.perf_counter()
        only = range(*args.bytes) if args.bytes else None
        table = run(tuple(args.parts) or PARTS, Path(folder), args.share, args.seed, only)
    print(heading())
    for tally in table.rows.values():
        print(tally.row())
    for line in (*table.remarks, *table.bad[:40]):
        print(f"  {line}")
    print(f"{time.perf_counter() - began:.0f} s")
    return 1 if table.bad else 0


if __name__ == "__main__":
    sys.exit(main())
