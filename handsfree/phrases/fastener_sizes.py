"""Sizes of fasteners as they are said at a bench, in the writing of a procedure: "M2 x 5", "8 BA x 3/16 in".

A closed set: metric threads, BA, and the small unified number sizes, each with a length or without.
"""

from __future__ import annotations

from fractions import Fraction

from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.numbers import count_words

# ISO 261, first and second choice, as far as they are met at a bench.
_METRIC = {
    "1": "one", "1.2": "one point two", "1.4": "one point four", "1.6": "one point six", "1.8": "one point eight",
    "2": "two", "2.5": "two point five", "3": "three", "3.5": "three point five", "4": "four", "5": "five",
    "6": "six", "8": "eight", "10": "ten", "12": "twelve",
}  # fmt: skip
_UNIFIED = ("0-80", "1-72", "2-56", "3-48", "4-40", "5-40", "6-32", "8-32", "10-24", "10-32", "12-24")
_BA = tuple(range(0, 17))
LONGEST_MM = 60


def _word(number: int) -> str:
    return count_words(number) if number else "nought"


_metric_thread = either(
    *(says(f"m {words}", f"M{size}") for size, words in _METRIC.items()),
    says("m two and a half", "M2.5"),
    says("m three and a half", "M3.5"),
)
_ba_thread = either(*(says(f"{_word(number)} b a", f"{number} BA") for number in _BA))
_unified_thread = either(
    *(says(" ".join(count_words(int(part)) if int(part) else "nought" for part in size.split("-")), size)
      for size in _UNIFIED)
)  # fmt: skip

_length_mm = either(
    *(says(count_words(n), str(n)) for n in range(1, LONGEST_MM + 1)),
    *(says(f"{count_words(n)} and a half", f"{n}.5") for n in range(1, 20)),
    *(says(f"{count_words(n)} point five", f"{n}.5") for n in range(1, 20)),
)


def _inch_lengths() -> Node:
    names = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second"}
    options = []
    for denominator, name in names.items():
        for numerator in range(1, denominator):
            if Fraction(numerator, denominator).denominator != denominator:
                continue
            text = f"{numerator}/{denominator}"
            if numerator == 1:
                article = "an" if name == "eighth" else "a"
                options += [says(f"{article} {name}", text), says(f"one {name}", text)]
                if denominator == 2:
                    options.append(says("half", text))
            else:
                options.append(says(f"{count_words(numerator)} {name}s", text))
    whole = [says("one inch", "1"), says("an inch", "1")]
    part = seq(either(*options), maybe(either("inch", seq("of", "an inch"))))
    more = seq(either(*(says(f"{count_words(n)} and", n) for n in (1, 2))), either(*options), maybe("inches"),
               to=lambda n, text: f"{n} {text}")  # fmt: skip
    return either(*whole, part, more)


_length_in = _inch_lengths()

size: Node = Named(
    either(
        seq(_metric_thread, maybe(seq("by", _length_mm)), to=lambda *said: " x ".join(said)),
        seq(
            either(_ba_thread, _unified_thread),
            maybe(seq("by", _length_in)),
            to=lambda *said: f"{' x '.join(said)} in" if len(said) == 2 else said[0],
        ),
    ),
    "SIZE",
)
"""A thread with or without its length; the value is the size as a procedure writes it."""
