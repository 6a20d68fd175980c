"""Makes the material of the training: ``python -m tests.tools.ear_training.material --help``.

A folder is written: ``sounds.npy`` (all sounds one after another, 16 bits, 16 kHz), ``noises.npy`` (pieces of one
length) and ``index.json`` (for each sound its place, kind, words and who speaks). Kinds: "bench", "words", "general"
(see ``phrases``), "figures", "digits" (joined from people's takes), "people" (their short talk, words unknown), "none".
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, ClassVar

import numpy as np

from .speakers import RATE, Sound, accented, draw, say

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TRAINED_TAKES = 42
"""Takes of each digit that are trained on; those from this number on choose between variants."""
TRAINED_CLIPS = 2700
"""Clips of people's talk that are trained on; those from this number to 2999 choose between variants."""
LONGEST = 6.5
"""Seconds; longer sounds are left out."""
NOISE_SECONDS = 8.0
JUDGING_SPEAKER = "d"
ACCENTS = 0.5
"""Share of the figures said by synthetic voices with an accent."""
MADE_UP = 0.55
"""Share of the strings that a made-up speaker says, of those of a person of whom any is made."""
MADE_UP_OF_FEW = 0.75
"""The same for those who say a digit once or a few times."""
CUT_SHORT = 0.2
"""Share of the digits of which the beginning is cut off, as it is where listening begins late on a weak sound."""

Entry = dict[str, Any]


def trimmed(sound: Sound, floor: float = 0.004, margin: float = 0.03) -> Sound:
    """``sound`` without the quiet at its ends, its loudest sample at 0.5; empty where there is nothing."""
    loud = np.flatnonzero(np.abs(sound) > floor * max(float(np.abs(sound).max(initial=0.0)), 1e-6))
    if not len(loud) or float(np.abs(sound).max()) < 1e-4:
        return sound[:0]
    around = round(margin * RATE)
    cut = sound[max(0, loud[0] - around) : loud[-1] + around]
    return np.asarray(cut / np.abs(cut).max() * 0.5, np.float32)


def _alone(slots: list[int]) -> None:
    """Each worker keeps to a core of its own: the voices' networks would start a thread for every core."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {slots[os.getpid() % len(slots)]})


def _spoken(lines: list[str], seed: int, until: float) -> list[tuple[Entry, bytes]]:
    rng, found = random.Random(seed), []
    for line in lines:
        if time.time() > until:
            break
        kind, _, text = line.partition("\t")
        speaker = draw(rng)
        try:
            written = accented(text, rng) if kind == "figures" and rng.random() < ACCENTS else text
            sound = trimmed(say(speaker, written, rng))
        except Exception as error:
            print(f"{speaker}: {text!r} was not spoken ({error})", file=sys.stderr)
            continue
        if 0.15 * RATE < len(sound) < LONGEST * RATE:
            entry = {"kind": kind, "words": text, "who": speaker, "length": len(sound)}
            found.append((entry, _packed(sound)))
    return found


def _packed(sound: Sound) -> bytes:
    return np.asarray(np.clip(sound, -1, 1) * 32767, np.int16).tobytes()


def synthetic(lines: list[str], seconds: float, workers: int) -> Iterator[tuple[Entry, bytes]]:
    """The lines, spoken, as many as can be in so many seconds."""
    until, chunk = time.time() + seconds, 24
    slots = sorted(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else [0]
    with ProcessPoolExecutor(workers, initializer=_alone, initargs=(slots,)) as pool:
        jobs = [pool.submit(_spoken, lines[at : at + chunk], at, until) for at in range(0, len(lines), chunk)]
        for job in as_completed(jobs):
            yield from job.result()


@dataclass
class Person:
    """Someone's digits: for each digit the takes, and those that made-up speakers say (by speaker, then digit)."""

    takes: list[list[Sound]] = field(default_factory=lambda: [[] for _ in range(10)])
    kept_back: list[list[Sound]] = field(default_factory=lambda: [[] for _ in range(10)])
    """Takes that are not trained on."""
    made_up: dict[int, list[list[Sound]]] = field(default_factory=dict)


def digit_takes(folders: Sequence[Path]) -> dict[str, Person]:
    """Each speaker's digits: from "digit_speaker_take.wav" and "digit_speaker_take-variant.wav", or "digits.opus".

    The judging speaker's are never read.
    """
    import soundfile

    people: dict[str, Person] = {}

    def add(digit: int, who: str, take: int, variant: int, sound: Sound, rate: int) -> None:
        person = people.setdefault(who, Person())
        if variant >= 0:
            chosen = person.made_up.setdefault(variant, [[] for _ in range(10)])
        else:
            chosen = person.takes if take < TRAINED_TAKES else person.kept_back
        chosen[digit].append(_doubled(sound, rate))

    for folder in folders:
        for packed in sorted(folder.glob("digits*.opus")):
            sound, rate = soundfile.read(packed, dtype="float32")
            for digit, who, take, variant, at, length in json.loads(packed.with_suffix(".json").read_text()):
                add(digit, who, take, variant, sound[at : at + length], rate)
        for path in sorted(folder.glob("[0-9]_*.wav")):
            found = re.fullmatch(r"(\d)_(\w)_(\d+)(?:-(\d+))?", path.stem)
            if found and found[2] != JUDGING_SPEAKER:
                sound, rate = soundfile.read(path, dtype="float32")
                add(int(found[1]), found[2], int(found[3]), int(found[4] or -1), sound, rate)
    return dict(sorted(people.items()))


def _doubled(sound: Sound, rate: int) -> Sound:
    import soxr

    return trimmed(np.asarray(sound if rate == RATE else soxr.resample(sound, rate, RATE), np.float32))


class _Joining:
    """Whose digits a worker joins: told once, since they are many."""

    people: ClassVar[dict[str, Person]] = {}

    @classmethod
    def know(cls, people: dict[str, Person]) -> None:
        cls.people = people


def _strings(count: int, seed: int) -> list[tuple[Entry, bytes]]:
    return list(joined(_Joining.people, count, seed, held_out=False))


def at_pace(sound: Sound, pace: float) -> Sound:
    """``sound`` said ``pace`` times as fast at the same pitch: pieces laid over each other where they fit best."""
    size, room = round(0.03 * RATE), round(0.008 * RATE)
    step = size // 2
    if len(sound) < 3 * size or abs(pace - 1) < 0.03:
        return sound
    window = np.hanning(size).astype(np.float32)
    out = np.zeros(int(len(sound) / pace) + 2 * size, np.float32)
    weight = np.full(len(out), 1e-3, np.float32)
    at = place = 0
    padded = np.concatenate([sound, np.zeros(size + room, np.float32)])
    while True:
        piece = padded[at : at + size]
        if len(piece) < size or place + size > len(out):
            break
        out[place : place + size] += piece * window
        weight[place : place + size] += window
        place += step
        wanted = round(place * pace)
        if wanted + size + room > len(padded):
            break
        following = padded[at + step : at + step + size]
        low = max(0, wanted - room)
        around = padded[low : wanted + room + size]
        at = low + int(np.argmax(np.correlate(around, following, "valid")))
    return np.asarray(out[:place] / weight[:place], np.float32)


def cut_short(sound: Sound, seconds: float) -> Sound:
    """``sound`` without so much of its beginning, faded in over 5 ms."""
    rest, fade = sound[round(seconds * RATE) :].copy(), round(0.005 * RATE)
    rest[:fade] *= np.linspace(0, 1, len(rest[:fade]), dtype=np.float32)
    return rest


def joined(people: dict[str, Person], count: int, seed: int, *, held_out: bool) -> Iterator[tuple[Entry, bytes]]:
    """Strings of one to five digits, each by one speaker or one made of him."""
    rng = random.Random(seed)
    names = [who for who, person in people.items() if not held_out or any(person.kept_back)]
    # Whose takes are many is heard more often.
    weights = [1.0 if any(people[who].kept_back) else 0.5 for who in names]
    for number in range(count):
        who = names[number % len(names)] if held_out else rng.choices(names, weights)[0]
        person = people[who]
        takes = person.kept_back if held_out else person.takes
        share = MADE_UP if any(person.kept_back) else MADE_UP_OF_FEW
        if not held_out and person.made_up and rng.random() < share:
            takes = person.made_up[rng.choice(list(person.made_up))]
        has = [digit for digit in range(10) if takes[digit]]
        said = [rng.choice(has) for _ in range(rng.choice((1, 2, 2, 3, 3, 3, 4, 4, 5)))]
        pace = 1.0 if held_out or rng.random() < 0.5 else rng.uniform(0.78, 1.3)
        # Some say them in one breath, some hesitate.
        longest = 0.18 if held_out else rng.choice((0.02, 0.1, 0.18, 0.18, 0.35))
        whole = np.zeros(0, np.float32)
        for digit in said:
            sound = at_pace(rng.choice(takes[digit]), pace) * rng.uniform(0.6, 1.0)
            if not held_out and rng.random() < CUT_SHORT:
                sound = cut_short(sound, rng.uniform(0.01, 0.06))
            pause = round(RATE * rng.uniform(0.0 if held_out else -0.04, longest)) if len(whole) else 0
            start = max(0, len(whole) + pause)
            longer = np.zeros(max(len(whole), start + len(sound)), np.float32)
            longer[: len(whole)] = whole
            longer[start : start + len(sound)] += sound
            whole = longer
        words = " ".join(DIGITS[digit] for digit in said)
        if len(whole) < LONGEST * RATE:
            yield {"kind": "digits", "words": words, "who": who, "length": len(whole)}, _packed(whole)


def further(folder: Path) -> Iterator[tuple[Entry, bytes]]:
    """Sounds that were spoken beforehand: "figures*.opus" or ".flac" with the words, where each lies, and its kind."""
    import soundfile

    for packed in sorted(path for ending in ("opus", "flac") for path in folder.glob(f"figures*.{ending}")):
        sound, rate = soundfile.read(packed, dtype="float32")
        for kind, who, words, at, length in json.loads(packed.with_suffix(".json").read_text()):
            one = _doubled(sound[at : at + length], rate)
            if 0.15 * RATE < len(one) < LONGEST * RATE:
                yield {"kind": kind, "words": words, "who": who, "length": len(one)}, _packed(one)


def clips(folder: Path) -> Iterator[tuple[int, Sound]]:
    """People's talk below clip 3000: from "0000.ogg" on, or packed in "people.opus"."""
    import soundfile

    packed = folder / "people.opus"
    if packed.is_file():
        sound, _ = soundfile.read(packed, dtype="float32")
        for number, (at, length) in enumerate(json.loads((folder / "people.json").read_text())):
            yield number, trimmed(sound[at : at + length])
        return
    for number in range(3000):
        yield number, trimmed(soundfile.read(folder / f"{number:04}.ogg", dtype="float32")[0])


def noise_pieces(count: int, seed: int) -> np.ndarray[Any, np.dtype[np.int16]]:
    """Noises of a bench, pieces of ``NOISE_SECONDS`` at one level."""
    from tests.tools.recordings import noises

    pieces = []
    kinds = (
        ("pink", 30), ("hum", 16), ("compressor", 9), ("air_line", 8), ("hammering", 10), ("clicks", 8),
        ("dropped_tool", 4), ("humming", 3), ("whistling", 3),
    )  # fmt: skip
    rng = np.random.default_rng(seed)
    names = rng.choice([name for name, _ in kinds], count, p=[share / sum(s for _, s in kinds) for _, share in kinds])
    for name in names:
        if name == "pink":
            sound = noises.pink(rng, NOISE_SECONDS, float(rng.uniform(0, 2)))
        elif name == "hum":
            sound = noises.hum(
                rng, NOISE_SECONDS, float(rng.choice((50, 60, 100, 100, 100, 120, rng.uniform(40, 400))))
            )
        else:
            sound = getattr(noises, name)(rng, NOISE_SECONDS)
        pieces.append(np.asarray(np.clip(sound * 0.8, -1, 1) * 32767, np.int16))
    return np.stack(pieces)


def _noises(job: tuple[int, int]) -> np.ndarray[Any, np.dtype[np.int16]]:
    return noise_pieces(*job)


def make(arguments: argparse.Namespace) -> None:
    """Makes everything and writes it."""
    began = time.time()
    folder: Path = arguments.out
    folder.mkdir(parents=True, exist_ok=True)
    entries: list[Entry] = []
    place = 0
    with (folder / "sounds.raw").open("wb") as out:

        def add(entry: Entry, packed: bytes, *, held_out: bool = False) -> None:
            nonlocal place
            entries.append({**entry, "start": place, "held_out": held_out})
            place += entry["length"]
            out.write(packed)

        people = digit_takes(arguments.digits)
        print(f"{time.time() - began:.0f} s: digits of {' '.join(people)} read", flush=True)
        count, part = arguments.strings, -(-arguments.strings // (4 * arguments.workers))
        with ProcessPoolExecutor(arguments.workers, initializer=_Joining.know, initargs=(people,)) as pool:
            jobs = [pool.submit(_strings, part, seed) for seed in range(1, 1 + count // part)]
            for job in jobs:
                for entry, packed in job.result():
                    add(entry, packed)
        for entry, packed in joined(people, max(30, count // 30), 2, held_out=True):
            add(entry, packed, held_out=True)
        for folder_of_more in arguments.digits:
            for number, (entry, packed) in enumerate(further(folder_of_more)):
                add(entry, packed, held_out=number % 70 == 69)
        for number, sound in clips(arguments.people):
            if 0.2 * RATE < len(sound) < LONGEST * RATE and (arguments.strings > 1000 or number % 30 == 0):
                entry = {"kind": "people", "words": "", "who": str(number), "length": len(sound)}
                add(entry, _packed(sound), held_out=number >= TRAINED_CLIPS)
        print(f"{len(entries)} sounds of people, {time.time() - began:.0f} s", flush=True)
        lines = arguments.phrases.read_text(encoding="utf-8").splitlines()[: arguments.lines]
        spoken = 0
        for entry, packed in synthetic(lines, arguments.seconds, arguments.workers):
            spoken += 1
            add(entry, packed, held_out=spoken % 100 == 0)
        print(f"{spoken} spoken by synthetic voices, {time.time() - began:.0f} s", flush=True)
        for seconds in np.linspace(0.3, 4.0, max(6, len(entries) // 60)):
            length = int(seconds * RATE)
            add({"kind": "none", "words": "", "who": "", "length": length}, bytes(2 * length))
    with ProcessPoolExecutor(arguments.workers) as pool:
        jobs = [(max(1, arguments.noises // arguments.workers), 100 + n) for n in range(arguments.workers)]
        np.save(folder / "noises.npy", np.concatenate(list(pool.map(_noises, jobs))))
    (folder / "index.json").write_text(json.dumps(entries), encoding="utf-8")
    print(f"{place / RATE / 3600:.1f} hours of sound, made in {time.time() - began:.0f} s", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.material", description=__doc__)
    parser.add_argument(
        "--digits", type=Path, nargs="+", required=True, help="folders of people's digits, or of digits*.opus"
    )
    parser.add_argument("--people", type=Path, required=True, help="folder of people's talk, or of people.opus")
    parser.add_argument("--phrases", type=Path, required=True, help="what is said, as ``phrases`` writes it")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--lines", type=int, default=10**9, help="of the phrases, at most so many")
    parser.add_argument("--seconds", type=float, default=3600.0, help="for the synthetic voices")
    parser.add_argument("--strings", type=int, default=30_000, help="of joined digits")
    parser.add_argument("--noises", type=int, default=640, help="pieces of noise")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    make(parser.parse_args())


if __name__ == "__main__":
    main()
