"""How long understanding takes: ``python -m tests.benchmarks.phrases`` prints a table.

Wanted are under 5 ms for one phrase (median), and under 1 s for the grammar of 200 steps with 100 characteristics.
"""

from __future__ import annotations

import random
import statistics
import time
from itertools import product

from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.language import Language

PHRASES = 2000


def large() -> Vocabulary:
    """The names of a procedure of 200 steps (any step number up to 99 can be said) with 100 characteristics."""
    first = ("upper", "lower", "front", "rear", "left", "right", "inner", "outer", "long", "short")
    second = ("gap", "float", "shake", "play", "lift", "depth", "travel", "lash", "bore", "height")
    names = [" ".join(pair) for pair in product(first, second)]
    units = ("thou", "mm", "degree", "s", "N cm")
    tools = {name: name for name in ("micrometer", "feeler blades", "dial indicator")}
    return Vocabulary({name: name for name in names}, {name: units[n % 5] for n, name in enumerate(names)}, tools=tools)


def main() -> None:
    begun = time.perf_counter()
    language = Language(large())
    grammar = language.automaton
    built = time.perf_counter() - begun
    rng = random.Random(1)
    phrases = [language.sample(rng) for _ in range(PHRASES)]
    times = []
    for words in phrases:
        begun = time.perf_counter()
        language.interpret(words)
        times.append(1000 * (time.perf_counter() - begun))
    times.sort()
    rows = (
        ("understanding one phrase, median", f"{statistics.median(times):.3f} ms", "5 ms"),
        ("understanding one phrase, 99 in 100", f"{times[int(0.99 * len(times))]:.3f} ms", ""),
        ("understanding one phrase, longest", f"{times[-1]:.3f} ms", ""),
        ("grammar, 100 characteristics, built in", f"{built:.3f} s", "1 s"),
        ("states of the grammar", str(len(grammar.arcs)), ""),
        ("words that can be said", str(len(grammar.words)), ""),
    )
    print(f"{'what':40} {'measured':>12}   wanted below")
    for what, measured, wanted in rows:
        print(f"{what:40} {measured:>12}   {wanted}".rstrip())


if __name__ == "__main__":
    main()
