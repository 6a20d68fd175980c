"""Scores the recogniser on the recordings: ``python -m tests.tools.recordings.score``.

Every recording of the table goes through ``handsfree hear --json``. Printed are, by voice, condition, kind of command
and set, how many commands were heard clearly and rightly ("right"), were asked back ("doubtful"), got the soft tone
("near") or nothing ("none"), and how many were taken, without doubt, for something else ("wrong"). Of talk and
noise, everything but "none" is a fault, and "wrong" means that it was taken for a command.

With --mark the outcome of each recording that did not come out as it should is written to ``known_to_fail``.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from tests.tools.recordings import table
from tests.tools.recordings.sound import RATE, Sound, between_silences, resampled, save, speech
from tests.tools.recordings.table import Recording

RESULTS = ("right", "doubtful", "near", "none", "wrong")
DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")

Object = Mapping[str, Any]


def hear(files: Sequence[Path], recogniser: str = "builtin") -> list[Object]:
    """What ``handsfree hear --json`` prints for these files, one object for each utterance."""
    from handsfree.cli import main as handsfree

    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        code = handsfree(
            ["hear", "--json", "--recogniser", recogniser, "--procedure", str(table.PROCEDURE), *map(str, files)]
        )  # fmt: skip
    if code:
        raise SystemExit(code)
    return read_objects(printed.getvalue())


def read_objects(text: str) -> list[Object]:
    """Objects, one a line."""
    return [json.loads(line) for line in text.splitlines() if line.strip()]


def means(heard: Object, meaning: Mapping[str, str]) -> bool:
    """Whether an object says what ``meaning`` says, figures compared as exact numbers."""
    return all(_same(heard.get(key), meaning.get(key)) for key in _slots(heard, meaning))


def _slots(heard: Object, meaning: Mapping[str, str]) -> set[str]:
    return set(meaning) | (
        {"intent", "characteristic", "value", "unit", "step", "reason", "name", "occasion"} & set(heard)
    )


def _same(one: object, other: object) -> bool:
    if one in (None, "") or other in (None, ""):
        return one in (None, "") and other in (None, "")
    if str(one) == str(other):
        return True
    try:
        return Fraction(str(one)) == Fraction(str(other))
    except (ValueError, ZeroDivisionError):
        return False


def result(recording: Recording, objects: Iterable[Object]) -> str:
    """What came of a recording, one of ``RESULTS``."""
    by_hearing: dict[str, list[Object]] = {}
    for heard in objects:
        by_hearing.setdefault("near" if heard.get("near") else heard["hearing"], []).append(heard)
    clear = by_hearing.get("clear", [])
    if clear:
        right = len(clear) == 1 and recording.outcome == "clear" and means(clear[0], recording.meaning)
        return "right" if right else "wrong"
    return next((name for name in ("doubtful", "near") if name in by_hearing), "none")


def asked_back(recordings: Sequence[Recording], objects: Iterable[Object], folder: Path = table.FOLDER) -> str:
    """How many doubtful commands there are, and in how many of them the likeliest meaning is the right one."""
    rows = {(folder / row.file).resolve(): row for row in recordings if row.outcome == "clear"}
    doubtful: Counter[str] = Counter()
    right: Counter[str] = Counter()
    for heard in objects:
        row = rows.get(Path(heard["file"]).resolve())
        if row and heard["hearing"] == "doubtful":
            doubtful[row.set] += 1
            right[row.set] += means(heard, row.meaning)
    return "\n".join(
        f"asked back ({name}): {count}, the likeliest meaning right in {right[name]}"
        for name, count in doubtful.items()
    )


def passes(recording: Recording, outcome: str) -> bool:
    """Whether the result is what the table asks for."""
    return outcome == ("right" if recording.outcome == "clear" else "none")


def results(recordings: Sequence[Recording], objects: Iterable[Object], folder: Path = table.FOLDER) -> list[str]:
    """The result of each recording, in their order."""
    by_file: dict[Path, list[Object]] = {}
    for heard in objects:
        by_file.setdefault(Path(heard["file"]).resolve(), []).append(heard)
    return [result(each, by_file.get((folder / each.file).resolve(), ())) for each in recordings]


Grouping = Callable[[Recording], str]
COMMAND_GROUPS: dict[str, Grouping] = {
    "set": lambda row: row.set,
    "voice": lambda row: f"{row.voice} ({row.set})",
    "condition": lambda row: row.noise,
    "condition, judge set": lambda row: row.noise if row.set == "judge" else "",
    "kind": lambda row: "figure" if "value" in row.meaning else "plain",
}


def counts(rows: Iterable[tuple[str, str]]) -> dict[str, Counter[str]]:
    """Results counted by group."""
    groups: dict[str, Counter[str]] = {}
    for group, outcome in rows:
        groups.setdefault(group, Counter())[outcome] += 1
    return groups


def tabulated(title: str, groups: Mapping[str, Counter[str]], good: str) -> str:
    """One table as text: a line for each group with its counts and the share of ``good``."""
    lines = [f"{title:<28}{'n':>6}{'good':>8}" + "".join(f"{name:>10}" for name in RESULTS)]
    for group, counter in groups.items():
        total = counter.total()
        numbers = "".join(f"{counter[name]:>10}" for name in RESULTS)
        lines.append(f"{group:<28}{total:>6}{counter[good] / total:>8.1%}" + numbers)
    return "\n".join(lines)


def report(recordings: Sequence[Recording], outcomes: Sequence[str]) -> str:
    """All tables as text."""
    pairs = list(zip(recordings, outcomes, strict=True))
    commands = [(row, outcome) for row, outcome in pairs if row.outcome == "clear"]
    others = [(row, outcome) for row, outcome in pairs if row.outcome == "none"]
    tables = [
        tabulated(f"commands by {title}", counts((name, o) for row, o in commands if (name := group(row))), "right")
        for title, group in COMMAND_GROUPS.items()
    ]
    tables.append(
        tabulated(
            "talk and noise", counts((f"{'talk' if r.words else 'noise'} ({r.set})", o) for r, o in others), "none"
        )
    )
    return "\n\n".join(tables)


def faults(recordings: Sequence[Recording], outcomes: Sequence[str], objects: Iterable[Object]) -> str:
    """The recordings that did not come out as they should, with what was heard."""
    heard: dict[Path, list[str]] = {}
    for each in objects:
        heard.setdefault(Path(each["file"]).resolve(), []).append(str(each.get("heard") or ""))
    return "\n".join(
        f"{outcome:<9} {row.file}: {' / '.join(heard.get((table.FOLDER / row.file).resolve(), []))}"
        for row, outcome in zip(recordings, outcomes, strict=True)
        if not passes(row, outcome)
    )


def digit_strings(folder: Path, count: int, out: Path) -> list[Recording]:
    """Digit strings joined from people's single digits ("3_name_7.wav"), written to ``out``; speakers take turns."""
    takes: dict[str, dict[int, list[Path]]] = {}
    for path in sorted(folder.glob("?_*_*.wav")):
        digit, speaker, _ = path.stem.split("_")
        takes.setdefault(speaker, {}).setdefault(int(digit), []).append(path)
    if not takes:
        raise SystemExit(f"{folder}: there are no recordings of digits here (names such as 3_name_7.wav)")
    rng = np.random.default_rng(3)
    rows = []
    for index in range(count):
        speaker = sorted(takes)[index % len(takes)]
        digits = [int(rng.integers(1, 10)), *map(int, rng.integers(0, 10, int(rng.integers(1, 4))))]
        pieces = [_read(takes[speaker][d][int(rng.integers(len(takes[speaker][d])))]) for d in digits]
        gap = np.zeros(round(0.12 * RATE), np.float32)
        joined = np.concatenate([part for piece in pieces for part in (piece, gap)])
        file = out / f"{index:03}-{speaker}.flac"
        save(file, between_silences(joined))
        meaning = {"intent": "figure", "value": str(int("".join(map(str, digits))))}
        rows.append(Recording(str(file), " ".join(DIGITS[d] for d in digits), meaning, speaker, "joined digits"))
    return rows


def _read(path: Path) -> Sound:
    sound, rate = soundfile.read(path, dtype="float32")
    return speech(resampled(sound, rate))


def extra_talk(files: Iterable[Path], objects: Iterable[Object]) -> str:
    """How often recordings of nothing but talk were taken for commands, with the minutes they last."""
    seconds = sum(soundfile.info(str(path)).duration for path in files)
    hearings = Counter("near" if heard.get("near") else heard["hearing"] for heard in objects)
    numbers = ", ".join(f"{hearings[name]} {name}" for name in ("clear", "doubtful", "near", "none"))
    return f"talk of {seconds / 60:.1f} minutes: {numbers}"


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(
        prog="python -m tests.tools.recordings.score",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--mark", action="store_true", help="write known_to_fail into the table")
    parser.add_argument("--faults", action="store_true", help="list what did not come out as it should")
    parser.add_argument("--set", choices=("tune", "judge"), help="only this set")
    parser.add_argument("--only", metavar="TEXT", help="only files with this in their name")
    parser.add_argument("--recogniser", default="builtin", help="as for handsfree hear (default: builtin)")
    parser.add_argument("--heard", type=Path, metavar="FILE", help="score these lines of handsfree hear --json instead")
    parser.add_argument("--digits", type=Path, metavar="FOLDER", help="also people's digits, joined to strings")
    parser.add_argument("--count", type=int, default=60, help="how many strings of digits (default: 60)")
    parser.add_argument("--talk", type=Path, nargs="+", default=[], metavar="FILE", help="also recordings of mere talk")
    args = parser.parse_args(arguments)
    recordings = table.read()
    chosen = [row for row in recordings if args.set in (None, row.set) and (args.only is None or args.only in row.file)]
    if not chosen:
        parser.error("no recording of the table is meant by this")
    if args.heard:
        objects = read_objects(args.heard.read_text(encoding="utf-8"))
    else:
        objects = hear([table.FOLDER / row.file for row in chosen], args.recogniser)
    outcomes = results(chosen, objects)
    print(report(chosen, outcomes))
    print("\n" + asked_back(chosen, objects))
    if args.faults:
        print("\n" + faults(chosen, outcomes, objects))
    if args.digits:
        with tempfile.TemporaryDirectory() as folder:
            rows = digit_strings(args.digits, args.count, Path(folder))
            heard = results(rows, hear([Path(row.file) for row in rows], args.recogniser))
        by_speaker = counts((row.voice, outcome) for row, outcome in zip(rows, heard, strict=True))
        print("\n" + tabulated("people's digits, joined", by_speaker, "right"))
    if args.talk:
        print("\n" + extra_talk(args.talk, hear(args.talk, args.recogniser)))
    if args.mark:
        failing = {row.file: "" if passes(row, out) else out for row, out in zip(chosen, outcomes, strict=True)}
        table.write(replace(row, known_to_fail=failing.get(row.file, row.known_to_fail)) for row in recordings)
        print(f"\nmarked as known to fail: {sum(map(bool, failing.values()))} of {len(chosen)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
