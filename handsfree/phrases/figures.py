"""Figures: a number with its unit, as people say them together."""

from __future__ import annotations

from fractions import Fraction

from handsfree.measure.figure import Figure
from handsfree.measure.units import AMBIGUOUS, UNITS
from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.numbers import Number, number, number_alone, part, whole

_unit_word = Named(
    either(*(says(form, key) for key, unit in UNITS.items() for form in unit.spoken_forms if form)), "UNIT"
)
_ambiguous_word = either(*(says(word, word) for word in AMBIGUOUS))


def _of(said: Number, unit: str | None = None) -> Figure:
    return Figure(said.value, said.decimals, unit)


def _one(unit: str) -> Figure:
    return Figure(Fraction(1), 0, unit)


def _ambiguous(said: Number, word: str) -> Figure:
    return Figure(said.value, said.decimals, None, ambiguous_unit=word)


def _part_of(fraction: Fraction, unit: str) -> Figure:
    return Figure(fraction, None, unit)


def _and_a_part(said: Number, unit: str, fraction: Fraction) -> Figure:
    return Figure(said.value + fraction, None, unit)


with_unit: Node = either(
    seq(number, _unit_word, to=_of),
    # "a thou", "an inch"; "half a thou", "three quarters of an inch"; "four thou and a half"
    seq(either("a", "an"), _unit_word, to=_one),
    seq(part, maybe("of"), either("a", "an"), _unit_word, to=_part_of),
    seq(whole, _unit_word, "and", part, to=_and_a_part),
    seq(number, _ambiguous_word, to=_ambiguous),
)

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
