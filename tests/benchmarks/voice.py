"""How well the voice is understood: ``python -m tests.benchmarks.voice [--voice NAME] [--conditions ...]``.

Two hundred sentences as the bench says them (figures with their verdict, steps, dangers, questions) are spoken, mixed
with noise, and read freely, without the grammar, by the built-in recogniser's network as its package came (Moonshine
tiny English). It is no person: what counts is the difference between two voices. Word errors are over the words as the
program writes them, with figures that were read in words; "thou" is written in many ways, and those of ``THOU`` count
as it. A figure is wrong where the figures that were read lack its number, or give it another unit.

Noise is as loud as the speech is while it speaks, less so many decibels. Also measured: seconds to the first sound of
an answer that was not prepared, seconds to load, memory. Same input, same table.
"""

from __future__ import annotations

import argparse
import random
import re
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.listening.denoise import loud_level
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import number_words, spoken
from handsfree.measure.units import UNITS
from handsfree.phrases.quantities.figures import ANY_FIGURE
from handsfree.phrases.quantities.numbers import NUMBER
from handsfree.phrases.typed_figures import words_of_typed
from handsfree.speaking.voice.presence import lifted
from handsfree.speaking.voice.settings import MOST_LIFT
from handsfree.speaking.voice.synthesis import Synthesiser
from handsfree.text.numerals import ungrouped
from handsfree.text.prose import sentence, sentences
from tests.benchmarks.conditions import hum
from tests.benchmarks.hearing import wilson
from tests.support import hearing_sounds

CONDITIONS = ("quiet", *(f"{kind} {decibels} dB" for kind in ("pink", "hum", "babble") for decibels in (10, 5, 0)))
THOU = (
    "hour",
    "hours",
    "how",
    "now",
    "though",
    "thow",
    "thao",
    "thau",
    "sow",
    "foul",
    "thousand",
    "thousandths",
    "vow",
    "thous",
    "thal",
)
"""What networks write for "thou" after a number, as seen with both voices."""
_WRITTEN = {
    "not": "nought", "knot": "nought", "naught": "nought", "note": "nought", "mill": "millimetres",
    "mils": "millimetres", "millimeters": "millimetres", "millimeter": "millimetre",
    "newtons": "newton", "centimeters": "centimetres", "centimeter": "centimetres",
}  # fmt: skip
"""Other spellings of what was said."""
_NUMBER = re.compile(r"(?<![\d./])(\d*)\.(\d+)(?![\d/])|(?<![\d./])\d+(?![\d/]|\.\d| \d+/)")
_SOUNDS_LIKE = {"for": "four", "to": "two", "too": "two", "ate": "eight", "won": "one"}
"""What sounds like a digit, after a digit."""
_DIGIT = re.compile(r"\d$|^(?:nought|point|one|two|three|four|five|six|seven|eight|nine)$")
_NUMERAL = re.compile(r"\d|^(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty|half|a)$")


@dataclass(frozen=True)
class Said:
    """A sentence as the bench gives it to the voice, and the figure in it."""

    text: str
    figure: Figure | None = None


def figures(rng: random.Random) -> Iterator[Figure]:
    """Figures as they are measured at a bench, for ever."""
    while True:
        unit = rng.choice(("thou", "thou", "thou", "mm", "mm", "mm", "micron", "degree", "N cm", "g", "V", "ohm", "s"))
        if unit == "thou":
            whole = rng.randint(1, 40)
            yield Figure(Fraction(whole), 0, unit) if rng.random() < 0.6 else Figure(whole + Fraction(1, 2), None, unit)
        elif unit == "mm":
            decimals = rng.choice((1, 2, 2, 3))
            yield Figure(Fraction(rng.randint(1, 3 * 10**decimals), 10**decimals), decimals, unit)
        elif unit in ("micron", "degree"):
            yield Figure(Fraction(rng.randint(2, 99)), 0, unit)
        else:
            yield Figure(Fraction(rng.randint(1, 400), 10), 1, unit)


def said(count: int = 200) -> list[Said]:
    """Sentences in the program's own words: six in ten read a figure back, the rest are acts, dangers and questions."""
    rng = random.Random(19)
    measured = figures(rng)
    # None that rhymes with a digit: "bore, eight" is "four, eight" to a network that does not know what is measured.
    names = (
        "end float",
        "gap, left",
        "backlash",
        "run-out",
        "gib clearance",
        "preload",
        "bearing",
        "side shake",
        "drag",
    )
    occasions = ("", "", ", as found", ", as left")
    verdicts = ("in limits", "in limits", "out of limits, two thou over", "undecided, too near the upper limit", "")
    acts = (
        "turn the ring until the marks meet", "slacken both lock screws a quarter of a turn", "fit the gib strip",
        "let the spring down slowly", "lay the three shims on tray two", "wipe the seat dry with a clean cloth",
        "tighten the screws evenly, crosswise", "lift the slide straight up", "oil the pivot, one small drop",
        "check that the lever moves freely", "degrease the rack and the pinion", "lock the nut with the thin spanner",
    )  # fmt: skip
    dangers = (
        "the spring is loaded: keep your face away", "the solvent burns: no flame near it", "the capacitor is charged",
        "the spindle turns: tie your sleeves back", "mains on the terminals", "the cup is hot",
    )  # fmt: skip
    questions = (
        "Not sure. Say it again.", "Accept it as it is?", "Is the left one meant?", "Skip step nine?",
        "No answer. Nothing written.", "Step four is not done. Go on?", "Finish the job?", "Say the figure again.",
    )  # fmt: skip
    made: list[Said] = []
    for number in range(count):
        if number % 10 < 6:
            figure = next(measured)
            back = f"{rng.choice(names)}{rng.choice(occasions)}, {spoken(figure)}"
            made.append(Said(sentences((back, rng.choice(verdicts))), figure))
        elif number % 10 < 8:
            made.append(Said(f"Step {rng.randint(1, 19)}. {sentence(rng.choice(acts))}"))
        elif number % 10 == 8:
            made.append(Said(f"Danger. {sentence(rng.choice(dangers))}"))
        else:
            made.append(Said(rng.choice(questions)))
    return made


def babble(length: int, rng: np.random.Generator) -> Samples:
    """Six voices that talk at once (the talk of the tests, by whatever voices the machine has), of unit power."""
    voices = list(hearing_sounds.voices().values())
    if not voices:
        synthesiser = Synthesiser(voice="espeak")
        voices = [lambda text, pace=pace: synthesiser.render(text, pace) for pace in (150, 195, 225)]  # type: ignore[misc]
    together = np.zeros(length)
    for _ in range(6):
        voice, at = voices[int(rng.integers(len(voices)))], -int(rng.integers(SAMPLE_RATE))
        while at < length:
            sound = np.asarray(voice(hearing_sounds.JUDGEMENT_TALK[int(rng.integers(15))]), np.float64)
            sound /= max(float(np.std(sound)), 1e-9)
            part = sound[max(0, -at) : max(0, length - at)]
            together[max(0, at) : max(0, at) + len(part)] += part
            at += len(sound) + int(rng.integers(SAMPLE_RATE // 2))
    return np.asarray(together / np.std(together), np.float32)


_BABBLE: list[Samples] = []


def noise(condition: str, length: int, number: int) -> Samples:
    """Noise of unit power and of this kind, the same for the same sentence."""
    kind = condition.split(maxsplit=1)[0]
    rng = np.random.default_rng([number, len(kind)])
    if kind == "babble":
        if not _BABBLE:
            _BABBLE.append(babble(60 * SAMPLE_RATE, np.random.default_rng(7)))
        start = int(rng.integers(len(_BABBLE[0]) - length))
        return _BABBLE[0][start : start + length]
    made = hearing_sounds.pink(length, rng) if kind == "pink" else hum(length, rng)
    return np.asarray((made - np.mean(made)) / np.std(made), np.float32)


def mixed(speech: Samples, condition: str, number: int) -> Samples:
    """The speech with a little room before and after, and the noise of the condition."""
    padded = np.pad(speech, SAMPLE_RATE // 5)
    if condition == "quiet":
        return padded
    decibels = int(condition.split()[1])
    level = loud_level(speech) / 10 ** (decibels / 20)
    return np.asarray(padded + level * noise(condition, len(padded), number), np.float32)


def following(speech: Samples) -> Samples:
    """Speech as it is played in noise, but for its loudness: as loud as it was."""
    shaped = lifted(speech, MOST_LIFT)
    return np.asarray(shaped * loud_level(speech) / max(loud_level(shaped), 1e-9), np.float32)


def plain(text: str) -> tuple[str, ...]:
    """The words of a transcript or of a sentence, figures in words, and spelt in one way."""
    text = re.sub(r"(\d)00ths\b", r"\1 hundredths", text.lower().replace("-", " "))
    text = _NUMBER.sub(_in_words, ungrouped(text))
    words = [_WRITTEN.get(word, word) for word in re.findall(r"[\w./½¼¾'°]+", text)]
    for place in range(1, len(words)):
        if words[place].strip(".") in THOU and _NUMERAL.search(words[place - 1].strip(".")):
            words[place] = "thou"
        elif words[place] in _SOUNDS_LIKE and _DIGIT.search(words[place - 1].strip(".")):
            words[place] = _SOUNDS_LIKE[words[place]]
    return tuple(word for word in words_of_typed(" ".join(words)))


def _in_words(written: re.Match[str]) -> str:
    """A numeral as the program says it, with the digits after its point one by one."""
    words = number_words(Fraction(written[0]), len(written[2] or ""))
    return f" {words if written[0][0] != '.' else words.removeprefix('nought ')} "


def figures_in(words: tuple[str, ...]) -> list[Figure]:
    """Every figure of a transcript, each as long as it goes; a bare number has no unit."""
    found: list[Figure] = []
    place = 0
    while place < len(words):
        for end in range(min(len(words), place + 14), place, -1):
            span = words[place:end]
            meant = ANY_FIGURE.meanings(span) or [Figure(n.value, n.decimals) for n in NUMBER.meanings(span)]
            if meant:
                found += meant
                place = end
                break
        else:
            place += 1
    return found


def is_right(figure: Figure, words: tuple[str, ...]) -> bool:
    """Whether a transcript holds the figure: its number, with its unit or none."""
    return any(each.value == figure.value and _is_unit(figure.unit, each) for each in figures_in(words))


def _is_unit(meant: str | None, heard: Figure) -> bool:
    """Whether what was heard has that unit, by a name that may stand for others too, or none at all."""
    forms = UNITS[meant].spoken_forms if meant else ()
    return heard.unit == meant or (heard.unit is None and heard.ambiguous_unit in (None, *forms))


@dataclass
class Score:
    """What the recogniser made of one condition."""

    words: float
    wrong: int
    figures: int
    misheard: list[str]


def score(lines: list[Said], transcripts: list[str]) -> Score:
    """Word errors (share of the words said) and wrong figures."""
    import jiwer

    meant, heard = [plain(line.text) for line in lines], [plain(text) for text in transcripts]
    errors = jiwer.wer([" ".join(words) for words in meant], [" ".join(words) or "-" for words in heard])
    of_figures = [(line, words) for line, words in zip(lines, heard, strict=True) if line.figure is not None]
    misheard = [f"{line.text} -> {' '.join(words)}" for line, words in of_figures if not is_right(line.figure, words)]  # type: ignore[arg-type]
    return Score(float(errors), len(misheard), len(of_figures), misheard)


def first_sounds(voice: str, lines: list[Said]) -> list[float]:
    """Seconds from the answer's text to its first sound, of answers that were not prepared."""
    times = []
    for line in lines:
        synthesiser = Synthesiser(voice=voice)  # type: ignore[arg-type]
        began = time.perf_counter()
        next(synthesiser.stream(line.text), None)
        times.append(time.perf_counter() - began)
    return times


def memory() -> float:
    """Resident memory of this process in MB; nought where the system doesn't tell."""
    status = Path("/proc/self/status")
    if not status.exists():
        return 0.0
    return int(next(line for line in status.read_text().splitlines() if line.startswith("VmRSS")).split()[1]) / 1024


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--voice", choices=("neural", "system", "espeak"), default="neural")
    parser.add_argument("--conditions", nargs="+", default=CONDITIONS, metavar="NAME", help=", ".join(CONDITIONS))
    parser.add_argument("--sentences", type=int, default=200)
    parser.add_argument("--following", action="store_true", help="as the voice follows noise, but no louder")
    parser.add_argument("--misheard", action="store_true", help="list the figures that were taken for others")
    args = parser.parse_args()
    before, began = memory(), time.perf_counter()
    synthesiser = Synthesiser(voice=args.voice)
    loaded, after = time.perf_counter() - began, memory()
    lines = said(args.sentences)
    times = first_sounds(args.voice, lines[:40])
    print(
        f"{args.voice}: loaded in {loaded:.1f} s, {after - before:.0f} MB; first sound of {len(times)} answers not "
        f"prepared: median {statistics.median(times) * 1000:.0f} ms, worst {max(times) * 1000:.0f} ms"
    )
    print(synthesiser.note)
    sounds = [synthesiser.render(line.text) for line in lines]
    if args.following:
        sounds = [following(sound) for sound in sounds]
    print(f"{'condition':14} {'n':>4} {'word errors':>12} {'figures wrong':>28}", flush=True)
    ear = BuiltinRecogniser(trained=False)
    for condition in args.conditions:
        noisy = [mixed(sound, condition, number) for number, sound in enumerate(sounds)]
        found = score(lines, [ear.recognise(sound, lambda _: None, commands=False).free_text for sound in noisy])
        low, high = wilson(found.wrong, found.figures)
        share = found.wrong / max(1, found.figures)
        of = f"{found.wrong} of {found.figures}, {share:.1%} ({low:.0%} to {high:.0%})"
        print(f"{condition:14} {len(lines):4} {found.words:12.1%} {of:>28}", flush=True)
        if args.misheard:
            print(*(f"    {line}" for line in found.misheard), sep="\n", flush=True)


if __name__ == "__main__":
    main()
