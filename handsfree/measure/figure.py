"""A figure as it was stated: exact value, stated decimals, unit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction


@dataclass(frozen=True)
class Figure:
    """A number somebody said, exactly as said.

    ``value`` is exact. ``decimals`` is the number of decimals stated ("point one zero" has two) or None where the
    figure was said as a fraction. ``unit`` is a key of ``units.UNITS``, or None where none was said.
    ``ambiguous_unit`` holds a unit word that must be asked back ("mil"). ``larger`` is the unit of the first part of a
    figure said in two ("two minutes ten seconds": 130 s, larger "min").
    """

    value: Fraction
    decimals: int | None = 0
    unit: str | None = None
    ambiguous_unit: str | None = None
    larger: str | None = None

    @property
    def text(self) -> str:
        """The value as decimal text with its stated decimals; a fraction that has no finite decimal as "n/d"."""
        if self.decimals is not None:
            return decimal_text(self.value, self.decimals)
        denominator, power = self.value.denominator, 0
        while denominator != 1 and power < 12:
            denominator = (self.value * 10 ** (power + 1)).denominator
            power += 1
        if denominator == 1:
            return decimal_text(self.value, power)
        return f"{self.value.numerator}/{self.value.denominator}"


def decimal_text(value: Fraction, decimals: int) -> str:
    """``value`` rounded half to even at ``decimals`` places, as plain decimal text."""
    scaled = round(value * 10**decimals)
    if not decimals:
        return str(scaled)
    digits = f"{abs(scaled):0{decimals + 1}}"
    return f"{'-' * (scaled < 0)}{digits[:-decimals]}.{digits[-decimals:]}"


MOST_DECIMALS = 24
"""With so many decimals a value that has no end is kept."""


def exact_text(value: Fraction) -> str:
    """``value`` as decimal text with every digit, or with as many decimals as are kept where there is no end."""
    places = next((n for n in range(MOST_DECIMALS) if (value * 10**n).denominator == 1), MOST_DECIMALS)
    return decimal_text(value, places)


def figure_from_text(text: str, unit: str | None = None) -> Figure:
    """The figure that ``Figure.text`` wrote; ValueError where it is neither decimal nor "n/d"."""
    if "/" in text:
        return Figure(Fraction(text), None, unit)
    number = Decimal(text)
    exponent = number.as_tuple().exponent
    if not isinstance(exponent, int):
        raise ValueError(f"{text!r} is not a finite number")
    return Figure(Fraction(number), max(0, -exponent), unit)
