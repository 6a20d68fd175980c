"""Figures: a number with its unit, as people say them together."""

from __future__ import annotations

from fractions import Fraction

from handsfree.measure.figure import Figure
from handsfree.measure.units import AMBIGUOUS, BY_KIND, UNITS
from handsfree.measure.wording import OTHER_THAN, PARTED, TENTHS
from handsfree.phrases.grammar import Named, Node, either, says, seq
from handsfree.phrases.numbers import Number, not_whole, nth, number, number_alone, part, whole

unit_word: Node = Named(
    either(
        *(says(form, key) for key, unit in UNITS.items() for form in unit.spoken_forms if form and form not in BY_KIND)
    ),
    "UNIT",
)
"""A unit, by any of its names that can mean nothing else."""
_AMBIGUOUS = (*AMBIGUOUS, *BY_KIND)
_ambiguous_word = either(*(says(word, word) for word in _AMBIGUOUS))
_one_ambiguous = either(*(says(word, word) for word in _AMBIGUOUS if not word.endswith("s")))
# Of a tenth and a hundredth, which are parts themselves, people say no parts.
_ambiguous_whole = either(*(says(word, word) for word in ("mil", *BY_KIND) if not word.endswith("s")))
_article = either("a", "an")


def _of(said: Number, unit: str | None = None) -> Figure:
    return Figure(said.value, said.decimals, unit)


def _one(unit: str) -> Figure:
    return Figure(Fraction(1), 0, unit)


def _ambiguous(said: Number, word: str) -> Figure:
    return Figure(said.value, said.decimals, None, ambiguous_unit=word)


def _ambiguous_part(fraction: Fraction, word: str) -> Figure:
    return Figure(fraction, None, None, ambiguous_unit=word)


def _part_or_ambiguous(fraction: Fraction, unit: str) -> Figure:
    return _ambiguous_part(fraction, unit) if unit in _AMBIGUOUS else _part_of(fraction, unit)


def _part_of(fraction: Fraction, unit: str) -> Figure:
    return Figure(fraction, None, unit)


def _and_a_part(said: Number, unit: str, fraction: Fraction) -> Figure:
    return Figure(said.value + fraction, None, unit)


def _tenths_of(denominator: int, name: str) -> Node:
    """ "three tenths of a second", "a hundredth of an inch", "a tenth of a mil"."""
    one_of = either(
        *(
            says(f"{'an' if form[0] in 'aeiou' else 'a'} {form}", key)
            for key in PARTED
            if (key, denominator) not in OTHER_THAN
            for form in (UNITS[key].one, UNITS[key].one.replace("metre", "meter"))
        ),
        says("a mil", "mil"),
    )
    count = either(
        seq(either(says("a", Fraction(1)), says("one", Fraction(1))), name),
        seq(whole, f"{name}s", to=lambda n: n.value),
    )
    return seq(count, "of", one_of, to=lambda n, unit: _part_or_ambiguous(n / denominator, unit))


with_unit: Node = either(
    seq(number, unit_word, to=_of),
    # "a thou", "an inch"; "half a thou"; "three quarters of an inch", "one over fifty of a second"
    seq(_article, unit_word, to=_one),
    seq(either(part, nth), _article, unit_word, to=_part_of),
    seq(not_whole, "of", _article, unit_word, to=_of),
    # "four thou and a half", "an inch and a half"
    seq(either(whole, says("a", Number(Fraction(1))), says("an", Number(Fraction(1)))), unit_word, "and", part,
        to=_and_a_part),
    seq("a", _one_ambiguous, to=lambda word: _ambiguous(Number(Fraction(1)), word)),
    seq(either(part, nth), "a", _ambiguous_whole, to=_ambiguous_part),
    seq(not_whole, "of a", _ambiguous_whole, to=_ambiguous),
    seq(number, _ambiguous_word, to=_ambiguous),
    *(_tenths_of(denominator, name) for denominator, name in TENTHS.items()),
)  # fmt: skip

figure: Node = Named(either(seq(number_alone, to=_of), with_unit), "FIGURE")
"""A number with or without its unit."""

_duration_word = either(*(says(f, key) for key in ("s", "min", "h") for f in UNITS[key].spoken_forms))
duration: Node = Named(
    either(
        seq(whole, _duration_word, to=_of),
        says("half a minute", Figure(Fraction(30), 0, "s")),
        says("half an hour", Figure(Fraction(30), 0, "min")),
        says("a minute", Figure(Fraction(1), 0, "min")),
        says("an hour", Figure(Fraction(1), 0, "h")),
        seq(whole, "and a half minutes", to=lambda n: Figure(n.value + Fraction(1, 2), 1, "min")),
    ),
    "TIME",
)
"""A length of time for a timer, in seconds, minutes or hours."""
