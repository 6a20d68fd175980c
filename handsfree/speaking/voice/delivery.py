"""How a text is delivered: which of its parts stand apart, at what pace, after what rest and in which voice.

A figure stands between rests and is spoken a little more slowly than the rest; said again, it is slower still, figure
by figure. Dangers and questions are for the second voice, where two are wanted.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from handsfree.measure.units import UNITS
from handsfree.speaking.voice.pronounce import for_the_ear
from handsfree.speaking.voice.sentences import pieces
from handsfree.text.english import unit_words
from handsfree.text.numerals import DIGITS, NOUGHTS, PARTS, TEENS, TENS

SENTENCE_REST = 0.22
"""Seconds between two sentences."""
VERDICT_REST = 0.32
"""The same after a figure: the verdict stands apart."""
FIGURE_REST = 0.12
"""Before and after a figure within a sentence."""
CAREFUL_REST = 0.25

FIGURE_PACE = 0.9
"""Of the usual pace, in a figure."""
CAREFUL_PACE = 0.75
"""The same where it is said again."""


@dataclass(frozen=True)
class Stretch:
    """A stretch that is spoken in one breath, ``rest`` seconds after the one before it."""

    text: str
    rest: float = 0.0
    pace: float = 1.0
    second: bool = False


_PLAIN_UNITS = frozenset(("turn", "s", "min", "h", "count", "d", "week"))
"""Units that stand in running prose ("a quarter of a turn", "ten minutes") at least as often as in a figure."""


def _pattern() -> re.Pattern[str]:
    parts = [name for part in PARTS for name in (part, f"{part}s")]
    parts += [name.replace(" ", "-") for name in parts]
    parts += ["halves", "tenth", "tenths", "hundredth", "hundredths", "thousandth", "thousandths"]
    numbers = [*DIGITS, *NOUGHTS, *TEENS, *TENS, "hundred", "thousand", "point", *parts]
    number = "|".join(sorted(set(numbers), key=len, reverse=True)) + r"|\d+(?:\.\d+)?"
    forms = {form for key, unit in UNITS.items() if key not in _PLAIN_UNITS for form in (unit.one, unit.many) if form}
    units = "|".join(sorted({*forms, *map(unit_words, forms)}, key=len, reverse=True))
    lead = r"(?:about |minus |at most |at least )*(?:an? )?"
    value = rf"{lead}(?:{number})(?:[ -](?:{number}|over|to|and|an?|of|half))*"
    return re.compile(rf"(?<![\w'-])(?P<value>{value}) (?P<unit>(?:an? )?(?:{units}))(?![\w'-])", re.IGNORECASE)


_FIGURE = _pattern()
_TOGETHER = re.compile(rf"\b({'|'.join(TENS)}),( (?:{'|'.join(DIGITS)})\b)")
"""Tens and ones: "fifty two" is one number, and "fifty, two" would be two."""
_RUN_TOGETHER = re.compile(r"\b(one|seven|nine) nought\b")
"""Digits of which the second is lost where they follow on: "nine nought eight" was read as "nine eight"."""
_NOT_A_DIGIT = re.compile(r"\b(about|minus|at|most|least), ")


def figures(text: str) -> list[str]:
    """The figures of a text in words: each number with its unit, as it stands."""
    return [match[0] for match in _FIGURE.finditer(text)]


@lru_cache(maxsize=512)
def delivered(text: str, carefully: bool = False, two_voices: bool = True) -> tuple[Stretch, ...]:
    """The parts of ``text`` in their order; none where there is nothing to say."""
    return tuple(_parts(text, carefully, two_voices))


def _parts(text: str, carefully: bool, two_voices: bool) -> Iterator[Stretch]:
    rest, warned = 0.0, False
    for sentence in pieces(for_the_ear(text)):
        second = two_voices and (warned or sentence.endswith("?") or sentence.startswith("Danger"))
        warned = sentence.rstrip(".!").lower() == "danger"
        ends_in_figure = False
        for part, is_figure in _cut(sentence):
            if not is_figure:
                yield Stretch(part, rest, 1.0, second)
            elif carefully:
                yield Stretch(_one_by_one(part), rest, CAREFUL_PACE, second)
            else:
                yield Stretch(_RUN_TOGETHER.sub(r"\1, nought", part), rest, FIGURE_PACE, second)
            rest = CAREFUL_REST if carefully else FIGURE_REST
            ends_in_figure = is_figure
        rest = VERDICT_REST if ends_in_figure else SENTENCE_REST


def _cut(sentence: str) -> Iterator[tuple[str, bool]]:
    """A sentence in the parts between its figures and these, with their commas; whether each is a figure."""
    place = 0
    for match in _FIGURE.finditer(sentence):
        before = sentence[place : match.start()].strip()
        if any(map(str.isalnum, before)):
            yield before if before[-1] in ",;:" else f"{before},", False
        mark = re.match(r"[,;:.!?]*", sentence[match.end() :])
        marks = mark[0] if mark is not None else ""
        place = match.end() + len(marks)
        yield match[0] + (marks or ","), True
    after = sentence[place:].strip()
    if any(map(str.isalnum, after)):
        yield after, False


def _one_by_one(figure: str) -> str:
    """A figure with a comma between its digits and before its unit: "nought, point, one, millimetres"."""
    match = _FIGURE.search(figure)
    if match is None:
        return figure
    value, unit = match["value"], f"{match['unit']}{figure[match.end() :]}"
    if re.search(r"\bpoint\b", value):
        value = _TOGETHER.sub(r"\1\2", _NOT_A_DIGIT.sub(r"\1 ", value.replace(" ", ", ")))
    joint = re.search(r" (of(?: an?)?|an?)$", value)
    if joint is None:
        return f"{value}, {unit}"
    comma = "," if joint[1].startswith("of") else ""
    return f"{value[: joint.start()]}{comma} {joint[1]} {unit}"
