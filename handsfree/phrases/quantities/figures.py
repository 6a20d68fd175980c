"""Figures: a number with its unit, as people say them together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import cache

from handsfree.measure.figure import Figure
from handsfree.measure.formatting import OTHER_THAN, PARTED, TENTHS
from handsfree.measure.units import AMBIGUOUS, BY_KIND, SMALLER, UNITS, convert
from handsfree.phrases.grammar import Named, Node, Unless, either, maybe, says, seq
from handsfree.phrases.quantities.numbers import (
    COUNTING,
    IN_PAIRS_TO_60,
    NOT_WHOLE,
    NTH,
    NUMBER,
    NUMBER_ALONE,
    PART_OF_ONE,
    PLAIN_WHOLE,
    SMALL,
    WHOLE,
    Number,
)
from handsfree.text.numerals import a

OF_A_TRADE = frozenset((
    "ft", "oz", "lb", "kgf", "lbf", "cN m", "lbf ft", "s/d", "mbar", "hPa", "mmHg", "inHg", "inH2O", "ml", "dB",
    "HV", "HRB", "HRC", "HBW", "Shore A",
))  # fmt: skip
"""Units that are heard only where a procedure measures what they measure: every further word makes all the others
harder to hear ("four and a half thou" became doubtful by them)."""


def _unit_words(keys: Iterable[str]) -> Node:
    return either(
        *(says(form, key) for key in keys for form in UNITS[key].spoken_forms if form and form not in BY_KIND)
    )


UNIT_WORD: Node = Named(_unit_words(key for key in UNITS if key not in OF_A_TRADE), "UNIT")
"""A unit that is heard everywhere, by any of its names that can mean nothing else."""
ANY_UNIT_WORD: Node = Named(_unit_words(UNITS), "UNIT")
"""Any unit, as it may be typed."""
_AMBIGUOUS = (*AMBIGUOUS, *BY_KIND)
_article = either("a", "an")


def _or_ambiguous(*words: str) -> Node:
    """A unit, or a word that may mean several: both in one node, so that the numbers before it are compiled once."""
    return either(
        seq(UNIT_WORD, to=lambda key: (key, None)),
        *(says(word, (None, word)) for word in words),
    )


_unit_or_word = _or_ambiguous(*_AMBIGUOUS)
_one_or_word = _or_ambiguous(*(word for word in _AMBIGUOUS if not word.endswith("s")))
# Of a tenth and a hundredth, which are parts themselves, people say no parts.
_whole_or_word = _or_ambiguous("mil", *(word for word in BY_KIND if not word.endswith("s")))

UnitMeant = tuple[str | None, str | None]
"""A unit, or else an ambiguous word."""


def _of(said: Number, unit: str | None = None) -> Figure:
    return Figure(said.value, said.decimals, unit)


def _meant(said: Number, meant: UnitMeant) -> Figure:
    return Figure(said.value, said.decimals, *meant)


def _part(fraction: Fraction, meant: UnitMeant) -> Figure:
    return Figure(fraction, None, *meant)


def _tenths(count: Fraction, unit: str) -> Figure:
    return _part(count, (None, unit) if unit in _AMBIGUOUS else (unit, None))


def _and_a_part(said: Number, unit: str, fraction: Fraction) -> Figure:
    return Figure(said.value + fraction, None, unit)


def _tenths_of(denominator: int, name: str) -> Node:
    """ "three tenths of a second", "a hundredth of an inch", "a tenth of a mil"."""
    one_of = either(
        *(
            says(a(form), key)
            for key in PARTED
            if (key, denominator) not in OTHER_THAN
            for form in (UNITS[key].one, UNITS[key].one.replace("metre", "meter"))
        ),
        says("a mil", "mil"),
    )
    count = either(
        seq(either(says("a", Fraction(1)), says("one", Fraction(1))), name),
        seq(WHOLE, f"{name}s", to=lambda n: n.value),
    )
    return seq(count, "of", one_of, to=lambda n, unit: _tenths(n / denominator, unit))


_OF_A_ROUND_NUMBER = frozenset({"and", "hundred", "thousand", "minus"})


def _ten_thousandths(meant: Figure, words: Sequence[str]) -> bool:
    """Whether "six ten thousandths" was taken for six hundred and ten thou: it is tenths of a thou. (A point before it,
    or a hundred, leaves both.)"""
    if meant.unit != "thou" or "ten" not in words:
        return False
    at = max(place for place, word in enumerate(words) if word == "ten")
    before = words[:at]
    in_pairs = bool(before) and before[-1] not in _OF_A_ROUND_NUMBER and "point" not in before
    return in_pairs and words[at + 1].startswith("thousandth")


FIGURE_WITH_UNIT: Node = either(
    Unless(seq(NUMBER, _unit_or_word, to=_meant), _ten_thousandths),
    # "a thou", "an inch"; "half a thou"; "three quarters of an inch", "one over fifty of a second"
    seq(_article, _one_or_word, to=lambda meant: Figure(Fraction(1), 0, *meant)),
    seq(either(PART_OF_ONE, NTH), _article, _whole_or_word, to=_part),
    seq(NOT_WHOLE, "of", _article, _whole_or_word, to=_meant),
    # "four thou and a half", "an inch and a half"
    seq(either(WHOLE, says("a", Number(Fraction(1))), says("an", Number(Fraction(1)))), UNIT_WORD, "and", PART_OF_ONE,
        to=_and_a_part),
    *(_tenths_of(denominator, name) for denominator, name in TENTHS.items()),
)  # fmt: skip

FIGURE: Node = Named(either(seq(NUMBER_ALONE, to=_of), FIGURE_WITH_UNIT), "FIGURE")
"""A number with or without its unit."""


def _in_two(larger: str) -> Node:
    """ "two minutes ten seconds", "thirty degrees and fifteen minutes"."""
    smaller = SMALLER[larger]
    first, second = (
        (*UNITS[key].spoken_forms, *(form for form, kinds in BY_KIND.items() if key in kinds.values()))
        for key in (larger, smaller)
    )
    return seq(either(*first), maybe("and"), SMALL, either(*second), to=lambda rest: (larger, smaller, rest))


def _two_parts(count: int, rest: tuple[str, str, Number]) -> Figure:
    larger, smaller, said = rest
    whole = convert(Fraction(count), larger, smaller)
    return Figure(whole + said.value, said.decimals, smaller, larger=larger)


def _of_two(*larger: str) -> Node:
    count = either(COUNTING, says("a", 1), says("an", 1))
    return Named(seq(count, either(*map(_in_two, larger)), to=_two_parts), "FIGURE")


IN_TWO: Node = _of_two(*SMALLER)
"""A figure in two units: hours and minutes, degrees and minutes of arc, pounds and ounces, feet and inches."""


def _of_these_kinds(measured_in: frozenset[str]) -> list[str]:
    """The units of what is measured in ``measured_in``."""
    kinds = {UNITS[key].kind for key in measured_in}
    kinds |= {"mass"} if "force" in kinds else set()
    # Feet are of no use to who measures in thous.
    return [
        key for key, unit in UNITS.items()
        if unit.kind in kinds and (key != "ft" or measured_in & {"ft", "inch"})
    ]  # fmt: skip


@cache
def figures_of_trades(measured_in: frozenset[str]) -> Node | None:
    """Figures in units that are not heard everywhere, and in two units, where figures are in the units
    ``measured_in``; None where none of them would do."""
    keys = _of_these_kinds(measured_in)
    words = [key for key in keys if key in OF_A_TRADE]
    pairs = [larger for larger, smaller in SMALLER.items() if larger in keys and smaller in keys]
    ways = [*([_in_units(words)] if words else []), *([_of_two(*pairs)] if pairs else [])]
    return Named(either(*ways), "FIGURE") if ways else None


@cache
def any_unit_said(measured_in: frozenset[str]) -> Node:
    """The units that are heard everywhere, and those of a trade where figures are in the units ``measured_in``."""
    words = [key for key in _of_these_kinds(measured_in) if key in OF_A_TRADE]
    return Named(either(UNIT_WORD, _unit_words(words)), "UNIT") if words else UNIT_WORD


def _in_units(keys: Iterable[str]) -> Node:
    word = _unit_words(keys)
    number = either(NUMBER, says("a", Number(Fraction(1))), says("an", Number(Fraction(1))))
    return either(
        seq(number, word, to=_of),
        seq(either(PART_OF_ONE, NTH), _article, word, to=lambda part, key: Figure(part, None, key)),
        seq(NOT_WHOLE, "of", _article, word, to=_of),
        seq(either(WHOLE, says("a", Number(Fraction(1))), says("an", Number(Fraction(1)))), word, "and", PART_OF_ONE,
            to=_and_a_part),
    )  # fmt: skip


ANY_FIGURE: Node = either(FIGURE, Named(either(_in_units(sorted(OF_A_TRADE)), IN_TWO), "FIGURE"))
"""A figure in any unit, or in two, as it may be typed."""


def _minutes_and_seconds(both: tuple[int, int]) -> Figure:
    return _two_parts(both[0], ("min", "s", Number(Fraction(both[1]))))


_duration_word = either(*(says(f, key) for key in ("s", "min", "h") for f in UNITS[key].spoken_forms))
DURATION: Node = Named(
    either(
        seq(PLAIN_WHOLE, _duration_word, to=lambda n, key: Figure(Fraction(n), 0, key)),
        # "One thirty seconds" on a timer is no hundred and thirty; it is read back in minutes and seconds.
        seq(IN_PAIRS_TO_60, either(*UNITS["s"].spoken_forms), to=_minutes_and_seconds),
        _of_two("h", "min"),
        says("half a minute", Figure(Fraction(30), 0, "s")),
        says("half an hour", Figure(Fraction(30), 0, "min")),
        says("a quarter of an hour", Figure(Fraction(15), 0, "min")),
        says("three quarters of an hour", Figure(Fraction(45), 0, "min")),
        says("a minute", Figure(Fraction(1), 0, "min")),
        says("an hour", Figure(Fraction(1), 0, "h")),
        says("a minute and a half", Figure(Fraction(3, 2), 1, "min")),
        says("an hour and a half", Figure(Fraction(3, 2), 1, "h")),
        seq(
            WHOLE,
            "and a half",
            either(says("minutes", "min"), says("hours", "h")),
            to=lambda n, key: Figure(n.value + Fraction(1, 2), 1, key),
        ),
    ),
    "TIME",
)
"""A length of time for a timer, in seconds, minutes or hours."""
