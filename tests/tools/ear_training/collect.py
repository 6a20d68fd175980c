"""What several encoders make of the same sounds: ``python -m tests.tools.ear_training.collect --help``.

Writes a line for every sound and encoder: what was said, and everything that the decision is made from. With
``--judge`` the sounds are those that judge, else those from which thresholds are derived: other voices, speakers' takes
and clips in each, and of the people only what the training has left out. Nothing is decided here; see ``choose``.
"""

from __future__ import annotations

import argparse
import gzip
import json
import os
import random
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from handsfree.audio.files import load_recording
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.builtin.model_files import ModelFiles, find_model_files
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.listening.denoise import cleaned
from handsfree.hearing.listening.endpoints import EndpointSettings, segments
from handsfree.hearing.listening.voice_activity import SileroDetector
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import RecognitionResult
from tests.benchmarks.conditions import NOISES, STYLES
from tests.benchmarks.disturbances import disturbances
from tests.support import hearing_sounds as sounds

from .material import TRAINED_CLIPS, TRAINED_TAKES

ONE_UTTERANCE = EndpointSettings(closing_silence=1.0)
Sound = np.ndarray[Any, np.dtype[np.floating[Any]]]


@dataclass
class Job:
    """Sounds to be made and heard. ``said`` is empty where there is no command."""

    kind: str
    voice: str
    said: tuple[str, ...]
    number: int
    sound: Sound | None = field(default=None, repr=False)
    spoken: str = ""
    """A voice that says the words, in place of ``sound``."""
    conditions: tuple[str, ...] = ()
    """None: the sound is heard as it is."""
    part: str = "clean"
    """Its condition, where it is heard as it is."""


def language() -> Language:
    names = {**sounds.CHARACTERISTICS, **sounds.RECORDED_CHARACTERISTICS}
    return Language(Vocabulary(characteristics=names, timers=("bath",)))


def jobs(
    judging: bool, digits: Path, people: Path, *, strings: int, commands: int, hours: float, further: Path | None = None
) -> Iterator[Job]:
    """Everything that is heard. ``further`` holds digits of people who say each a few times."""
    spoken, everywhere = language(), (*NOISES, *STYLES)
    for name in sounds.JUDGEMENT if judging else sounds.CALIBRATION:
        rng = random.Random(f"{name} collected")
        # "kal" is the one that the training has not heard.
        count = commands if judging or name == "flite kal16" else commands // 3
        for number in range(count):
            words = sounds.command(spoken, rng)
            yield Job(
                "commands",
                name,
                words,
                number,
                spoken=name,
                conditions=everywhere if number % 3 == 0 else tuple(NOISES),
            )
    yield from _strings(judging, digits, further, strings)
    part = "judge" if judging else "tune"
    for number, (voice, noise, sound, words) in enumerate(sounds.recordings(sounds.RECORDINGS, part)):
        if words and not spoken.interpret(words):
            continue
        everywhere = ("pink 20 dB", "pink 10 dB", "hum 10 dB") if words and noise == "clean" else ()
        yield Job("recorded" if words else "recorded talk", voice, words, number, sound, part=noise)
        if everywhere and number % 2 == 0:
            yield Job("recorded", voice, words, number, sound, conditions=everywhere)
    for number in range(3000, 3559) if judging else range(TRAINED_CLIPS, 3000):
        path = people / f"{number:04}.ogg"
        if path.is_file():
            room = sounds.in_room(load_recording(path), np.random.default_rng(number))
            yield Job("people", path.stem, (), number, room)
    readings = sounds.JUDGEMENT_READING if judging else sounds.CALIBRATION_READING
    voices = ("flite slt", "festival ked", "espeak-ng en-gb-scotland") if judging else sounds.CALIBRATION
    texts = sounds.JUDGEMENT_TALK if judging else sounds.CALIBRATION_TALK
    for number, (kind, sound) in enumerate(disturbances(hours, readings, voices, texts)):
        yield Job("disturbance", kind, (), number, sound)


def _strings(judging: bool, digits: Path, further: Path | None, count: int) -> Iterator[Job]:
    """Joined digits; half as many of those who say a digit once."""
    first = 0 if judging else TRAINED_TAKES
    them = [(digits, who, count, first) for who in ("d" if judging else "abc")]
    if further and not judging:
        them += [
            (further, who, count // 2, 0)
            for who in sorted({path.stem.split("_")[1] for path in further.glob("?_?_*.wav")})
        ]
    for folder, who, many, since in them:
        for number, (sound, words) in enumerate(joined(folder, who, many, since)):
            yield Job("digits", who, words, number, sound, conditions=tuple(NOISES))


def joined(folder: Path, who: str, count: int, first: int) -> Iterator[tuple[Sound, tuple[str, ...]]]:
    """Digits of one speaker, takes from ``first`` on, joined to strings of two to four."""
    rng = random.Random(f"{who} {first}")
    has = {
        digit: [take for take in range(first, 50) if (folder / f"{digit}_{who}_{take}.wav").is_file()]
        for digit in range(10)
    }
    known = [digit for digit in has if has[digit]]
    for _ in range(count):
        said = [rng.choice(known) for _ in range(rng.choice((2, 3, 3, 4)))]
        parts: list[Sound] = []
        for digit in said:
            sound = load_recording(folder / f"{digit}_{who}_{rng.choice(has[digit])}.wav")
            pause = np.zeros(int(SAMPLE_RATE * rng.uniform(0.03, 0.12)), np.float32)
            parts += [sound / max(float(np.abs(sound).max()), 1e-6) * 0.3, pause]
        yield np.concatenate(parts[:-1]), tuple(sounds.DIGITS[digit] for digit in said)


class _Hearers:
    """The encoders, each with the grammar; one set for every process."""

    found: _Hearers

    def __init__(self, encoders: dict[str, str]) -> None:
        self.language = language()
        packaged = find_model_files(trained=False)
        self.detector = SileroDetector()
        self.voices = sounds.voices()
        self.recognisers: dict[str, BuiltinRecogniser] = {}
        for name, path in encoders.items():
            files = ModelFiles(Path(path) if path else packaged.encoder, packaged.decoder, packaged.tokenizer)
            self.recognisers[name] = BuiltinRecogniser(files)
            self.recognisers[name].set_grammar(self.language.automaton)

    def hear(self, job: Job) -> list[str]:
        dry = job.sound if job.sound is not None else self.voices[job.spoken](" ".join(job.said))
        every = {**NOISES, **STYLES}
        heard = [
            (name, every[name](np.asarray(dry), np.random.default_rng(job.number))) for name in job.conditions
        ] or [(job.part, dry)]
        lines = []
        for condition, sound in heard:
            found = segments(np.asarray(sound, np.float32), ONE_UTTERANCE, self.detector)
            clean = [cleaned(each) for each in found if not each.part]
            for name, recogniser in self.recognisers.items():
                began = time.perf_counter()
                results = [recogniser.recognise(each, self.language.meaning) for each in clean]
                record = {
                    "ear": name, "kind": job.kind, "voice": job.voice, "condition": condition,
                    "said": " ".join(job.said), "number": job.number, "seconds": sum(map(len, clean)) / SAMPLE_RATE,
                    "took": time.perf_counter() - began, "heard": [_numbers(each) for each in results],
                }  # fmt: skip
                lines.append(json.dumps(record))
        return lines


def _numbers(heard: RecognitionResult) -> dict[str, Any]:
    return {
        "alternatives": [(" ".join(each.words), round(each.score, 3)) for each in heard.alternatives[:4]],
        "text": heard.free_text,
        "gap": heard.gap,
        "margin": heard.margin,
        "log_odds": heard.log_odds,
    }


def _open(encoders: dict[str, str]) -> None:
    _Hearers.found = _Hearers(encoders)


def _hear(several: list[Job]) -> list[str]:
    lines = []
    for job in several:
        try:
            lines += _Hearers.found.hear(job)
        except Exception as error:
            print(f"{job}: {error!r}", flush=True)
    return lines


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.collect", description=__doc__)
    parser.add_argument("encoders", nargs="+", help="name=file of an encoder; name= for the packaged one")
    parser.add_argument("--further", type=Path, help="further people's digits, as ``further_people`` writes them")
    parser.add_argument("--judge", action="store_true")
    parser.add_argument("--every", type=int, default=1, help="hear every so-manieth sound only")
    parser.add_argument("--digits", type=Path, required=True)
    parser.add_argument("--people", type=Path, required=True)
    parser.add_argument("--strings", type=int, default=150, help="of digits, for each speaker")
    parser.add_argument("--commands", type=int, default=120, help="made on the spot, for each voice")
    parser.add_argument("--hours", type=float, default=1.0, help="of sound without commands")
    parser.add_argument("--seconds", type=float, default=1e9, help="after which what is not begun is left")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    arguments = parser.parse_args()
    encoders = dict(each.split("=", 1) for each in arguments.encoders)
    began = time.time()
    every = list(
        jobs(
            arguments.judge,
            arguments.digits,
            arguments.people,
            strings=arguments.strings,
            commands=arguments.commands,
            hours=arguments.hours,
            further=arguments.further,
        )
    )
    random.Random(1).shuffle(every)
    every = every[:: arguments.every]
    print(f"{len(every)} jobs, {time.time() - began:.0f} s", flush=True)
    with (
        gzip.open(arguments.out, "wt", encoding="utf-8", compresslevel=5) as out,
        ProcessPoolExecutor(arguments.workers, initializer=_open, initargs=(encoders,)) as pool,
    ):
        waiting = [pool.submit(_hear, every[at : at + 4]) for at in range(0, len(every), 4)]
        for number, job in enumerate(as_completed(waiting)):
            if not job.cancelled():
                out.writelines(line + "\n" for line in job.result())
            if time.time() - began > arguments.seconds:
                for each in waiting:
                    each.cancel()
            if number % 100 == 0:
                out.flush()
                print(f"{number} of {len(waiting)}, {time.time() - began:.0f} s", flush=True)


if __name__ == "__main__":
    main()
