"""The units a figure may be said in: one table for grammar, conversion and read-back.

Conversions are made by pint with exact decimals. Two traps are avoided by name: ``mil`` (an angle to pint, a
millimetre or a thousandth of an inch to people) is no unit here, and torque is force times length
(``force_ounce * inch``; ``oz * inch`` would be mass times length).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

from handsfree.measure.figure import Figure


@dataclass(frozen=True)
class Unit:
    """A unit as it is said, written and computed.

    ``key`` is its name in procedure files and logs, ``pint`` the expression that pint understands, ``symbol``
    how it is written after a figure, ``one`` and ``many`` how it is read back, ``said`` every further way in which
    people say it, ``kind`` what it measures, ``spelt`` every further way in which people write it.
    ``part_of`` is the unit of which it is a tenth or a hundredth: figures are written as decimals of that.
    """

    key: str
    pint: str
    symbol: str
    one: str
    many: str
    kind: str
    said: tuple[str, ...] = ()
    spelt: tuple[str, ...] = ()
    part_of: str = ""

    @property
    def spoken_forms(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys((self.one, self.many, *self.said)))


_TABLE = (
    # length
    Unit("thou", "thou", "thou", "thou", "thou", "length",
         said=("thousandth", "thousandths", "thousandth of an inch", "thousandths of an inch")),
    Unit("inch", "inch", "in", "inch", "inches", "length"),
    Unit("mm", "millimeter", "mm", "millimetre", "millimetres", "length", said=("millimeter", "millimeters")),
    Unit("hundredth mm", "millimeter / 100", "/100 mm", "hundredth of a millimetre", "hundredths of a millimetre",
         "length", said=("hundredth of a millimeter", "hundredths of a millimeter"), part_of="mm"),
    Unit("tenth mm", "millimeter / 10", "/10 mm", "tenth of a millimetre", "tenths of a millimetre", "length",
         said=("tenth of a millimeter", "tenths of a millimeter"), part_of="mm"),
    Unit("tenth thou", "thou / 10", "/10 thou", "tenth of a thou", "tenths of a thou", "length",
         said=("tenth of a thousandth", "tenths of a thousandth",
          "ten thousandth", "ten thousandths", "ten thousandth of an inch", "ten thousandths of an inch"),
         part_of="thou"),
    Unit("hundredth inch", "inch / 100", "/100 in", "hundredth of an inch", "hundredths of an inch", "length",
         part_of="inch"),
    Unit("micron", "micrometer", "µm", "micron", "microns", "length",
         said=("micrometre", "micrometres", "micrometer", "micrometers")),
    Unit("cm", "centimeter", "cm", "centimetre", "centimetres", "length", said=("centimeter", "centimeters")),
    Unit("ft", "foot", "ft", "foot", "feet", "length"),
    # angle
    Unit("degree", "degree", "°", "degree", "degrees", "angle", said=("degree of arc", "degrees of arc")),
    Unit("arcminute", "arcminute", "′", "arc minute", "arc minutes", "angle",
         said=("minute of arc", "minutes of arc")),
    Unit("turn", "turn", "turns", "turn", "turns", "angle", said=("turn out", "turns out", "turn in", "turns in")),
    # mass and force
    Unit("g", "gram", "g", "gram", "grams", "mass", said=("gramme", "grammes")),
    Unit("kg", "kilogram", "kg", "kilogram", "kilograms", "mass", said=("kilo", "kilos")),
    Unit("oz", "ounce", "oz", "ounce", "ounces", "mass"),
    Unit("lb", "pound", "lb", "pound", "pounds", "mass", spelt=("lbs",)),
    Unit("N", "newton", "N", "newton", "newtons", "force"),
    Unit("gf", "gram * standard_gravity", "gf", "gram force", "grams force", "force",
         said=("gram of force", "grams of force")),
    Unit("ozf", "force_ounce", "ozf", "ounce force", "ounces force", "force",
         said=("ounce of force", "ounces of force")),
    Unit("kgf", "kilogram_force", "kgf", "kilogram force", "kilograms force", "force",
         said=("kilogram of force", "kilograms of force")),
    Unit("lbf", "force_pound", "lbf", "pound force", "pounds force", "force",
         said=("pound of force", "pounds of force")),
    # torque
    Unit("N m", "newton * meter", "N m", "newton metre", "newton metres", "torque",
         said=("newton meter", "newton meters")),
    Unit("N cm", "newton * centimeter", "N cm", "newton centimetre", "newton centimetres", "torque",
         said=("newton centimeter", "newton centimeters")),
    Unit("mN m", "millinewton * meter", "mN m", "millinewton metre", "millinewton metres", "torque",
         said=("millinewton meter", "millinewton meters")),
    Unit("cN m", "centinewton * meter", "cN m", "centinewton metre", "centinewton metres", "torque",
         said=("centinewton meter", "centinewton meters")),
    Unit("lbf in", "force_pound * inch", "lbf in", "inch pound", "inch pounds", "torque",
         spelt=("in lb", "in lbf", "lb in")),
    Unit("lbf ft", "force_pound * foot", "lbf ft", "foot pound", "foot pounds", "torque",
         said=("pound foot", "pound feet"), spelt=("ft lb", "ft lbf", "lb ft")),
    Unit("ozf in", "force_ounce * inch", "ozf in", "inch ounce", "inch ounces", "torque",
         said=("ounce inch", "ounce inches"), spelt=("in oz", "oz in")),
    # time and its inverse
    Unit("s", "second", "s", "second", "seconds", "time"),
    Unit("ms", "millisecond", "ms", "millisecond", "milliseconds", "time"),
    Unit("min", "minute", "min", "minute", "minutes", "time"),
    Unit("h", "hour", "h", "hour", "hours", "time"),
    Unit("s/d", "second / day", "s/d", "second a day", "seconds a day", "rate",
         said=("second per day", "seconds per day"), spelt=("s/day", "sec/day")),
    Unit("Hz", "hertz", "Hz", "hertz", "hertz", "frequency"),
    Unit("rpm", "revolutions_per_minute", "rpm", "r p m", "r p m", "speed",
         said=("revs", "revs per minute", "revolutions per minute")),
    # electrical
    Unit("V", "volt", "V", "volt", "volts", "voltage"),
    Unit("mV", "millivolt", "mV", "millivolt", "millivolts", "voltage"),
    Unit("A", "ampere", "A", "amp", "amps", "current", said=("ampere", "amperes")),
    Unit("mA", "milliampere", "mA", "milliamp", "milliamps", "current", said=("milliampere", "milliamperes")),
    Unit("ohm", "ohm", "Ω", "ohm", "ohms", "resistance"),
    Unit("kohm", "kiloohm", "kΩ", "kilohm", "kilohms", "resistance"),
    # temperature and pressure
    Unit("°C", "degree_Celsius", "°C", "degree celsius", "degrees celsius", "temperature", said=("celsius",)),
    Unit("°F", "degree_Fahrenheit", "°F", "degree fahrenheit", "degrees fahrenheit", "temperature",
         said=("fahrenheit",)),
    Unit("bar", "bar", "bar", "bar", "bar", "pressure"),
    Unit("mbar", "millibar", "mbar", "millibar", "millibars", "pressure"),
    Unit("psi", "force_pound / inch / inch", "psi", "p s i", "p s i", "pressure", said=("pounds per square inch",)),
    Unit("kPa", "kilopascal", "kPa", "kilopascal", "kilopascals", "pressure"),
    Unit("hPa", "hectopascal", "hPa", "hectopascal", "hectopascals", "pressure"),
    Unit("mmHg", "millimeter_Hg", "mmHg", "millimetre of mercury", "millimetres of mercury", "pressure",
         said=("millimeter of mercury", "millimeters of mercury")),
    Unit("inHg", "inch_Hg", "inHg", "inch of mercury", "inches of mercury", "pressure"),
    # The conventional inch of water: a thousand kilograms a cubic metre under standard gravity.
    Unit("inH2O", "inch * kilogram * standard_gravity / liter", "inH₂O", "inch of water", "inches of water",
         "pressure", spelt=("in H2O",)),
    # volume and sound
    Unit("ml", "milliliter", "ml", "millilitre", "millilitres", "volume", said=("milliliter", "milliliters")),
    Unit("dB", "dimensionless", "dB", "decibel", "decibels", "level"),
    # hardness: each scale has its own way of pressing, and there is no conversion but by tables of comparison
    Unit("HV", "dimensionless", "HV", "vickers", "vickers", "Vickers hardness"),
    Unit("HRB", "dimensionless", "HRB", "rockwell b", "rockwell b", "Rockwell B hardness"),
    Unit("HRC", "dimensionless", "HRC", "rockwell c", "rockwell c", "Rockwell C hardness"),
    Unit("HBW", "dimensionless", "HBW", "brinell", "brinell", "Brinell hardness", spelt=("HB",)),
    Unit("Shore A", "dimensionless", "Shore A", "shore a", "shore a", "Shore A hardness"),
    # pure numbers
    Unit("percent", "percent", "%", "percent", "percent", "ratio", said=("per cent",)),
    Unit("count", "dimensionless", "", "", "", "count", said=("off", "count", "counts")),
)  # fmt: skip

UNITS: dict[str, Unit] = {unit.key: unit for unit in _TABLE}

AMBIGUOUS: dict[str, tuple[str, ...]] = {
    "mil": ("mm", "thou"),
    "mils": ("mm", "thou"),
    "tenth": ("tenth thou", "tenth mm"),
    "tenths": ("tenth thou", "tenth mm"),
    "hundredth": ("hundredth mm", "hundredth inch"),
    "hundredths": ("hundredth mm", "hundredth inch"),
}
"""Unit words that mean different things to different people: asked back, never guessed (but see ``settled``)."""

BY_KIND: dict[str, dict[str, str | None]] = {
    "degree": {"angle": "degree", "temperature": None},
    "degrees": {"angle": "degree", "temperature": None},
    "minute": {"time": "min", "angle": "arcminute"},
    "minutes": {"time": "min", "angle": "arcminute"},
}
"""Unit words that mean different things where different things are measured (None: the unit that is used there)."""

SMALLER = {"h": "min", "min": "s", "degree": "arcminute", "lb": "oz", "ft": "inch"}
"""Units of which figures are said in two parts, with the unit of the second: "thirty degrees fifteen minutes"."""

WEIGHED = {"g": "gf", "kg": "kgf", "oz": "ozf", "lb": "lbf"}
"""Masses, each with the weight of it under standard gravity: a spring balance is marked in grams or ounces, and shows a
force."""

_METRIC = frozenset({"mm", "cm", "micron", "hundredth mm", "tenth mm"})


def settled(word: str, measured_in: str) -> str | None:
    """The unit that an ambiguous ``word`` can only mean where figures are in ``measured_in``; None: it must be asked.

    Degrees and minutes are settled by what is measured, and hundredths are of a millimetre where millimetres are used.
    """
    if word in BY_KIND:
        kinds = BY_KIND[word]
        return kinds.get(unit(measured_in).kind, next(iter(kinds.values()))) or measured_in
    return "hundredth mm" if word in ("hundredth", "hundredths") and measured_in in _METRIC else None


def in_use(figure: Figure, measured_in: str) -> Figure:
    """``figure`` as it is meant where figures are in ``measured_in``: with that unit where none was said, with an
    ambiguous word settled where it can mean one thing only, and a mass as its weight where a force is measured."""
    if figure.ambiguous_unit is not None:
        meant = settled(figure.ambiguous_unit, measured_in)
        return replace(figure, unit=meant, ambiguous_unit=None) if meant else figure
    if figure.unit is None:
        return replace(figure, unit=measured_in)
    larger = unit_in_use(figure.larger, measured_in) if figure.larger else None
    return replace(figure, unit=unit_in_use(figure.unit, measured_in), larger=larger)


def unit_in_use(key: str, measured_in: str) -> str:
    """The unit that ``key`` stands for where figures are in ``measured_in``: grams are grams of force where a force is
    measured."""
    return WEIGHED.get(key, key) if unit(measured_in).kind == "force" else key


def meanings(word: str) -> tuple[str, ...]:
    """The units that an ambiguous ``word`` may mean."""
    if word in BY_KIND:
        return ("degree", "°C", "°F") if word.startswith("degree") else ("min", "arcminute")
    return AMBIGUOUS[word]


class UnitError(ValueError):
    """A unit that is not in the table, or two that do not measure the same thing."""


@lru_cache(maxsize=1)
def _registry() -> Any:
    # Most commands convert nothing, and importing it is a fifth of their time.
    import pint  # noqa: PLC0415

    return pint.UnitRegistry(non_int_type=Decimal)


def prepare_conversions() -> None:
    """Load what converts, so that the first figure does not wait for it."""
    _registry()


def unit(key: str) -> Unit:
    """The unit of this key; UnitError names the keys there are."""
    try:
        return UNITS[key]
    except KeyError:
        raise UnitError(f"unit {key!r} is not known; known units: {', '.join(UNITS)}") from None


@cache
def _factor(source: str, target: str) -> tuple[Fraction, Fraction]:
    """Scale and offset (exact) that take a value in ``source`` to ``target``."""
    if unit(source).kind != unit(target).kind:
        raise UnitError(f"{unit(source).many or 'a count'} measure {unit(source).kind}, not {unit(target).kind}")
    if source == target:
        return Fraction(1), Fraction(0)
    registry = _registry()
    if unit(source).kind == "temperature":
        zero, one = (Fraction(registry.Quantity(Decimal(x), unit(source).pint).to(unit(target).pint).magnitude)
                     for x in (0, 1))  # fmt: skip
        return (one - zero).limit_denominator(1000), zero.limit_denominator(1000)
    return _in_base_units(source) / _in_base_units(target), Fraction(0)


@cache
def _in_base_units(key: str) -> Fraction:
    """One of this unit in base units of its kind (degrees for angles), exact but for turns a minute (pi)."""
    if unit(key).kind == "angle":
        # Through radians pi comes in as a rounded decimal; the true ratios are small fractions.
        ratio = _registry().Quantity(1, unit(key).pint).to("degree").magnitude
        return Fraction(ratio).limit_denominator(10**6)
    # Factor by factor: a product keeps every digit as a fraction only.
    factors = _FACTOR.findall(unit(key).pint)
    return math.prod((1 / _one(name) if sign == "/" else _one(name) for sign, name in factors), start=Fraction(1))


_FACTOR = re.compile(r"([*/]?) ?([\w.]+)")


def _one(name: str) -> Fraction:
    """One of pint's units in base units, or the number that is written."""
    registry = _registry()
    return Fraction(registry.Quantity(registry.parse_expression(name)).to_base_units().magnitude)


def convert(value: Fraction, source: str, target: str) -> Fraction:
    """``value`` of ``source`` units in ``target`` units, exactly; UnitError where they measure different things."""
    scale, offset = _factor(source, target)
    return value * scale + offset


def difference_in(size: Fraction, source: str, target: str) -> Fraction:
    """A difference (a step, an uncertainty) of ``source`` units in ``target`` units: a step in celsius is no
    temperature."""
    return convert(size, source, target) - convert(Fraction(0), source, target)


_SI = {
    "length": "m", "angle": "rad", "mass": "kg", "force": "N", "torque": "N m", "time": "s", "frequency": "Hz",
    "speed": "rad/s", "voltage": "V", "current": "A", "resistance": "Ω", "temperature": "K", "pressure": "Pa",
    "ratio": "1", "count": "1", "rate": "1", "volume": "m³", "level": "dB",
}  # fmt: skip
"""What has no unit of the SI keeps its own, such as the scales of hardness."""


def si(value: Fraction, key: str) -> tuple[float, str]:
    """A value in the SI unit of its kind, as the nearest double, with that unit's symbol."""
    kind = unit(key).kind
    if kind == "temperature":
        return float(convert(value, key, "°C") + Fraction("273.15")), _SI[kind]
    if kind == "angle":
        return math.radians(float(convert(value, key, "degree"))), _SI[kind]
    return float(value * _in_base_units(key)), _SI.get(kind, key)
