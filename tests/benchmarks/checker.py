"""How long a check of a thousand steps takes: ``python -m tests.benchmarks.checker``."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from handsfree.procedure.check.checker import check

STEPS = 1000
STEP = """\
  - id: step-{n}
    do: Set the clearance of slide {word}.
    fasteners: {{use: short, count: 2, where: the slide}}
    lubricant: grease
    cautions: Do not force it.
    works on: slide {word}
    measure: {{name: clearance {word}, unit: thou, limits: [1.5, 3], tool: feelers}}
    rests on: step-{before}
"""
HEAD = """\
title: A long procedure
item: Bench rig
revision: 1
fasteners: {short: {size: M2 x 5, head: cheese head}}
lubricants: {grease: {which: damping grease}}
tools: {feelers: {name: feeler blades, resolution: 0.5 thou}}
steps:
  - {id: step-0, do: Begin.}
"""
_SOUNDS = ("ba", "ke", "lo", "mi", "nu", "ra", "so", "ti", "va", "wo")


def procedure(steps: int = STEPS) -> str:
    """A procedure of so many steps; every characteristic has a name of its own for each hundred steps."""
    words = ["".join(_SOUNDS[int(digit)] for digit in f"{number:02}") for number in range(100)]
    return HEAD + "".join(STEP.format(n=n, before=n - 1, word=words[n % 100]) for n in range(1, steps))


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.yaml"
        path.write_text(procedure(), "utf-8")
        times = []
        for _ in range(3):
            began = time.perf_counter()
            found = check(path)
            times.append(time.perf_counter() - began)
    print(f"{STEPS} steps, {len(found)} problems: {min(times):.2f} s (best of {len(times)})")


if __name__ == "__main__":
    main()
