"""Numbers as they are said at a bench: whole numbers, digit by digit, decimals, fractions.

Every node's value is a ``Number``: exact, with the number of decimals that were stated.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from handsfree.phrases.grammar import Many, Named, Node, either, maybe, says, seq
from handsfree.text.numerals import DIGITS, NOUGHTS, NTHS, PARTS, TEENS, TENS, a, cardinal


@dataclass(frozen=True)
class Number:
    """An exact number; ``decimals`` is the count of stated decimals, None for a number said as a fraction."""

    value: Fraction
    decimals: int | None = 0


LARGEST = 999_999
"""The largest whole number that can be said."""

NUMBER_WORDS = frozenset((*DIGITS, *TEENS, *TENS, *NOUGHTS, "hundred", "thousand", "point", *" ".join(PARTS).split()))
"""Words of which a phrase has one at least where it holds a figure."""

DIGIT = either(*(says(word, value) for value, word in enumerate(DIGITS, 1)))
DIGIT_OR_ZERO = either(DIGIT, *(says(word, 0) for word in NOUGHTS))
_teen = either(*(says(word, value) for value, word in enumerate(TEENS, 10)))
_tens = either(*(says(word, 10 * value) for value, word in enumerate(TENS, 2)))
_two_figures = either(_teen, _tens, seq(_tens, DIGIT, to=lambda tens, ones: tens + ones))
_not_round = either(
    *(says(word, value) for value, word in enumerate(TEENS[1:], 11)),
    seq(_tens, DIGIT, to=lambda tens, ones: tens + ones),
)
_to_99 = either(DIGIT, _two_figures)
_and_to_99 = seq(maybe("and"), _to_99)


_hundreds = either(
    seq(either(says("a", 1), DIGIT), "hundred", maybe(_and_to_99), to=lambda n, rest=0: 100 * n + rest),
    seq(_not_round, "hundred", maybe(_and_to_99), to=lambda n, rest=0: 100 * n + rest),
)
_below_1000_hundreds = seq(
    either(says("a", 1), DIGIT), "hundred", maybe(_and_to_99), to=lambda n, rest=0: 100 * n + rest
)
_thousand_count = seq(either(says("a", 1), _to_99, _below_1000_hundreds), "thousand")
_round_thousands = seq(_thousand_count, to=lambda n: 1000 * n)
_thousands_and_more = seq(_thousand_count, either(_and_to_99, _below_1000_hundreds), to=lambda n, rest: 1000 * n + rest)
_thousands = either(_round_thousands, _thousands_and_more)
# "one twenty five" is 125 and "twelve fifty" 1250: figures said in pairs.
_in_pairs = either(
    seq(DIGIT, _two_figures, to=lambda n, rest: 100 * n + rest),
    seq(_two_figures, _two_figures, to=lambda n, rest: 100 * n + rest),
    seq(_two_figures, "oh", DIGIT, to=lambda n, rest: 100 * n + rest),
)

IN_PAIRS_TO_60: Node = seq(
    _to_99,
    either(*(says(cardinal(n), n) for n in range(10, 60))),
    to=lambda first, second: (first, second),
)
"""Two whole numbers, the second from ten to fifty nine: minutes and seconds, where a time is told."""

# Digits are strings until the end, so that leading and closing noughts are kept.
_digit_text = either(
    seq(DIGIT_OR_ZERO, to=str),
    seq("double", DIGIT_OR_ZERO, to=lambda d: 2 * str(d)),
    seq("triple", DIGIT_OR_ZERO, to=lambda d: 3 * str(d)),
)


def _join(*texts: str) -> str:
    return "".join(texts)


_digits_after_point = either(
    Many(_digit_text, 1, 6, _join),
    seq(_two_figures, to=str),
    seq(DIGIT_OR_ZERO, _two_figures, to=lambda d, rest: f"{d}{rest}"),
)
_digit_string = either(
    Many(_digit_text, 2, 6, _join),
    *(seq(name, DIGIT_OR_ZERO, to=lambda d, n=times: n * str(d)) for name, times in (("double", 2), ("triple", 3))),
)

_whole_but_round_thousands = either(
    says("zero", 0),
    says("nought", 0),
    DIGIT,
    _two_figures,
    _hundreds,
    _thousands_and_more,
    _in_pairs,
    seq(_digit_string, to=int),
)
_whole_value = either(_whole_but_round_thousands, _round_thousands)

WHOLE: Node = Named(seq(_whole_value, to=lambda n: Number(Fraction(n))), "NUMBER")
"""Whole numbers in every usual form, to 999,999."""

PLAIN_WHOLE: Node = Named(either(_to_99, _hundreds, _thousands, seq(_digit_string, to=int)), "NUMBER")
"""Whole numbers from one, as ints, that are no figures in pairs: of "eighty fifty" nobody knows whether it is money."""
SINGLE: Node = seq(DIGIT, to=lambda n: f"0{n}")
"""One to nine hundredths, as two figures."""
HUNDREDTHS: Node = either(seq(_two_figures, to=str), seq(either(*NOUGHTS), DIGIT, to=lambda n: f"0{n}"))
"""Hundredths as two figures: "fifty", "oh five"."""
HUNDREDTHS_AFTER_POINT: Node = either(
    seq(_two_figures, to=str),
    seq(DIGIT_OR_ZERO, DIGIT_OR_ZERO, to=lambda a, b: f"{a}{b}"),
    seq(DIGIT, to=lambda n: f"{n}0"),
)
"""What stands behind the point of an amount: two figures, or one."""

COUNTING: Node = Named(either(_to_99, _hundreds), "NUMBER")
"""Plain counting numbers from one, as ints: steps, minutes."""


def _decimal(*parts: int | str) -> Number:
    before, after = parts if len(parts) == 2 else (0, parts[0])
    text = str(after)
    return Number(int(before) + Fraction(int(text), 10 ** len(text)), len(text))


DECIMAL: Node = seq(maybe(either(_whole_value, says("oh", 0))), "point", _digits_after_point, to=_decimal)
"""Decimals; the stated decimals are kept ("point one zero" has two)."""


def _proper_fractions() -> Node:
    """Less than one whole, so that "thirty seconds" stays a time and "seven halves" is nothing at all."""
    options = [says("half", Fraction(1, 2))]
    for name, denominator in PARTS.items():
        options += [says(one, Fraction(1, denominator)) for one in (a(name), f"one {name}")]
        options += [says(f"{cardinal(n)} {name}s", Fraction(n, denominator)) for n in range(2, denominator)]
    return either(*options)


PART_OF_ONE: Node = _proper_fractions()
"""Halves, quarters and inch fractions to sixty-fourths, as Fractions."""

NTH: Node = either(
    *(
        says(one, Fraction(1, denominator))
        for name, denominator in NTHS.items()
        # "one two hundredth" may be twelve hundredths as well.
        for one in ((a(name),) if name.endswith(" hundredth") else (a(name), f"one {name}"))
    )
)

# "one over one twenty five", "one over two five oh": a denominator is no nought.
_said_in_figures = either(_in_pairs, seq(DIGIT, Many(_digit_text, 1, 3, _join), to=lambda n, rest: int(f"{n}{rest}")))
_ratio = seq(_to_99, "over", either(_to_99, _hundreds, _thousands, _said_in_figures), to=Fraction)

FRACTION: Node = either(
    seq(either(PART_OF_ONE, NTH, _ratio), to=lambda f: Number(f, None)),
    seq(either(_to_99, _hundreds), "and", PART_OF_ONE, to=lambda n, f: Number(n + f, None)),
)
"""A fraction ("one over fifty" too), or a whole number and a part: "four and a half"."""

NOT_WHOLE: Node = either(DECIMAL, FRACTION)
"""A decimal or a fraction: what may be said to be "of an inch"."""


def _signed(unsigned: Node) -> Node:
    return Named(either(unsigned, seq("minus", unsigned, to=lambda n: Number(-n.value, n.decimals))), "NUMBER")


NUMBER: Node = _signed(either(WHOLE, NOT_WHOLE))
"""Any number that can be said."""

NUMBER_ALONE: Node = _signed(either(seq(_whole_but_round_thousands, to=lambda n: Number(Fraction(n))), NOT_WHOLE))
"""Any number that can be said without a unit. Round thousands are left out: "four thousand" sounds like "four thou",
which is what is meant at a bench; with a unit ("four thousand revs") they can be told apart."""

SMALL: Node = Named(
    either(
        seq(_to_99, to=lambda n: Number(Fraction(n))),
        seq(maybe(either(_to_99, says("nought", 0), says("zero", 0))), "point", _digits_after_point, to=_decimal),
        seq(PART_OF_ONE, to=lambda f: Number(f, None)),
        seq(_to_99, "and", PART_OF_ONE, to=lambda n, f: Number(n + f, None)),
    ),
    "NUMBER",
)
"""The sizes of blades and the figures of dials: below a hundred, no sign, digits only after the point."""
