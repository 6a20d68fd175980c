"""Sizes of fasteners as they are said at a bench, in the writing of a procedure: "M2 x 5", "8 BA x 3/16 in".

A closed set: metric threads, BA, Whitworth, BSF and unified sizes, each with a length or without.
"""

from __future__ import annotations

from fractions import Fraction

from handsfree.measure.threads import Thread
from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.quantities.threads import SAID
from handsfree.text.numerals import a, cardinal

LONGEST_MM = 60
# Of the metric sizes, those that are met at a bench: every further one makes the others harder to hear.
_METRIC = frozenset(f"M{size}" for size in "1 1.2 1.4 1.6 1.8 2 2.5 3 3.5 4 5 6 8 10 12".split())


def _named(*known: Thread) -> Node:
    return either(*(says(way, each.written) for each in known for way in SAID[each]))


_metric_thread = _named(*(each for each in SAID if each.written in _METRIC))
_inch_thread = _named(*(each for each in SAID if not each.written.startswith("M")))
_by_number = _named(*(each for each in SAID if each.written[0].isdigit() and "/" not in each.written))
"""BA and unified sizes that go by a number: "number six forty"."""

_length_mm = either(
    *(says(cardinal(n), str(n)) for n in range(1, LONGEST_MM + 1)),
    *(says(f"{cardinal(n)} and a half", f"{n}.5") for n in range(1, 20)),
    *(says(f"{cardinal(n)} point five", f"{n}.5") for n in range(1, 20)),
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
                options += [says(a(name), text), says(f"one {name}", text)]
                if denominator == 2:
                    options.append(says("half", text))
            else:
                options.append(says(f"{cardinal(numerator)} {name}s", text))
    whole = [says("one inch", "1"), says("an inch", "1"), says("two inches", "2"), says("three inches", "3")]
    part = seq(either(*options), maybe(either("inch", seq("of", "an inch"))))
    more = seq(either(*(says(f"{cardinal(n)} and", n) for n in (1, 2))), either(*options), maybe("inches"),
               to=lambda n, text: f"{n} {text}")  # fmt: skip
    return either(*whole, part, more)


_length_in = _inch_lengths()

SIZE: Node = Named(
    either(
        seq(_metric_thread, maybe(seq("by", _length_mm)), to=lambda *said: " x ".join(said)),
        seq(
            either(_inch_thread, seq("number", _by_number)),
            maybe(seq("by", _length_in)),
            to=lambda *said: f"{' x '.join(said)} in" if len(said) == 2 else said[0],
        ),
    ),
    "SIZE",
)
"""A thread with or without its length; the value is the size as a procedure writes it."""
