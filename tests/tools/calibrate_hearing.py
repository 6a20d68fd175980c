"""Derives the thresholds of the decision: ``python -m tests.tools.calibrate_hearing [--digits FOLDER]``.

Speaks commands and talk in some voices, with and without noise, and prints what each threshold would cost. The voices
and texts used here are used for nothing else; ``--judge`` applies the thresholds in force to others. Same input, same
table. ``--digits`` names a folder of single digits, "digit_speaker_take.wav".
"""

from __future__ import annotations

import argparse
import random
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.builtin.second_reader import find_second_reader
from handsfree.hearing.listening.denoise import cleaned
from handsfree.hearing.listening.endpoints import segments
from handsfree.hearing.listening.voice_activity import SileroDetector
from handsfree.hearing.rejection import (
    Likeness,
    certainty,
    certainty_of_both,
    command_likelihood,
    decide,
    likelihood_of_both,
    likeness,
    with_noughts,
)
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, RecognitionResult, SecondOpinion
from tests.benchmarks.conditions import NOISES
from tests.benchmarks.disturbances import disturbances
from tests.support import hearing_sounds as sounds
from tests.support.places import FIXTURES

CALIBRATION = ("flite rms", "flite awb", "flite kal16", "espeak-ng en-us", "espeak-ng en-gb")
JUDGEMENT = ("flite slt", "festival ked", "espeak-ng en-gb-scotland", "espeak-ng en-us+f3")
RECORDINGS = FIXTURES / "table.csv"
CALIBRATION_READING = ("two_cities.wav",)
JUDGEMENT_READING = ("beckett.wav", "endgame_nagg_nell.wav", "clone-test.wav")
CLEAN = "clean"
FEWEST = 20
"""Trials of which a table is printed."""


@dataclass(frozen=True)
class Trial:
    """One segment: who spoke, what was meant (None for talk), what was heard."""

    voice: str
    noise: str
    said: tuple[str, ...] | None
    heard: RecognitionResult | None


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.calibrate_hearing")
    parser.add_argument("--digits", type=Path, help="folder of single digits")
    parser.add_argument("--count", type=int, default=40, help="commands per voice and noise")
    parser.add_argument("--hours", type=float, default=1.0, help="hours of talk and noise to tune on")
    parser.add_argument("--judge", action="store_true", help="judge the thresholds in force with other voices")
    arguments = parser.parse_args()
    names = {**sounds.CHARACTERISTICS, **sounds.RECORDED_CHARACTERISTICS}
    language = Language(Vocabulary(characteristics=names, timers=("bath",)))
    bench = Bench(language, arguments.hours)
    trials = list(bench.commands(arguments.judge, arguments.count, arguments.digits))
    talk = list(bench.talk(arguments.judge))
    print(f"{len(trials)} commands, {len(talk)} stretches of talk; {bench.cost():.0f} ms per second of speech")
    if arguments.judge:
        judge(language, trials, talk)
    else:
        calibrate(language, trials, talk)


class Bench:
    """Hears what is played to it."""

    def __init__(self, language: Language, hours: float) -> None:
        self._language = language
        self._hours = hours
        self._recogniser = BuiltinRecogniser(second=find_second_reader())
        self._recogniser.set_grammar(language.automaton)
        self._recogniser.warm_up()
        self._detector = SileroDetector()
        self._seconds = self._sound = 0.0

    def cost(self) -> float:
        return 1000 * self._seconds / max(self._sound, 1e-9)

    def hear(self, sound: np.ndarray) -> list[RecognitionResult]:
        found = []
        for segment in segments(sound, detector=self._detector):
            if segment.part:
                continue
            began = time.perf_counter()
            found.append(self._recogniser.recognise(cleaned(segment), self._language.meaning))
            self._seconds += time.perf_counter() - began
            self._sound += len(segment.samples) / SAMPLE_RATE
        return found

    def commands(self, judging: bool, count: int, digits: Path | None) -> Iterator[Trial]:
        available = sounds.voices()
        for name in JUDGEMENT if judging else CALIBRATION:
            if name not in available:
                print(f"{name}: not installed, left out")
                continue
            for noise in NOISES:
                rng = random.Random(f"{name} {noise}")
                said = [sounds.command(self._language, rng) for _ in range(count)]
                yield from self._trials(name, noise, ((available[name](" ".join(words)), words) for words in said))
        if digits is not None:
            for speaker in ("b", "c") if judging else ("a",):
                for noise in NOISES:
                    yield from self._trials(f"digits {speaker}", noise, sounds.digit_strings(digits, speaker, count))
        for voice, noise, sound, words in sounds.recordings(RECORDINGS, "judge" if judging else "tune"):
            if words and self._language.interpret(words):
                found = self.hear(sound)
                yield Trial(f"recorded {voice}", noise, words, found[0] if len(found) == 1 else None)

    def _trials(self, voice: str, noise: str, said: Iterator[tuple[np.ndarray, tuple[str, ...]]]) -> Iterator[Trial]:
        for number, (sound, words) in enumerate(said):
            found = self.hear(NOISES[noise](sound, np.random.default_rng(number)))
            yield Trial(voice, noise, words, found[0] if len(found) == 1 else None)

    def talk(self, judging: bool) -> Iterator[Trial]:
        available = sounds.voices()
        for name in JUDGEMENT if judging else CALIBRATION:
            for number, text in enumerate(sounds.JUDGEMENT_TALK if judging else sounds.CALIBRATION_TALK):
                if name in available:
                    room = sounds.in_room(available[name](text), np.random.default_rng(number))
                    yield from (Trial(f"{name}: {text}", CLEAN, None, heard) for heard in self.hear(room))
        for voice, noise, sound, words in sounds.recordings(RECORDINGS, "judge" if judging else "tune"):
            if not words:
                yield from (Trial(f"recorded {voice}", noise, None, heard) for heard in self.hear(sound))
        for sound in sounds.reading(*(JUDGEMENT_READING if judging else CALIBRATION_READING)):
            yield from (Trial("reading", CLEAN, None, heard) for heard in self.hear(sound))
        if not judging:
            for kind, sound in disturbances(self._hours, CALIBRATION_READING, CALIBRATION, sounds.CALIBRATION_TALK):
                yield from (Trial(kind, CLEAN, None, heard) for heard in self.hear(sound))


def right(language: Language, trial: Trial) -> bool:
    if trial.said is None or trial.heard is None or not trial.heard.alternatives:
        return False
    return language.meaning(trial.heard.alternatives[0].words) == language.meaning(trial.said)


def is_figure(language: Language, trial: Trial) -> bool:
    words = trial.heard.alternatives[0].words if trial.heard and trial.heard.alternatives else ()
    return any(intent.figure is not None for intent in language.interpret(words))


def share(trials: list[Trial], which: list[bool]) -> str:
    """How many are true of ``which``, and what part of ``trials`` that is."""
    count = sum(which)
    return f"{count:4d} ({100 * count / len(trials) if trials else 0:5.1f} %)"


def by_voice(language: Language, trials: list[Trial]) -> None:
    print("\nmeaning right, by sound alone")
    for voice, noise in dict.fromkeys((trial.voice, trial.noise) for trial in trials):
        those = [trial for trial in trials if (trial.voice, trial.noise) == (voice, noise)]
        print(f"  {voice:26s} {noise:14s} {share(those, [right(language, trial) for trial in those])}")


def calibrate(language: Language, trials: list[Trial], talk: list[Trial]) -> None:
    by_voice(language, trials)
    by_both(language, trials)
    by_likeness(language, trials, talk)
    by_one(language, [trial for trial in trials if trial.heard and words(trial) and not trial.heard.second])


def weigh(numbers: np.ndarray, true: np.ndarray, ridge: float = 0.02) -> np.ndarray:
    """Logistic regression: one weight for each column and the constant; Newton's method with a small ridge."""
    spread = numbers.std(0) + 1e-9
    given = np.column_stack([numbers / spread, np.ones(len(numbers))])
    keep = np.append(np.full(numbers.shape[1], ridge * len(numbers)), 0.0)
    weights = np.zeros(given.shape[1])
    for _ in range(50):
        chance = 1 / (1 + np.exp(-np.clip(given @ weights, -30, 30)))
        slope = given.T @ (true - chance) - keep * weights
        weights += np.linalg.solve((given.T * (chance * (1 - chance))) @ given + np.diag(keep + 1e-9), slope)
    return np.append(weights[:-1] / spread, weights[-1])


def by_both(language: Language, trials: list[Trial]) -> None:
    """The weights of the second opinion, and what its thresholds cost."""
    asked = [trial for trial in trials if trial.heard and trial.heard.second]
    figures = [trial for trial in asked if is_figure(language, trial)]
    fine = np.array([right(language, trial) for trial in figures], float)
    numbers = [
        [min(o.first, 6), min(o.both, 8), -min(max(o.gap, 0), 4), max(o.reading, -6), o.place == 0]
        for o in map(opinion, figures)
    ]
    print(f"\ncertainty, {len(figures)} figures: first, both, gap, reading, agreed, constant")
    print("  " + "  ".join(f"{weight:.2f}" for weight in weigh(np.array(numbers, float), fine)))
    for group, name in ((True, "figures"), (False, "other commands")):
        those = [trial for trial in asked if is_figure(language, trial) is group]
        fit = [trial for trial in those if right(language, trial)]
        wrong = [trial for trial in those if not right(language, trial)]
        print(f"certainty of {name}, {len(those)}: wrong and silent | right and asked back")
        for limit in (0.0, 0.6, 1.2, 2.0, 2.6, 3.0, 3.5, 4.0, 4.5, 5.0):
            silent = share(those, [certainty_of_both(opinion(trial)) >= limit for trial in wrong])
            asked_back = share(those, [certainty_of_both(opinion(trial)) < limit for trial in fit])
            print(f"  {limit:3.1f}  {silent}   {asked_back}")
    print("with noughts beside the point: certainty of the wrong ones, and of the right ones")
    for true in (False, True):
        those = [trial for trial in figures if with_noughts(words(trial)) and right(language, trial) is true]
        print("  " + " ".join(f"{certainty_of_both(opinion(trial)):.1f}" for trial in those))


def by_likeness(language: Language, trials: list[Trial], talk: list[Trial]) -> None:
    """The weights by which commands are told from talk, and what the thresholds cost."""
    fit = [trial for trial in trials if right(language, trial)]
    chatter = [trial for trial in talk if words(trial)]
    for both in (False, True):
        fine, other = ([t for t in those if not both or (t.heard and t.heard.second)] for those in (fit, chatter))
        truth = np.append(np.ones(len(fine)), np.zeros(len(other)))
        numbers = np.array([signs(trial, both) for trial in fine + other], float)
        names = "gap, unlike, more" + (", unlike (second), both, agreed" if both else "")
        readings = "both" if both else "the first"
        print(f"\nlikelihood by {readings}, {len(fine)} commands, {len(other)} of talk: {names}, constant")
        print("  " + "  ".join(f"{weight:.2f}" for weight in weigh(numbers, truth, 0.001)))
        for limit in (-2.0, -1.0, 0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5):
            lost = share(fine, [likelihood(trial, both) < limit for trial in fine])
            print(
                f"  {limit:4.1f}  lost {lost}   {share(other, [likelihood(trial, both) >= limit for trial in other])}"
            )
        for trial in sorted(other, key=lambda trial: -likelihood(trial, both))[:8]:
            print(f"   {likelihood(trial, both):5.2f} {phrase(trial)!r} for {trial.heard and trial.heard.free_text!r}")


def near(trial: Trial) -> Likeness:
    assert trial.heard is not None
    return likeness(trial.heard.free_text, words(trial))


def signs(trial: Trial, both: bool) -> list[float]:
    """What tells a command from talk, the larger the better."""
    its = near(trial)
    if not both:
        return [-min(max(gap(trial), 0), 8), -its.unlike, -its.more]
    o = opinion(trial)
    return [-min(max(o.gap, 0), 8), -its.unlike, -its.more, -o.unlike, min(o.both, 8), o.place is not None]


def likelihood(trial: Trial, both: bool) -> float:
    return likelihood_of_both(opinion(trial), near(trial)) if both else command_likelihood(gap(trial), near(trial))


def opinion(trial: Trial) -> SecondOpinion:
    assert trial.heard is not None and trial.heard.second is not None
    return trial.heard.second


def by_one(language: Language, trials: list[Trial]) -> None:
    """The weights of certainty by one reader, and what its thresholds cost (with the second reader there are few)."""
    figures = [trial for trial in trials if is_figure(language, trial)]
    if len(figures) < FEWEST:
        return
    numbers = [
        [min(h.margin or 0, 6), min(max(h.log_odds or 0, -5), 10), -min(max(gap(trial), 0), 4), -near(trial).unlike]
        for trial, h in ((trial, trial.heard) for trial in figures)
        if h is not None
    ]
    fine = np.array([right(language, trial) for trial in figures], float)
    print(f"\ncertainty by one reader, {len(figures)} figures: margin, log odds, gap, unlike, constant")
    print("  " + "  ".join(f"{weight:.2f}" for weight in weigh(np.array(numbers, float), fine)))
    for group, name in ((True, "figures"), (False, "other commands")):
        those = [trial for trial in trials if is_figure(language, trial) is group]
        sure = {id(trial): alone(trial) for trial in those}
        fit = [trial for trial in those if right(language, trial)]
        wrong = [trial for trial in those if not right(language, trial)]
        print(f"certainty of {name}, {len(those)}: wrong and silent | right and asked back")
        for limit in (1.0, 1.5, 2.0, 2.5, 2.75, 3.0, 3.25, 3.5, 4.0):
            silent = share(those, [sure[id(trial)] >= limit for trial in wrong])
            print(f"  {limit:4.2f}  {silent}   {share(those, [sure[id(trial)] < limit for trial in fit])}")


def alone(trial: Trial) -> float:
    """The certainty in force, by one reader."""
    assert trial.heard is not None
    return certainty(trial.heard.margin or 0.0, trial.heard.log_odds or 0.0, gap(trial), near(trial))


def words(trial: Trial) -> tuple[str, ...]:
    return trial.heard.alternatives[0].words if trial.heard and trial.heard.alternatives else ()


def phrase(trial: Trial) -> str:
    return " ".join(words(trial))


def room(noisy: bool) -> str:
    return "in noise" if noisy else "clean"


def gap(trial: Trial) -> float:
    return trial.heard.gap if trial.heard and trial.heard.gap is not None else float("inf")


def judge(language: Language, trials: list[Trial], talk: list[Trial]) -> None:
    by_voice(language, trials)

    def hearing(trial: Trial) -> Hearing:
        return decide(trial.heard, language.interpret) if trial.heard else Hearing.NONE

    for figures in (False, True):
        for noisy in (False, True):
            those = [
                trial
                for trial in trials
                if (trial.noise != CLEAN) is noisy
                and any(intent.figure is not None for intent in language.interpret(trial.said or ())) is figures
            ]
            outcomes = Counter((hearing(trial), right(language, trial)) for trial in those)
            print(f"\n{'figures' if figures else 'other commands'}, {room(noisy)} ({len(those)})")
            for wanted in Hearing:
                print(f"  {wanted.value:9s} right {outcomes[wanted, True]:4d}   wrong {outcomes[wanted, False]:4d}")
    for kind in ("talk", "reading"):
        those = [trial for trial in talk if (trial.voice == "reading") is (kind == "reading")]
        heard = Counter(hearing(trial) for trial in those)
        print(f"\n{kind} ({len(those)}): " + ", ".join(f"{wanted.value} {heard[wanted]}" for wanted in Hearing))
    for trial in talk:
        if hearing(trial) in (Hearing.CLEAR, Hearing.DOUBTFUL):
            print(f"   {hearing(trial).value}: {phrase(trial)!r} for {trial.voice}")


if __name__ == "__main__":
    main()
