"""Tables of what ``collect`` wrote, encoder beside encoder: ``python -m tests.tools.ear_training.choose FILE``.

By sound alone, one reading. "Free" is the reading without the grammar; "taken" is what the decision in force takes for
clear, of those that are wrong or were no command at all.
"""

from __future__ import annotations

import argparse
import gzip
import json
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from handsfree.hearing.rejection import decide
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Alternative, Hearing, RecognitionResult

from .collect import language

Record = dict[str, Any]


def records(path: Path) -> Iterator[Record]:
    with gzip.open(path, "rt", encoding="utf-8") as lines:
        yield from map(json.loads, lines)


def heard(numbers: dict[str, Any]) -> RecognitionResult:
    """What was written, as the decision wants it."""
    alternatives = tuple(Alternative(tuple(words.split()), score) for words, score in numbers["alternatives"])
    return RecognitionResult(
        "builtin",
        alternatives,
        numbers["text"],
        gap=numbers["gap"],
        margin=numbers["margin"],
        log_odds=numbers["log_odds"],
    )


def is_figure(spoken: Language, words: str) -> bool:
    return any(intent.figure is not None for intent in spoken.interpret(tuple(words.split())))


def right(spoken: Language, record: Record) -> bool:
    """Whether one utterance was heard, and its likeliest meaning is what was said."""
    if len(record["heard"]) != 1 or not record["heard"][0]["alternatives"]:
        return False
    best = tuple(record["heard"][0]["alternatives"][0][0].split())
    return spoken.meaning(best) == spoken.meaning(tuple(record["said"].split()))


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.choose", description=__doc__)
    parser.add_argument("file", type=Path)
    arguments = parser.parse_args()
    spoken = language()
    rows: dict[tuple[str, ...], dict[str, list[float]]] = defaultdict(lambda: defaultdict(lambda: [0.0] * 4))
    ears: dict[str, None] = {}
    for record in records(arguments.file):
        ears[record["ear"]] = None
        hearings = [decide(heard(each), spoken.interpret) for each in record["heard"]]
        clear = Hearing.CLEAR in hearings
        if record["said"]:
            its = right(spoken, record)
            kind = "figures" if is_figure(spoken, record["said"]) else "others"
            counted = [1.0, its, clear and its, clear and not its]
        else:
            kind = ""
            counted = [1.0, clear, Hearing.DOUBTFUL in hearings, Hearing.NEAR in hearings]
        voice = record["voice"] if record["kind"] in ("digits", "commands") else ""
        if record["kind"] == "commands":
            voice = "unknown voice" if "kal" in voice else "others"
        row = rows[record["kind"], voice, kind, record["condition"] if record["said"] else ""]
        row[record["ear"]] = [a + b for a, b in zip(row[record["ear"]], counted, strict=True)]
    print(f"{'':46}" + "".join(f"{name:>22}" for name in ears))
    for key in sorted(rows):
        cells = []
        for name in ears:
            count, first, second, third = rows[key][name]
            if key[2]:
                cells.append(
                    f"{100 * first / max(count, 1):5.1f} {100 * second / max(count, 1):5.1f} {third:4.0f} /{count:4.0f}"
                )
            else:
                cells.append(f"{first:5.0f} {second:5.0f} {third:5.0f} /{count:4.0f}")
        print(f"{' '.join(key):46}" + "".join(f"{cell:>22}" for cell in cells))


if __name__ == "__main__":
    main()
