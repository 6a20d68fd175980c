"""Made-up speakers of a neural voice: ``python -m tests.tools.ear_training.neural_speakers --help``.

Each utterance is by a speaker of its own: one of the voice's (of nine tongues, all speaking English here), or several
mixed, with another pitch, range of pitch, pace and rhythm; four in ten of the figures, and a third of the other
phrases, with an accent. Some say digits one by one, as people do who dictate; these are joined. Written as
"figures-neural-N.flac" with a table beside it, which ``material`` takes up.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import torch

from .casting import DIGITS, WHO, Speaker, anybody, digit_sounds, figure, with_accent
from .neural_voice import LONGEST, RATE, NeuralVoice, loaded, styles, vocabulary

Sound = np.ndarray[Any, np.dtype[np.float32]]
HEARD = 16_000
SHORTEST_SECONDS, LONGEST_SECONDS = 0.15, 6.5

ENDS = (".", ".", "?", "", ",", "!")
IN_TAKES, IN_FIGURES = 0.045, 0.5
"""Shares of what is begun: digits one by one (five strings each), and, up to this, figures in one breath."""


class Studio:
    """The voice, its speakers, and what they read."""

    def __init__(self, folder: Path, device: str, seed: int) -> None:
        self.rng = random.Random(f"neural {seed}")
        torch.manual_seed(seed)
        self.device, self.numbers, self.known = device, vocabulary(), styles(folder)
        self.names = sorted(self.known)
        self.middle = np.mean([self.known[name] for name in self.names if name[0] in "ab"], 0)
        self.voice: NeuralVoice = loaded(device)

    def said(self, phonemes: str, speaker: Speaker, floor: float = 0.004) -> Sound | None:
        """At 16 kHz without the quiet at its ends; None where nothing came of it."""
        import soxr

        numbers = [self.numbers[each] for each in phonemes if each in self.numbers]
        if not 1 <= len(numbers) < LONGEST:
            return None
        style = speaker.style(self.known, self.middle, len(numbers) - 1)
        sound = self.voice.speak(
            torch.tensor([[0, *numbers, 0]], device=self.device),
            torch.from_numpy(style)[None].to(self.device),
            speed=speaker.pace,
            pitch=speaker.pitch,
            spread=speaker.spread,
            lengths=torch.exp(torch.randn(1, len(numbers) + 2) * 0.1).to(self.device),
        )
        heard = np.asarray(soxr.resample(sound.float().cpu().numpy(), RATE, HEARD), np.float32)
        loudest = float(np.abs(heard).max(initial=0.0))
        if not np.isfinite(heard).all() or loudest < 0.02:
            return None
        heard = heard * (0.5 / loudest)
        loud = np.flatnonzero(np.abs(heard) > floor)
        return heard[max(0, loud[0] - 400) : loud[-1] + 400]

    def one_by_one(self) -> Iterator[tuple[str, Sound]]:
        """Digits said alone by one speaker, joined to strings as others are joined of people's takes."""
        rng, sounds, speaker = self.rng, digit_sounds(self.rng), anybody(self.names, self.rng)
        floor = rng.choice((0.004, 0.01, 0.03, 0.05))
        takes = {word: self.said(sounds[word] + rng.choice(ENDS), speaker, floor) for word in DIGITS}
        has = [word for word, take in takes.items() if take is not None]
        for _ in range(5 if len(has) > 5 else 0):
            words = [rng.choice(has) for _ in range(rng.choice((1, 2, 2, 3, 3, 3, 4, 4, 5)))]
            longest, parts = rng.choice((0.06, 0.12, 0.18, 0.3)), []
            for word in words:
                parts += [takes[word] * rng.uniform(0.6, 1), np.zeros(round(HEARD * rng.uniform(0.02, longest)))]
            yield " ".join(words), np.asarray(np.concatenate(parts[:-1]), np.float32)

    def in_one_breath(self) -> tuple[str, Sound | None]:
        rng, words = self.rng, figure(self.rng)
        sounds, between = digit_sounds(rng), rng.choices((" ", ", "), (0.7, 0.3))[0]
        phonemes = between.join(sounds[word] for word in words) + rng.choice(ENDS)
        return " ".join(words), self.said(phonemes, anybody(self.names, rng))

    def reads(self, text: str, kind: str, spellers: tuple[Any, Any]) -> Sound | None:
        """``spellers`` are the American and the British way from letters to phonemes."""
        rng = self.rng
        plain = re.sub(r"\bthou\b", "thow", re.sub(r"\bread back\b", "reed back", text))
        phonemes = rng.choice(spellers)(plain).strip()
        if kind != "general" and rng.random() < 0.3:
            phonemes = with_accent(phonemes, rng)
        return self.said(phonemes + rng.choice(ENDS), anybody(self.names, rng))


def work(number: int, arguments: argparse.Namespace) -> int:
    """What one worker speaks until the time is over; how many sounds that was."""
    import soundfile
    from hibari.g2p import G2P

    until = time.time() + arguments.seconds
    lines = arguments.phrases.read_text(encoding="utf-8").splitlines()
    random.Random(5).shuffle(lines)
    texts = iter(line.split("\t") for line in lines[number :: arguments.workers] if not line.startswith("figures"))
    studio = Studio(arguments.styles, arguments.device, number)
    spellers = G2P(british=False), G2P(british=True)
    sounds: list[Sound] = []
    table: list[tuple[str, str, str, int, int]] = []
    place = 0

    def keep(kind: str, words: str, sound: Sound | None) -> None:
        nonlocal place
        if sound is not None and SHORTEST_SECONDS * HEARD < len(sound) < LONGEST_SECONDS * HEARD:
            table.append((kind, WHO, words, place, len(sound)))
            sounds.append(sound)
            place += len(sound)

    while time.time() < until:
        drawn = studio.rng.random()
        following = next(texts, None) if drawn >= IN_FIGURES else None
        if drawn < IN_TAKES:
            for words, sound in studio.one_by_one():
                keep("figures", words, sound)
        elif following is None:
            keep("figures", *studio.in_one_breath())
        else:
            kind, text = following
            keep(kind, text, studio.reads(text, kind, spellers))
    whole = np.concatenate(sounds) if sounds else np.zeros(0, np.float32)
    soundfile.write(arguments.out / f"figures-neural-{number}.flac", np.clip(whole, -1, 1), HEARD)
    (arguments.out / f"figures-neural-{number}.json").write_text(json.dumps(table), encoding="utf-8")
    return len(table)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.neural_speakers", description=__doc__)
    parser.add_argument("--phrases", type=Path, required=True, help="lines as ``phrases`` writes them")
    parser.add_argument("--styles", type=Path, required=True, help="the folder voices of the npm package kokoro-js")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seconds", type=float, default=190.0)
    parser.add_argument("--workers", type=int, default=10 if torch.cuda.is_available() else os.cpu_count() or 1)
    parser.add_argument("--device", default="cuda" if torch.cuda.is_available() else "cpu")
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(arguments.workers) as pool:
        counts = list(pool.map(work, range(arguments.workers), [arguments] * arguments.workers))
    print(f"{sum(counts)} sounds by made-up speakers of a neural voice")


if __name__ == "__main__":
    main()
