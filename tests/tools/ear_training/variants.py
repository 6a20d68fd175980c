"""Made-up speakers out of few people: ``python -m tests.tools.ear_training.variants --help``.

Each person's digits are taken apart by a vocoder (WORLD, package ``pyworld``: pitch, envelope, breath) and put
together as by others: with a shorter or longer throat, formants moved beside each other, another pitch and range of
pitch, another pace, more or less breath, a brighter or duller voice. Written as "digit_speaker_take-variant.wav". Of
each digit a made-up speaker says some of the person's takes.
"""

from __future__ import annotations

import argparse
import os
import re
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from .material import TRAINED_TAKES
from .speakers import RATE, Sound, _resampled

MARKS = (0.0, 500.0, 1200.0, 1900.0, 2600.0, 3300.0, 4000.0, 8000.0)
"""Frequencies (Hz) whose places in the envelope are moved; the last two stay."""
FRAME = 5.0
"""Milliseconds from frame to frame."""
TAKES = 14
"""Takes of a digit, at most, that one made-up speaker says."""

Floats = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True)
class Throat:
    """How a made-up speaker differs from the person: factors, but for the tilt (dB for each kHz)."""

    formants: tuple[float, ...]
    """For each of ``MARKS``."""
    pitch: float
    range: float
    """Of the pitch, in the logarithm."""
    pace: float
    breath: float
    """Power of the aperiodicity: below 1 there is more breath."""
    tilt: float


def throat(rng: np.random.Generator) -> Throat:
    """One drawn at random."""
    length = float(np.exp(rng.uniform(np.log(0.82), np.log(1.22))))
    alone = np.clip(rng.normal(1.0, 0.05, len(MARKS)), 0.9, 1.1)
    return Throat(
        formants=tuple(float(each) for each in length * alone),
        # Who has a short throat mostly has a high voice.
        pitch=float(length ** rng.uniform(0, 2) * np.exp(rng.uniform(-0.25, 0.25))),
        range=float(rng.uniform(0.4, 1.7)),
        pace=float(rng.uniform(0.75, 1.3)),
        breath=float(rng.uniform(0.35, 1.2)),
        tilt=float(rng.uniform(-3.0, 2.5)),
    )


def sources(formants: tuple[float, ...], frequencies: Floats) -> Floats:
    """Where the envelope at each frequency is taken from (Hz)."""
    moved = np.array(MARKS) / np.array(formants)
    moved = np.maximum.accumulate(np.minimum(moved, MARKS[-2] - 50))
    moved[0], moved[-2:] = 0.0, MARKS[-2:]
    return np.asarray(np.interp(frequencies, MARKS, moved), np.float64)


class Spoken:
    """A sound taken apart."""

    def __init__(self, sound: Sound) -> None:
        import pyworld

        # The vocoder needs some quiet at the ends, and no exact silence.
        quiet = np.zeros(round(0.05 * RATE))
        wave = np.concatenate([quiet, np.asarray(sound, np.float64), quiet])
        wave += 1e-5 * np.random.default_rng(1).standard_normal(len(wave))
        rough, times = pyworld.dio(wave, RATE, frame_period=FRAME, f0_floor=60.0, f0_ceil=420.0)
        self.pitch: Floats = pyworld.stonemask(wave, rough, times, RATE)
        self.envelope: Floats = pyworld.cheaptrick(wave, self.pitch, times, RATE)
        self.breath: Floats = pyworld.d4c(wave, self.pitch, times, RATE)

    def said_by(self, other: Throat, rng: np.random.Generator) -> Sound:
        """The same, said with another throat."""
        import pyworld

        bins = self.envelope.shape[1]
        frequencies = np.linspace(0, RATE / 2, bins)
        places = sources(other.formants, frequencies) / (RATE / 2) * (bins - 1)
        below = np.minimum(places.astype(int), bins - 2)
        share = places - below
        logs = np.log(self.envelope)
        logs = logs[:, below] * (1 - share) + logs[:, below + 1] * share
        logs += other.tilt * np.minimum(frequencies, 4000) / 1000 * np.log(10) / 10
        breath = np.clip(self.breath, 1e-6, 1.0) ** other.breath
        voiced = self.pitch > 0
        pitch = self.pitch.copy()
        if voiced.any():
            tune = np.log(pitch[voiced])
            tune = tune.mean() + (tune - tune.mean()) * other.range
            pitch[voiced] = np.clip(np.exp(tune) * other.pitch * rng.uniform(0.95, 1.05), 55, 500)
        pace = other.pace * rng.uniform(0.9, 1.1)
        frames = np.minimum(np.arange(0, len(pitch), pace).round().astype(int), len(pitch) - 1)
        found = pyworld.synthesize(
            np.ascontiguousarray(pitch[frames]),
            np.ascontiguousarray(np.exp(logs[frames])),
            np.ascontiguousarray(breath[frames]),
            RATE,
            FRAME,
        )
        return np.asarray(found / max(float(np.abs(found).max()), 1e-6) * 0.5, np.float32)


def vary(folder: Path, who: str, digit: int, count: int, out: Path) -> int:
    """Writes what so many made-up speakers say of a person's digit; returns how many sounds."""
    others = [throat(np.random.default_rng([ord(who), number])) for number in range(count)]
    rng = np.random.default_rng([ord(who), digit])
    takes = sorted(
        int(found[1])
        for path in folder.glob(f"{digit}_{who}_*.wav")
        if (found := re.fullmatch(r"\d_\w_(\d+)", path.stem)) and int(found[1]) < TRAINED_TAKES
    )
    chosen = [set(rng.permutation(takes)[:TAKES].tolist()) for _ in others]
    written = 0
    for take in takes:
        sound, rate = soundfile.read(folder / f"{digit}_{who}_{take}.wav", dtype="float32")
        spoken = Spoken(_resampled(sound, rate))
        for number, other in enumerate(others):
            if take in chosen[number]:
                soundfile.write(out / f"{digit}_{who}_{take}-{number}.wav", spoken.said_by(other, rng), RATE)
                written += 1
    return written


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.variants", description=__doc__)
    parser.add_argument("--digits", type=Path, required=True, help='folder of "digit_speaker_take.wav"')
    parser.add_argument("--speakers", default="abc")
    parser.add_argument("--variants", type=int, default=12, help="made-up speakers of each person (default: 12)")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    arguments = parser.parse_args()
    out: Path = arguments.out
    out.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(arguments.workers) as pool:
        jobs = [
            pool.submit(vary, arguments.digits, who, digit, arguments.variants, out)
            for who in arguments.speakers
            for digit in range(10)
        ]
        print(f"{sum(job.result() for job in jobs)} sounds of made-up speakers", flush=True)


if __name__ == "__main__":
    main()
