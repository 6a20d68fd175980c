"""Makes the material of the training: ``python -m tests.tools.ear_training.material --help``.

A folder is written: ``sounds.npy`` (all sounds one after another, 16 bits, 16 kHz), ``noises.npy`` (pieces of one
length) and ``index.json`` (for each sound its place, kind, words and who speaks). Kinds: "bench", "words", "general"
(see ``phrases``), "digits" (joined from people's takes), "people" (their short talk, words unknown), "none".
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path
from typing import Any

import numpy as np

from .speakers import RATE, Sound, draw, say

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TRAINED_TAKES = 42
"""Takes of each digit that are trained on; those from this number on choose between variants."""
TRAINED_CLIPS = 2700
"""Clips of people's talk that are trained on; those from this number to 2999 choose between variants."""
LONGEST = 6.5
"""Seconds; longer sounds are left out."""
NOISE_SECONDS = 8.0

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
            sound = trimmed(say(speaker, text, rng))
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


def digit_takes(folder: Path) -> dict[str, list[list[Sound]]]:
    """For each trained speaker, the takes of each digit: from "digit_speaker_take.wav", or the packed "digits.npz"."""
    import soundfile

    packed = folder / "digits.opus"
    takes: dict[str, list[list[Sound]]] = {who: [[] for _ in range(10)] for who in "abc"}
    if packed.is_file():
        sound, rate = soundfile.read(packed, dtype="float32")
        for who, digit, _, at, length in json.loads((folder / "digits.json").read_text()):
            takes[who][digit].append(_doubled(sound[at : at + length], rate))
        return takes
    for who in "abc":
        for digit in range(10):
            for take in range(50):
                sound, rate = soundfile.read(folder / f"{digit}_{who}_{take}.wav", dtype="float32")
                takes[who][digit].append(_doubled(sound, rate))
    return takes


def _doubled(sound: Sound, rate: int) -> Sound:
    import soxr

    return trimmed(np.asarray(sound if rate == RATE else soxr.resample(sound, rate, RATE), np.float32))


def joined(takes: dict[str, list[list[Sound]]], count: int, seed: int, part: slice) -> Iterator[tuple[Entry, bytes]]:
    """Strings of one to five digits, each by one speaker, drawn from a part of the takes."""
    rng = random.Random(seed)
    for number in range(count):
        who = "abc"[number % 3]
        said = [rng.randrange(10) for _ in range(rng.choice((1, 2, 2, 3, 3, 3, 4, 4, 5)))]
        parts: list[Sound] = []
        for digit in said:
            sound = rng.choice(takes[who][digit][part])
            pause = np.zeros(int(RATE * rng.uniform(0.0, 0.18)), np.float32)
            parts += [sound * rng.uniform(0.6, 1.0), pause]
        whole = np.concatenate(parts[:-1])
        words = " ".join(DIGITS[digit] for digit in said)
        yield {"kind": "digits", "words": words, "who": who, "length": len(whole)}, _packed(whole)


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

        takes = digit_takes(arguments.digits)
        for entry, packed in joined(takes, arguments.strings, 1, slice(0, TRAINED_TAKES)):
            add(entry, packed)
        for entry, packed in joined(takes, max(30, arguments.strings // 30), 2, slice(TRAINED_TAKES, None)):
            add(entry, packed, held_out=True)
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
    parser.add_argument("--digits", type=Path, required=True, help="folder of people's digits, or of digits.opus")
    parser.add_argument("--people", type=Path, required=True, help="folder of people's talk, or of people.opus")
    parser.add_argument("--phrases", type=Path, required=True, help="what is said, as ``phrases`` writes it")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--lines", type=int, default=10**9, help="of the phrases, at most so many")
    parser.add_argument("--seconds", type=float, default=3600.0, help="for the synthetic voices")
    parser.add_argument("--strings", type=int, default=24_000, help="of joined digits")
    parser.add_argument("--noises", type=int, default=640, help="pieces of noise")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    make(parser.parse_args())


if __name__ == "__main__":
    main()
