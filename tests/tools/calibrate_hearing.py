"""Derives the numbers of ``hearing/rejection.py``: ``python -m tests.tools.calibrate_hearing FILE...``.

The files are what ``tests.tools.ear_training.collect`` wrote of the sounds kept for tuning: everything that the
decision is made from. Prints the weights that these sounds give, and what each limit costs, by the weights in force and
by weights that were derived without the voice they are tried on. ``--ear`` is the encoder in force by its name in the
files (the first, if not said); ``--stand-in`` the one that was trained without the speakers of ``--strangers``, who are
heard by it: for what the encoder makes of people whom it does not know. They count for a third, or all would be set for
them. ``--judge`` tries the decision in force on a file of the sounds that judge. Same files, same tables.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from handsfree.hearing.rejection import (
    DEFAULT,
    Likeness,
    certainty,
    command_likelihood,
    decide,
    is_brief,
    likeness,
    with_noughts,
)
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, RecognitionResult

from .ear_training.choose import Record, heard, is_figure, records, right
from .ear_training.collect import language

CLEAN = "clean"
KNOWN_COUNT = 3.0
"""What a figure by a voice that the encoder may know counts for, beside one by a stranger."""
LIMITS = tuple(np.arange(2.0, 6.01, 0.25))
NEVER = -99.0
"""Certainty of what is in doubt whatever the limits."""


@dataclass(frozen=True)
class Trial:
    """One utterance: of what record (what was said, by whom), what was heard, and whether it was that."""

    record: Record
    heard: RecognitionResult
    right: bool
    figure: bool
    """Whether what was heard is one."""
    stranger: bool

    @property
    def words(self) -> tuple[str, ...]:
        return self.heard.alternatives[0].words

    @property
    def near(self) -> Likeness:
        return likeness(self.heard.free_text, self.words)

    @property
    def numbers(self) -> tuple[float, float, float]:
        """Margin, log odds, gap."""
        assert self.heard.margin is not None and self.heard.log_odds is not None and self.heard.gap is not None
        return self.heard.margin, self.heard.log_odds, self.heard.gap

    @property
    def caution(self) -> float:
        """What is asked of it beyond the usual, whatever the step expects."""
        return DEFAULT.noughts if self.figure and with_noughts(self.words) else 0.0


def trials(
    spoken: Language, files: Iterable[Path], ear: str | None, stand_in: str | None, strangers: str
) -> list[Trial]:
    """What the decision is about: the one utterance of a command, every utterance of what was none."""
    found = []
    for record in (record for file in files for record in records(file)):
        ear = ear or record["ear"]
        stranger = record["kind"] == "digits" and record["voice"] in strangers.split(",")
        if record["ear"] != ((stand_in or ear) if stranger else ear):
            continue
        several = record["heard"] if not record["said"] else record["heard"][:1] if len(record["heard"]) == 1 else []
        for each in map(heard, several):
            if each.alternatives and spoken.meaning(each.alternatives[0].words) is not None:
                best = " ".join(each.alternatives[0].words)
                its = bool(record["said"]) and right(spoken, record)
                found.append(Trial(record, each, its, is_figure(spoken, best), stranger))
    return found


def weigh(numbers: np.ndarray, true: np.ndarray, counts: np.ndarray, ridge: float = 0.02) -> np.ndarray:
    """Logistic regression: one weight for each column and the constant; Newton's method with a small ridge.

    ``counts`` says how often each row counts.
    """
    spread = numbers.std(0) + 1e-9
    given = np.column_stack([numbers / spread, np.ones(len(numbers))])
    keep = np.append(np.full(numbers.shape[1], ridge * counts.sum()), 0.0)
    weights = np.zeros(given.shape[1])
    for _ in range(50):
        chance = 1 / (1 + np.exp(-np.clip(given @ weights, -30, 30)))
        slope = given.T @ (counts * (true - chance)) - keep * weights
        weights += np.linalg.solve((given.T * (counts * chance * (1 - chance))) @ given + np.diag(keep + 1e-9), slope)
    return np.append(weights[:-1] / spread, weights[-1])


def signs_of_command(trial: Trial) -> list[float]:
    """What tells a command from talk, the larger the better."""
    _, _, gap = trial.numbers
    return [-min(max(gap, 0), 8), -trial.near.unlike, -trial.near.more]


def signs_of_certainty(trial: Trial) -> list[float]:
    """What tells a phrase that was said from one that was misheard, the larger the better."""
    margin, odds, gap = trial.numbers
    return [min(margin, 6), min(max(odds, -5), 10), -min(max(gap, 0), 4), -trial.near.unlike]


def sure(trial: Trial) -> float:
    """The certainty in force, less what is asked beyond the usual; far below all where another meaning is likelier."""
    margin, odds, gap = trial.numbers
    return certainty(margin, odds, gap, trial.near) - trial.caution if odds >= 0 else NEVER


def by_likelihood(commands: list[Trial], talk: list[Trial]) -> None:
    """The weights by which commands are told from talk, and what the limits cost."""
    fine = [trial for trial in commands if trial.right]
    both = fine + talk
    truth = np.append(np.ones(len(fine)), np.zeros(len(talk)))
    weights = weigh(np.array([signs_of_command(trial) for trial in both], float), truth, np.ones(len(both)), 0.001)
    print(f"\nlikelihood, {len(fine)} commands, {len(talk)} of talk: gap, unlike, more, constant")
    print("  " + "  ".join(f"{weight:.2f}" for weight in weights))
    print("  limit   commands lost, of them single words   talk let in, single words")
    likely = {id(trial): command_likelihood(trial.numbers[2], trial.near) for trial in both}
    for limit in (-1.0, -0.5, 0.0, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0):
        lost = [trial for trial in fine if likely[id(trial)] < limit]
        let_in = [trial for trial in talk if likely[id(trial)] >= limit]
        cells = [len(lost), _brief(lost), len(let_in), _brief(let_in)]
        print(f"  {limit:5.2f}" + "".join(f"{cell:12d}" for cell in cells))
    for trial in sorted(talk, key=lambda trial: -likely[id(trial)])[:8]:
        print(f"   {likely[id(trial)]:5.2f} “{' '.join(trial.words)}” for “{trial.heard.free_text}”")


def _brief(several: list[Trial]) -> int:
    return sum(is_brief(trial.words) for trial in several)


def counted(figures: list[Trial]) -> np.ndarray:
    """How often each of them counts."""
    return np.array([1.0 if trial.stranger else KNOWN_COUNT for trial in figures])


def what_limits_cost(title: str, figures: list[Trial], values: np.ndarray) -> None:
    """For each limit on ``values`` how many figures are wrong and clear, and how many right ones are asked back."""
    groups: dict[str, Callable[[Trial], bool]] = {
        "clean": lambda trial: not trial.stranger and trial.record["condition"] == CLEAN,
        "in noise": lambda trial: not trial.stranger and trial.record["condition"] != CLEAN,
        "strangers": lambda trial: trial.stranger,
    }
    print(f"{title}: wrong and clear; right and asked back, of so many right")
    true = np.array([trial.right for trial in figures])
    for limit in LIMITS:
        cells = []
        for group, belongs in groups.items():
            its = np.array([belongs(trial) for trial in figures])
            wrong, back = ((values >= limit) & ~true & its).sum(), ((values < limit) & true & its).sum()
            cells.append(f"{group} {wrong:3d}; {back:4d} of {(true & its).sum():4d}")
        print(f"  {limit:4.2f}   " + "    ".join(cells))


def surest_of_the_wrong(figures: list[Trial], values: np.ndarray) -> None:
    """What was misheard most surely."""
    for place in np.argsort(-values)[:400]:
        trial = figures[place]
        if not trial.right and values[place] >= LIMITS[2]:
            who = f"{trial.record['voice']}, {trial.record['condition']}"
            print(f"   {values[place]:5.2f} “{trial.record['said']}” as “{' '.join(trial.words)}” ({who})")


def by_certainty(commands: list[Trial]) -> None:
    """The weights of certainty, from figures, and what its limits cost."""
    figures = [trial for trial in commands if trial.figure]
    numbers = np.array([signs_of_certainty(trial) for trial in figures], float)
    true = np.array([trial.right for trial in figures], float)
    counts = counted(figures)
    print(f"\ncertainty, {len(figures)} figures: margin, log odds, gap, unlike, constant")
    print("  " + "  ".join(f"{weight:.2f}" for weight in weigh(numbers, true, counts)))
    tables = {"by the weights in force": np.array([sure(trial) for trial in figures])}
    crossed = np.zeros(len(figures))
    voices = np.array([trial.record["voice"] for trial in figures])
    for voice in sorted(set(voices)):
        others = voices != voice
        if 0 < true[others].sum() < others.sum():
            weights = weigh(numbers[others], true[others], counts[others])
            crossed[~others] = numbers[~others] @ weights[:-1] + weights[-1]
    tables["by weights derived without the voice"] = np.array(
        [
            value - trial.caution if trial.numbers[1] >= 0 else NEVER
            for value, trial in zip(crossed, figures, strict=True)
        ]
    )
    for name, values in tables.items():
        what_limits_cost(f"figures {name}", figures, values)
    surest_of_the_wrong(figures, tables["by the weights in force"])
    others = [trial for trial in commands if not trial.figure]
    print(f"other commands, {len(others)}: wrong and clear; right and asked back")
    for limit in (0.5, 1.0, 1.5, 2.0, 2.5):
        wrong = sum(sure(trial) >= limit and not trial.right for trial in others)
        print(f"  {limit:4.2f}   {wrong:3d}; {sum(sure(trial) < limit and trial.right for trial in others):4d}")


def judge(spoken: Language, every: list[Trial]) -> None:
    """What the decision in force makes of the sounds, by sound alone."""
    rows: dict[str, Counter[str]] = {}
    for trial in every:
        outcome = decide(trial.heard, spoken.interpret)
        record = trial.record
        if not record["said"]:
            row, cell = f"{record['kind']}, no command", outcome.value
        else:
            what = "figures" if is_figure(spoken, record["said"]) else "other commands"
            row = f"{record['kind']}, {what}, {CLEAN if record['condition'] == CLEAN else 'in noise'}"
            cell = f"{outcome.value}, {'right' if trial.right else 'wrong'}"
        rows.setdefault(row, Counter())[cell] += 1
    for row in sorted(rows):
        print(f"{row:42s} n {rows[row].total():5d}   " + "   ".join(f"{k} {n}" for k, n in sorted(rows[row].items())))
    figures = [trial for trial in every if trial.record["said"] and is_figure(spoken, trial.record["said"])]
    clear = [trial for trial in figures if decide(trial.heard, spoken.interpret) is Hearing.CLEAR]
    wrong = [trial for trial in clear if not trial.right]
    print(
        f"figures: {len(figures)}, right {sum(trial.right for trial in figures)}, right at once "
        f"{len(clear) - len(wrong)}, wrong and clear {len(wrong)}"
    )
    for trial in wrong:
        who = f"{trial.record['voice']}, {trial.record['condition']}"
        print(f"  “{trial.record['said']}” as “{' '.join(trial.words)}” ({who})")


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.calibrate_hearing", description=__doc__)
    parser.add_argument("files", nargs="+", type=Path)
    parser.add_argument("--ear", help="the encoder in force, by its name in the files")
    parser.add_argument("--stand-in", help="the encoder that was trained without the strangers")
    parser.add_argument("--strangers", default="b", help="speakers of digits, parted by commas")
    parser.add_argument("--judge", action="store_true", help="try the decision in force instead")
    arguments = parser.parse_args()
    spoken = language()
    every = trials(spoken, arguments.files, arguments.ear, arguments.stand_in, arguments.strangers)
    if arguments.judge:
        judge(spoken, every)
        return
    commands = [trial for trial in every if trial.record["said"]]
    by_likelihood(commands, [trial for trial in every if not trial.record["said"]])
    by_certainty(commands)


if __name__ == "__main__":
    main()
