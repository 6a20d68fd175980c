"""Sound for trying the recognisers: voices that are installed here, noise, and talk that is no command."""

from __future__ import annotations

import csv
import importlib.util
import random
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np

from handsfree.audio.errors import SoundError
from handsfree.audio.files import load_recording
from handsfree.audio.noise import pink
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.listening.denoise import loud_level
from handsfree.phrases.language import Language
from tests.support.places import FIXTURES

Sound = np.ndarray
CALIBRATION = ("flite rms", "flite awb", "flite kal16", "espeak-ng en-us", "espeak-ng en-gb")
JUDGEMENT = ("flite slt", "festival ked", "espeak-ng en-gb-scotland", "espeak-ng en-us+f3")
"""Voices that limits are derived from, and others that judge them."""
RECORDINGS = FIXTURES / "table.csv"
CALIBRATION_READING = ("two_cities.wav",)
JUDGEMENT_READING = ("beckett.wav", "endgame_nagg_nell.wav", "clone-test.wav")
DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
TEENS = ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")

CHARACTERISTICS = {
    name: name
    for name in ("end play", "backlash", "runout", "bore", "depth", "free play", "spring length", "shaft diameter")
}
"""Names that are spoken in the calibration."""

RECORDED_CHARACTERISTICS = {
    "clearance": "gib clearance",
    "gib clearance": "gib clearance",
    "stop clearance": "stop clearance",
    "stop gap": "stop clearance",
    "slide travel": "slide travel",
    "travel": "slide travel",
    "play": "end play",
}
"""Further names that are spoken in the recordings."""

CALIBRATION_TALK = (
    "I think the next one is a little larger than it was before",
    "could you pass me the small screwdriver please",
    "he said he would be back at four or five o'clock",
    "that is what she told me on the telephone yesterday",
    "we had about twenty people in the shop that afternoon",
    "the radio says it is going to rain again tomorrow",
    "where did I put the tweezers",
    "one of these days I will buy a better lamp",
    "no I don't think so, ask him again next week",
    "and now the news at six",
    "my brother paid two hundred and fifty for it",
    "well, that should do it I suppose",
    "hello, are you still open",
    "come in and have a seat",
    "it has been in the family for sixty years",
)
JUDGEMENT_TALK = (
    "you can collect it on Thursday after three",
    "the kettle is on if you would like some tea",
    "I never saw one with seven teeth before",
    "she left the door open and the cat got out",
    "they want thirty pounds for a new belt",
    "what a lovely morning it is",
    "let me have a look at it under the glass",
    "it was nearly ten minutes late",
    "who was that on the phone just now",
    "nobody makes these any more you know",
    "turn the music down a bit will you",
    "is that the one with the cracked dial",
    "half of them were missing when it came in",
    "all right, thank you, goodbye",
    "the train leaves at eight fifteen",
)


def figure(rng: random.Random) -> str:
    """A figure as it is said at a bench."""

    def small() -> str:
        kind = rng.random()
        if kind < 0.35:
            return rng.choice(DIGITS[1:])
        if kind < 0.6:
            return rng.choice(TEENS)
        return rng.choice(TENS) + ("" if rng.random() < 0.4 else " " + rng.choice(DIGITS[1:]))

    def digits(count: int) -> str:
        return " ".join(rng.choice(DIGITS if rng.random() < 0.7 else ("oh",)) for _ in range(count))

    kind = rng.random()
    if kind < 0.3:
        whole = rng.choice(("", "nought ", "zero ", small() + " "))
        return f"{whole}point {digits(rng.choice((1, 2, 2, 3)))}{rng.choice(('', ' millimetres', ' volts', ' grams'))}"
    if kind < 0.5:
        return small() + rng.choice((" thou", "", " and a half thou", " degrees", " minutes"))
    if kind < 0.7:
        return small() + rng.choice((" microns", " millimetres", " grams", " seconds", " volts"))
    if kind < 0.85:
        return f"{rng.choice(DIGITS[1:])} hundred{rng.choice(('', ' and ' + small()))} {rng.choice(('microns', 'rpm'))}"
    return f"{rng.choice(('one', 'two', 'three'))} and a {rng.choice(('half', 'quarter'))} turns"


def command(language: Language, rng: random.Random) -> tuple[str, ...]:
    """A command of the language, every second one with a figure."""
    names = list(CHARACTERISTICS)
    while True:
        if rng.random() < 0.5:
            words = language.sample(rng)
        else:
            opening = rng.choice(
                ("", "", "log ", f"log {rng.choice(names)} ", f"{rng.choice(names)} is ", "make that ")
            )
            words = tuple((opening + figure(rng)).split())
        if len(words) < 12 and language.interpret(words):
            return words


@cache
def voices() -> dict[str, Callable[[str], Sound]]:
    """Voices by name, of the speech programs flite, festival and espeak-ng: those that are installed and speak."""
    found: dict[str, Callable[[str], Sound]] = {}
    if shutil.which("flite"):
        # A voice that it lacks it speaks with another.
        listed = subprocess.run(["flite", "-lv"], check=False, capture_output=True, text=True).stdout.split()
        for name in filter(listed.__contains__, ("slt", "awb", "rms", "kal16")):
            found[f"flite {name}"] = _program(lambda text, out, n=name: ["flite", "-voice", n, "-t", text, "-o", out])
    if shutil.which("text2wave"):
        found["festival ked"] = _program(
            lambda text, out: ["text2wave", "-eval", "(voice_ked_diphone)", "-o", out], typed=True
        )
    if shutil.which("espeak-ng"):
        for name in ("en-us", "en-gb", "en-gb-scotland", "en-us+f3"):
            found[f"espeak-ng {name}"] = _program(
                lambda text, out, n=name: ["espeak-ng", "-v", n, "-s", "150", "-w", out, text]
            )
    return {name: say for name, say in found.items() if _speaks(say)}


def _speaks(say: Callable[[str], Sound]) -> bool:
    """A program may be there without each of its voices; some then fail, others say nothing."""
    try:
        return len(say("one")) > 0
    except (subprocess.CalledProcessError, SoundError):
        return False


def _program(arguments: Callable[[str, str], list[str]], *, typed: bool = False) -> Callable[[str], Sound]:
    """A voice from a program's arguments for a text and a file; ``typed``: the text goes to its standard input."""

    def say(text: str) -> Sound:
        with tempfile.TemporaryDirectory() as folder:
            out = str(Path(folder) / "said.wav")
            given = text.encode() if typed else None
            subprocess.run(arguments(text, out), check=True, capture_output=True, input=given)
            return load_recording(out)

    return say


def digit_strings(folder: Path, speaker: str, count: int, first: int = 0) -> Iterator[tuple[Sound, tuple[str, ...]]]:
    """Digits of one speaker ("digit_speaker_take.wav"), takes from ``first`` on, joined to strings of two to four,
    with what they say.
    """
    rng = random.Random(speaker)
    takes = {
        digit: [
            each for each in sorted(folder.glob(f"{digit}_{speaker}_*.wav")) if int(each.stem.split("_")[2]) >= first
        ]
        for digit in range(10)
    }
    for _ in range(count):
        said = [rng.randrange(10) for _ in range(rng.choice((2, 3, 3, 4)))]
        parts: list[Sound] = []
        for digit in said:
            sound = load_recording(rng.choice(takes[digit]))
            pause = np.zeros(int(SAMPLE_RATE * rng.uniform(0.03, 0.12)), np.float32)
            parts += [sound / max(float(np.abs(sound).max()), 1e-6) * 0.3, pause]
        yield np.concatenate(parts[:-1]), tuple(DIGITS[digit] for digit in said)


def recordings(table: Path, part: str) -> Iterator[tuple[str, str, Sound, tuple[str, ...]]]:
    """Voice, noise, sound and words of the table's recordings of one set ("tune", "judge"); no words: no command."""
    with table.open(newline="", encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            if row["set"] == part and (table.parent / row["file"]).is_file():
                words = tuple(row["words"].replace("-", " ").split()) if row["meaning"] else ()
                yield row["voice"], row["noise"], load_recording(table.parent / row["file"]), words


def reading(*names: str) -> list[Sound]:
    """People reading aloud: recordings that come with the package of the built-in model."""
    spec = importlib.util.find_spec("moonshine_voice")
    places = list(spec.submodule_search_locations or ()) if spec else []
    paths = [Path(place) / "assets" / name for place in places for name in names]
    return [load_recording(path) for path in paths if path.is_file()]


def in_room(sound: Sound, rng: np.random.Generator, decibels: float | None = None) -> Sound:
    """``sound`` at a usual level, 0.6 s of room before and after it, in pink noise ``decibels`` below it if given."""
    sound = sound / max(float(np.abs(sound).max()), 1e-9) * 0.3
    silence = np.zeros(round(0.6 * SAMPLE_RATE))
    room = np.concatenate([silence, sound, silence])
    room = room + rng.standard_normal(len(room)) * 3e-4
    if decibels is not None:
        room = room + pink(len(room), rng) * loud_level(sound.astype(np.float32)) / 10 ** (decibels / 20)
    return room.astype(np.float32)
