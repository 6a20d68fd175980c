"""How well the built-in recogniser hears: ``python -m tests.benchmarks.hearing [--digits FOLDER] [--hours H]``.

Prints tables with numbers of trials and 95 % intervals (Wilson). Only voices, speakers and takes are used that were not
trained on, and from which no threshold was derived. Of the people's digits speakers a, b and c are known to the encoder
by other takes; of strangers only d tells, and only he counts where wrong figures are counted. Same input, same table.
By sound alone, but for one table of figures: no step says what it expects.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.bench.ears import open_ear
from handsfree.bench.setting_up import language_of, load_named
from handsfree.commands.equipment.hear import ONE_UTTERANCE
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.ear import Ear
from handsfree.hearing.listening.endpoints import segments
from handsfree.hearing.listening.voice_activity import SileroDetector
from handsfree.measure.limits import Limits
from handsfree.phrases.expectation import NOTHING, Expectation
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance
from tests.benchmarks.conditions import NOISES, STYLES, Condition
from tests.benchmarks.disturbances import disturbances
from tests.support import hearing_sounds as sounds
from tests.support.hearing_sounds import JUDGEMENT, JUDGEMENT_READING, RECORDINGS
from tests.tools.ear_training.material import TRAINED_TAKES

OUTCOMES = ("right", "wrong", "asked, right", "asked, wrong", "near", "none")
"""Clear and right, clear and wrong, asked back with the likeliest meaning right or not, the soft tone, nothing."""

STRANGER = "d"
"""The speaker of digits whom nothing was trained on or derived from."""


def wilson(count: int, total: int) -> tuple[float, float]:
    """The 95 % interval of a share."""
    if not total:
        return 0.0, 1.0
    z, share = 1.959964, count / total
    middle = (share + z * z / (2 * total)) / (1 + z * z / total)
    half = z / (1 + z * z / total) * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    return max(0.0, middle - half), min(1.0, middle + half)


def at_most(count: int, hours: float) -> float:
    """The upper end of the 95 % interval of a rate an hour, from a count (Poisson)."""
    low, high = float(count), count + 30.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        below = sum(math.exp(-middle + n * math.log(middle or 1e-9) - math.lgamma(n + 1)) for n in range(count + 1))
        low, high = (middle, high) if below > 0.05 else (low, middle)
    return high / max(hours, 1e-9)


class Hearer:
    """Hears with the decision in force."""

    def __init__(self) -> None:
        self.language: Language = language_of(load_named(str(RECORDINGS.parent / "procedure.yaml")).procedure)
        recogniser = BuiltinRecogniser()
        self.expected = NOTHING
        """What the step would make likely."""
        self.ear: Ear = open_ear(recogniser, self.language, lambda: self.expected)
        recogniser.warm_up()
        self._detector = SileroDetector()
        self.times: list[tuple[float, float]] = []
        """Seconds of sound and of decoding of every utterance."""
        self.misheard: list[str] = []
        """Figures that were taken for others without doubt: what was said, and what was heard."""

    def hear(self, sound: sounds.Sound) -> list[Utterance]:
        heard = []
        for segment in segments(sound, ONE_UTTERANCE, detector=self._detector):
            heard.append(self.ear.hear(segment))
            self.times.append((len(segment.samples) / SAMPLE_RATE, heard[-1].seconds))
        return heard

    def outcome(self, sound: sounds.Sound, said: tuple[str, ...]) -> str:
        """What comes of ``said``, one of OUTCOMES."""
        used = [each for each in self.hear(sound) if each.hearing is not Hearing.NONE]
        if not used:
            return "none"
        clear = [each for each in used if each.hearing is Hearing.CLEAR]
        first = (clear or used)[0]
        right = len(used) == 1 and self.language.meaning(first.words) == self.language.meaning(said)
        if clear and not right and self.has_figure(said):
            within = {True: "; within the limits", False: "; outside the limits", None: ""}[self._fits(first)]
            self.misheard.append(f"   “{' '.join(said)}” as “{first.text}” (“{first.free_text}”{within})")
        if clear:
            return "right" if right else "wrong"
        if first.hearing is Hearing.DOUBTFUL:
            return "asked, right" if right else "asked, wrong"
        return "near"

    def _fits(self, heard: Utterance) -> bool | None:
        return self.expected.fits(heard.intents[0]) if heard.intents else None

    def has_figure(self, said: tuple[str, ...]) -> bool:
        return any(intent.figure is not None for intent in self.language.interpret(said))


class Table:
    """Outcomes by row."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.rows: dict[str, Counter[str]] = {}

    def add(self, row: str, outcome: str) -> None:
        self.rows.setdefault(row, Counter())[outcome] += 1

    def __str__(self) -> str:
        head = f"\n{self.title}\n{'':34}{'n':>6}  {'meaning right':20}" + "".join(f"{name:>14}" for name in OUTCOMES)
        lines = [head]
        for row, counts in self.rows.items():
            total, good = counts.total(), counts["right"] + counts["asked, right"]
            low, high = wilson(good, total)
            share = f"{100 * good / total:5.1f} ({100 * low:.1f}-{100 * high:.1f}) %"
            lines.append(f"{row:34}{total:6}  {share:20}" + "".join(f"{counts[name]:14}" for name in OUTCOMES))
        return "\n".join(lines)


def digits(hearer: Hearer, folder: Path, count: int, figures: Counter[str]) -> Table:
    """Strings joined from people's single digits: half as many of those whom the encoder knows."""
    table = Table(f"people's digits (8 kHz), joined; the encoder knows all but {STRANGER} by other takes")
    for noise, condition in NOISES.items():
        for speaker in sorted({path.stem.split("_")[1] for path in folder.glob("?_*_*.wav")}):
            many, first = (count, 0) if speaker == STRANGER else (count // 2, TRAINED_TAKES)
            for number, (sound, said) in enumerate(sounds.digit_strings(folder, speaker, many, first)):
                outcome = hearer.outcome(condition(sound, np.random.default_rng(number)), said)
                table.add(f"{noise}, speaker {speaker}", outcome)
                figures[outcome] += speaker == STRANGER
    return table


def recorded(hearer: Hearer, figures: Counter[str], styles: bool) -> Iterator[Table]:
    """The recordings set aside for judging, as they are, and through noise and filters."""
    kept = [
        (voice, sound, said)
        for voice, noise, sound, said in sounds.recordings(RECORDINGS, "judge")
        if noise == "clean" and said and hearer.language.interpret(said)
    ]
    conditions: dict[str, Condition] = {**NOISES, **(STYLES if styles else {})}
    by_voice, by_condition = Table("recorded commands by voice"), Table("recorded commands by condition")
    for name, condition in conditions.items():
        for number, (voice, sound, said) in enumerate(kept):
            outcome = hearer.outcome(condition(sound, np.random.default_rng(number)), said)
            kind = "figures" if hearer.has_figure(said) else "others"
            by_condition.add(f"{name}, {kind}", outcome)
            if name in ("clean", "pink 10 dB"):
                by_voice.add(f"{voice}, {name}", outcome)
            if kind == "figures" and name in NOISES:
                figures[outcome] += 1
    yield by_voice
    yield by_condition


def at_the_bench(hearer: Hearer, folder: Path | None, count: int) -> Iterator[object]:
    """Figures as they are heard at a step that measures just that, between limits.

    The limits lie around what was said in nine cases of ten (a third of it to either side), beyond it in the tenth.
    """
    said = [
        (voice, sound, words)
        for voice, noise, sound, words in sounds.recordings(RECORDINGS, "judge")
        if noise == "clean" and words and hearer.has_figure(words)
    ]
    if folder is not None:
        said += [(STRANGER, sound, words) for sound, words in sounds.digit_strings(folder, STRANGER, count)]
    table, before = Table("figures at a step that expects them, with limits"), len(hearer.misheard)
    for noise, condition in NOISES.items():
        rng = random.Random(f"{noise} limits")
        for number, (voice, sound, words) in enumerate(said):
            hearer.expected = expectation(hearer.language, words, rng)
            outcome = hearer.outcome(condition(sound, np.random.default_rng(number)), words)
            table.add(f"{noise}, {'digits' if voice == STRANGER else 'recorded'}", outcome)
    hearer.expected = NOTHING
    yield table
    misheard = hearer.misheard[before:]
    hidden = sum("within the limits" in each for each in misheard)
    total = sum(row.total() for row in table.rows.values())
    yield f"wrong and taken as clear: {len(misheard)} of {total}, {hidden} of them within the limits"


def expectation(language: Language, words: tuple[str, ...], rng: random.Random) -> Expectation:
    """That of a step which measures what is said in ``words``."""
    intent = next(intent for intent in language.interpret(words) if intent.figure is not None)
    assert intent.figure is not None
    name, value = intent.characteristic or "end play", intent.figure.value
    inside = rng.random() < 0.9
    low, high = (2 * value / 3, 4 * value / 3) if inside else (3 * value / 2, 2 * value)
    unit = intent.figure.unit or language.vocabulary.units.get(name) or "thou"
    return Expectation({name: unit}, None, {name: Limits(low, high)})


def synthetic(hearer: Hearer, count: int, figures: Counter[str]) -> Table:
    """Commands made on the spot by the installed voices."""
    table = Table("commands made on the spot, by voice")
    available = sounds.voices()
    for name in JUDGEMENT:
        if name not in available:
            print(f"{name}: not installed, left out")
            continue
        rng = random.Random(f"{name} benchmark")
        for number in range(count):
            said = sounds.command(hearer.language, rng)
            dry = available[name](" ".join(said))
            for noise, condition in NOISES.items():
                outcome = hearer.outcome(condition(dry, np.random.default_rng(number)), said)
                table.add(f"{name}, {noise}, {'figures' if hearer.has_figure(said) else 'others'}", outcome)
                if hearer.has_figure(said):
                    figures[outcome] += 1
    return table


def talk(hearer: Hearer, hours: float) -> str:
    """What is taken for a command in sound that holds none."""
    counts: Counter[Hearing] = Counter()
    taken: list[str] = []
    seconds = 0.0
    for kind, sound in disturbances(hours, JUDGEMENT_READING):
        seconds += len(sound) / SAMPLE_RATE
        for each in hearer.hear(sound):
            counts[each.hearing] += 1
            if each.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL):
                taken.append(f"   {each.hearing.value}: “{each.text}” for “{each.free_text}” ({kind})")
    spent = seconds / 3600
    lines = [f"\nno commands: {spent:.2f} hours of sound"]
    for hearing in (Hearing.CLEAR, Hearing.DOUBTFUL, Hearing.NEAR):
        rate, most = counts[hearing] / max(spent, 1e-9), at_most(counts[hearing], spent)
        lines.append(f"  {hearing.value:9} {counts[hearing]:4}  {rate:5.2f} an hour, under {most:.2f} (95 %)")
    return "\n".join([*lines, *taken])


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.hearing", description=__doc__)
    parser.add_argument("--digits", type=Path, help="folder of people's single digits (3_name_7.wav)")
    parser.add_argument("--count", type=int, default=100, help="commands of each voice (default: 100)")
    parser.add_argument("--strings", type=int, default=300, help="strings of a stranger's digits (default: 300)")
    parser.add_argument("--hours", type=float, default=6.0, help="hours of sound that is no command (default: 6)")
    parser.add_argument("--no-styles", action="store_true", help="leave out whisper, shout, ear defenders, mask")
    arguments = parser.parse_args()
    hearer, figures = Hearer(), Counter[str]()
    if arguments.digits is None or not any(arguments.digits.glob("?_*_*.wav")):
        print("people's digits: no folder of them was given (--digits), so they are left out")
    else:
        print(digits(hearer, arguments.digits, arguments.strings, figures), flush=True)
    for table in recorded(hearer, figures, not arguments.no_styles):
        print(table, flush=True)
    print(synthetic(hearer, arguments.count, figures), flush=True)
    total, wrong = figures.total(), figures["wrong"]
    low, high = wilson(wrong, total)
    print(f"\nfigures wrong and taken as clear: {wrong} of {total}, {1000 * low:.1f}-{1000 * high:.1f} in a thousand")
    print("\n".join(hearer.misheard), flush=True)
    for part in at_the_bench(hearer, arguments.digits, arguments.strings // 3):
        print(part, flush=True)
    began = time.perf_counter()
    for low, high in ((1.5, 2.5), (2.5, 3.5), (3.5, 4.5)):
        times = [took for length, took in hearer.times if low <= length < high]
        if times:
            print(
                f"decoding {low} to {high} s of sound, on one thread: {1000 * statistics.median(times):.0f} ms, "
                f"the median of {len(times)}"
            )
    if arguments.hours > 0:
        print(talk(hearer, arguments.hours))
        print(f"({time.perf_counter() - began:.0f} s)")


if __name__ == "__main__":
    main()
