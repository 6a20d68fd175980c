"""``python -m tests.tools.mutants [--room ROOM] [--count N] [--seed S]``"""

from __future__ import annotations

import argparse
import signal
import sys
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from tests.support.places import REPOSITORY
from tests.tools.mutants.copy_of import copy_of
from tests.tools.mutants.kept import Kept
from tests.tools.mutants.planting import Mistake, every_mistake, mistakes
from tests.tools.mutants.reviewed import key, out_of_date, reviewed
from tests.tools.mutants.rooms import ROOMS, Room
from tests.tools.mutants.trial import Outcome, prepare, record, tried, try_in_place

_SAME = "changes nothing"


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.mutants", description=__doc__)
    parser.add_argument("--room", action="append", choices=sorted(ROOMS), help="only here (may be given again)")
    parser.add_argument("--count", type=int, default=25, help="mistakes in each room (25)")
    parser.add_argument("--seed", type=int, default=1, help="which are drawn (1)")
    parser.add_argument("--only", default="", help="only in modules whose file name has this in it")
    parser.add_argument("--each", action="store_true", help="print each mistake and who noticed it")
    parser.add_argument("--tree", type=Path, default=REPOSITORY, help="of another checkout")
    parser.add_argument("--keep", type=Path, help="keep here what was found out, and use what still holds")
    chosen = parser.parse_args(arguments)
    # Told to stop, it puts its copy away like one that has ended.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    prepare()
    rows, living = [], []
    with copy_of(chosen.tree) as root:
        for name in chosen.room or ROOMS:
            counts, lived = _room(root, name, ROOMS[name], chosen)
            rows.append((name, counts))
            living += lived
    print(
        "\n".join(["", *_table(rows), "", *(line for mistake, outcome in living for line in _shown(mistake, outcome))])
    )


def _room(
    root: Path, name: str, room: Room, chosen: argparse.Namespace
) -> tuple[Counter[str], list[tuple[Mistake, Outcome]]]:
    start = time.monotonic()
    kept = Kept(chosen.keep or root.parent / "kept")
    known = record(root, room, kept)
    print(
        f"{name}: {len(known.usable)} of {len(known.cpu)} tests are used, {time.monotonic() - start:.0f} s", flush=True
    )
    for test in known.failed:
        print(f"  fails as it is: {test}", flush=True)
    modules = {file: text for file, text in room.modules(root).items() if chosen.only in file}
    reasons = {entry: why for entry, why in reviewed().items() if entry.module in modules}
    for entry in out_of_date(reasons, (each for file, text in modules.items() for each in every_mistake(file, text))):
        print(f"  no longer to be made, take it from the list: {entry}", flush=True)
    counts: Counter[str] = Counter()
    living: list[tuple[Mistake, Outcome]] = []
    start = time.monotonic()
    drawn = mistakes(modules, chosen.count, chosen.seed, room.derived)
    try_in_place(root, known, [mistake for mistake in drawn if key(mistake) not in reasons], kept)
    for mistake in drawn:
        if key(mistake) in reasons:
            counts[_SAME] += 1
            continue
        outcome, noticed_by = tried(root, known, mistake, kept)
        counts[outcome.value] += 1
        if outcome.living:
            living.append((mistake, outcome))
        if chosen.each:
            print("\n".join(_shown(mistake, outcome)) + (f"\n    by {noticed_by}" if noticed_by else ""), flush=True)
    tested = sum(counts.values()) - counts[_SAME]
    print(f"  {tested} mistakes tried, {(time.monotonic() - start) / max(tested, 1):.1f} s each", flush=True)
    return counts, living


def _table(rows: Sequence[tuple[str, Counter[str]]]) -> list[str]:
    lines = [f"{'room':10} {'planted':>8} {'the same':>9} {'noticed':>8} {'living':>7} {'noticed of 100':>15}"]
    total: Counter[str] = Counter()
    for _, counts in rows:
        total += counts
    for name, counts in [*rows, ("all", total)]:
        noticed = counts[Outcome.NOTICED.value] + counts[Outcome.ENDLESS.value]
        living = counts[Outcome.LIVES.value] + counts[Outcome.NOT_RUN.value]
        share = f"{100 * noticed / (noticed + living):.0f}" if noticed + living else "-"
        lines.append(f"{name:10} {sum(counts.values()):8} {counts[_SAME]:9} {noticed:8} {living:7} {share:>15}")
    return lines


def _shown(mistake: Mistake, outcome: Outcome) -> list[str]:
    return [
        f"{mistake.module}:{mistake.lines[0]} {mistake.where} ({mistake.kind}): {outcome.value}",
        *(f"    - {line}" for line in mistake.was.splitlines()),
        *(f"    + {line}" for line in mistake.becomes.splitlines()),
    ]


if __name__ == "__main__":
    main()
