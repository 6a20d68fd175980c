"""How computed figures are rounded: once, out of exact arithmetic, by the resolution of what was read.

- A figure that was stated is never changed.
- What is computed from readings (one in another unit, a mean, a range, a distance from a limit) keeps decimals to the
  largest power of ten that is no more than a fifth of the resolution: rounding then adds a tenth of a division at most.
  That is one digit more than the tool shows: tenths of a thou of readings in half thous, microns of hundredths of a
  millimetre.
- A standard deviation, and an uncertainty in another unit than it was stated in, keep two significant figures (JCGM
  100:2008, the GUM, 7.2.6).
- Halves go to the even digit. Nothing is a fraction of integers but what was stated as one, and parts of a rule (to
  sixty-fourths) that follow from such.

Where the tool's resolution is not known, the last digit that was stated stands for it; of several figures the finest in
the characteristic's own unit, since a last digit in another unit says nothing of the tool.
"""

from __future__ import annotations

from fractions import Fraction

from handsfree.measure.figure import Figure, exact_text, figure_from_text

_FINEST_PART = 64
"""The finest part of one that is written as a fraction: the divisions of a rule in inches."""
_MOST_DECIMALS = 6
"""More are not said in one breath."""
_SHARE = 5
"""How many times as fine as the resolution a computed figure is given at least."""


def step_of(stated: Figure) -> Fraction:
    """The resolution that a stated figure shows, in its unit: one in its last digit, or the part it was stated in."""
    if stated.decimals is None:
        return Fraction(1, stated.value.denominator)
    return Fraction(1, 10**stated.decimals)


def decimals_for(step: Fraction) -> int:
    """How many decimals a figure computed from readings with the resolution ``step`` keeps, six at most."""
    places = 0
    while places < _MOST_DECIMALS and Fraction(_SHARE, 10**places) > step:
        places += 1
    return places


def to_step(value: Fraction, step: Fraction, unit: str) -> Figure:
    """A computed ``value`` rounded by the resolution ``step`` (both in ``unit``), without closing noughts; what that
    would make nought of keeps two significant figures."""
    rounded = _rounded(value, decimals_for(step), unit)
    return rounded if rounded.value or not value else two_figures(value, unit)


def in_series(value: Fraction, step: Fraction, unit: str, *, rule: bool = False) -> Figure:
    """As ``to_step``, with as many decimals as the resolution has at least: a mean of 4.0 among tenths. In parts of a
    rule where that can be, if all that it is computed from was stated so (``rule``)."""
    if rule and is_part_of_rule(value):
        return Figure(value, None if value.denominator != 1 else 0, unit)
    places = decimals_for(step)
    own = next((n for n in range(places + 1) if (step * 10**n).denominator == 1), 0)
    return _rounded(value, places, unit, least=own)


def two_figures(value: Fraction, unit: str) -> Figure:
    """``value`` to two significant figures."""
    return to_figures(value, 2, unit)


def to_figures(value: Fraction, figures: int, unit: str) -> Figure:
    """``value`` to so many significant figures (whole figures are all kept), without closing noughts."""
    return _rounded(value, max(0, figures - _digits_before_point(value)), unit)


def _digits_before_point(value: Fraction) -> int:
    """Digits before the decimal point; negative by the noughts that follow it (0.004: -2)."""
    value, count = abs(value), 0
    while value >= 1:
        value, count = value / 10, count + 1
    while 0 < value < Fraction(1, 10):
        value, count = value * 10, count - 1
    return count


def difference(value: Fraction, step: Fraction, unit: str, like: Figure | None = None) -> Figure:
    """As ``to_step``, of what lies between two figures; in parts of a rule where ``like`` was stated so."""
    if like is not None and like.decimals is None and is_part_of_rule(value):
        return Figure(value, None if value.denominator != 1 else 0, unit)
    return to_step(value, step, unit)


def computed_figure(value: Fraction, unit: str) -> Figure:
    """A computed value that no tool has read: every digit, or three significant figures where there are too many."""
    exact = figure_from_text(exact_text(value), unit)
    return exact if (exact.decimals or 0) <= _MOST_DECIMALS else to_figures(value, 3, unit)


def is_part_of_rule(value: Fraction) -> bool:
    """Whether a value is whole, or in halves, quarters and so on to sixty-fourths."""
    return _FINEST_PART % value.denominator == 0


def _rounded(value: Fraction, places: int, unit: str, least: int = 0) -> Figure:
    kept = round(value * 10**places)
    while places > least and kept % 10 == 0:
        kept, places = kept // 10, places - 1
    return Figure(Fraction(kept, 10**places), places, unit)
