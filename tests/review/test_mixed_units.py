"""Readings of one characteristic stated in several units: what is told of them is exact arithmetic, rounded once."""

from __future__ import annotations

import csv
import io
import re
import tempfile
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.units import UNITS, in_use
from handsfree.phrases.language import plain_words
from handsfree.phrases.quantities.figures import ANY_FIGURE
from handsfree.procedure.file.loader import load_procedure
from handsfree.review.exports import record_json, to_csv
from handsfree.review.record import record_of
from handsfree.review.text.whole import review_text
from handsfree.text.columns import WIDEST, within
from tests.support.played import Played, player

_POUND, _G, _INCH = Fraction("0.45359237"), Fraction("9.80665"), Fraction("25.4")
KINDS = {
    # Written down anew from the definitions: the pound and the inch of 1959, standard gravity (NIST SP 811), prefixes.
    "length": {"mm": Fraction(1), "inch": _INCH, "thou": _INCH / 1000, "micron": Fraction(1, 1000), "cm": Fraction(10)},
    "pressure": {"kPa": Fraction(1000), "bar": Fraction(10**5), "hPa": Fraction(100),
                 "psi": _POUND * _G / (_INCH / 1000) ** 2},
    "mass": {"g": Fraction(1), "kg": Fraction(1000), "oz": 1000 * _POUND / 16, "lb": 1000 * _POUND},
    "torque": {"N m": Fraction(1), "cN m": Fraction(1, 100), "lbf in": _POUND * _G * _INCH / 1000,
               "lbf ft": _POUND * _G * Fraction("0.3048")},
    "time": {"s": Fraction(1), "min": Fraction(60)},
}  # fmt: skip
PROCEDURE = """
title: Proving
item: Bench gauge
revision: 1
steps:
  - id: one
    do: Measure it.
    measure: {{name: size, unit: {unit}, tool: {{name: tester{resolution}}}}}
"""


@dataclass(frozen=True)
class Mixture:
    """Readings, each with its unit, of what is measured in ``unit`` with a tool of this resolution (in ``unit``)."""

    unit: str
    resolution: Fraction | None
    said: tuple[Figure, ...]

    def factor(self, key: str) -> Fraction:
        units = next(units for units in KINDS.values() if self.unit in units)
        return units[key] / units[self.unit]

    @property
    def exact(self) -> list[Fraction]:
        return [each.value * self.factor(each.unit or "") for each in self.said]

    @property
    def steps(self) -> list[Fraction]:
        """What can be told apart in each: the tool's resolution, a last digit in its own unit where that is finer;
        without a resolution the last digit that was stated."""
        found = []
        for each in self.said:
            last = Fraction(1, 10 ** (each.decimals or 0)) * self.factor(each.unit or "")
            if self.resolution is None:
                found.append(last)
            else:
                found.append(min(last, self.resolution) if each.unit == self.unit else self.resolution)
        return found

    @property
    def step(self) -> Fraction:
        """What can be told apart in all: the finest in the own unit, else the coarsest of the others."""
        own = [step for step, each in zip(self.steps, self.said, strict=True) if each.unit == self.unit]
        return min(own) if own else max(self.steps)


def places(step: Fraction) -> int:
    """The largest power of ten that is at most a fifth of the step; six decimals at most."""
    return next(n for n in range(7) if Fraction(1, 10**n) <= step / 5 or n == 6)


@st.composite
def mixtures(draw: st.DrawFn) -> Mixture:
    units = KINDS[draw(st.sampled_from(sorted(KINDS)))]
    decimals = draw(st.none() | st.integers(0, 3))
    resolution = None if decimals is None else draw(st.sampled_from([1, 2, 5])) * Fraction(1, 10**decimals)
    said = []
    for _ in range(draw(st.integers(2, 4))):
        # Digit by digit, with noughts nowhere: no word of them is easily taken for another.
        digits = draw(st.lists(st.integers(1, 9), min_size=2, max_size=4))
        point = draw(st.integers(1, len(digits) - 1))
        value = Fraction(int("".join(map(str, digits))), 10 ** (len(digits) - point))
        said.append(Figure(value, len(digits) - point, draw(st.sampled_from(sorted(units)))))
    mixture = Mixture(draw(st.sampled_from(sorted(units))), resolution, tuple(said))
    # Nobody says a metre in microns: longer numbers have no words at the bench.
    assume(max(mixture.exact) < 1_000_000)
    return mixture


def _in_words(said: Figure) -> str:
    names = ("nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
    digits = " ".join("point" if sign == "." else names[int(sign)] for sign in said.text)
    return f"log {digits} {UNITS[said.unit or ''].many}"


def played(mixture: Mixture, folder: Path) -> Played:
    path = folder / "proving.yaml"
    resolution = "" if mixture.resolution is None else f", resolution: {float(mixture.resolution)}"
    path.write_text(PROCEDURE.format(unit=mixture.unit, resolution=resolution), encoding="utf-8")
    said = []
    for each in mixture.said:
        # What falls between two divisions is asked again: said again, it is written.
        said += [_in_words(each), _in_words(each)[4:]]
    return player(load_procedure(path), Store(folder / "logs"))(*said, "readings of size")


def heard(text: str, unit: str) -> Figure:
    (meaning,) = ANY_FIGURE.meanings(plain_words(text))
    assert isinstance(meaning, Figure)
    meant = in_use(meaning, unit)
    assert meant.unit == unit
    return meant


@settings(max_examples=15)
@given(mixtures())
def test_a_mixture_of_units_is_told_as_exact_arithmetic_rounded_once(mixture: Mixture) -> None:
    with tempfile.TemporaryDirectory() as folder:
        job = played(mixture, Path(folder))
        procedures = {"proving": load_procedure(Path(folder) / "proving.yaml").procedure}
    values, kept = mixture.exact, places(mixture.step)
    mean, range_ = round(sum(values) / len(values), kept), round(max(values) - min(values), kept)

    told = re.fullmatch(
        r"Size, as set, \w+ readings, mean (.+), range (.+), standard deviation (?:about )?(.+)\.", job.last
    )
    assert told is not None, job.last
    assert heard(told[1], mixture.unit).value == mean
    if range_:
        assert heard(told[2], mixture.unit).value == range_
    assert not {"over", "th", "ths"} & set(plain_words(job.last))

    state = fold(job.events)
    with within(WIDEST):
        review = review_text(procedures, state, job.events, job="2026-11-25-1")
    (row,) = re.findall(r"^ *size +as set +\d +(.*)$", review, flags=re.MULTILINE)
    cells = re.split(r" {2,}", row)
    assert Fraction(cells[0].split()[0]) == mean
    assert "/" not in row.replace(UNITS[mixture.unit].symbol, "")

    record = record_of(procedures, state, job.events, job="2026-11-25-1")
    lines = list(csv.DictReader(io.StringIO(to_csv([record]), newline="")))
    assert len(lines) == len(mixture.said)
    for line, said, value, step in zip(lines, mixture.said, values, mixture.steps, strict=True):
        assert re.fullmatch(r"[\d.]+", line["value"])
        if said.unit == mixture.unit:
            assert Fraction(line["value"]) == said.value
        elif round(value, places(step)):
            assert Fraction(line["value"]) == round(value, places(step))
        assert line["as_said"] == f"{said.text} {UNITS[said.unit or ''].symbol}"
    assert not re.search(r'"value": "[^"]*/', record_json(record, job.events))
    assert spoken(heard(told[1], mixture.unit)) == told[1]
