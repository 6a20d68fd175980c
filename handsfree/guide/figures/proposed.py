"""A reading on its way into the log, and how it is said."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from handsfree.measure.figure import Figure, decimal_text, exact_text
from handsfree.measure.formatting import number_words, spoken, written
from handsfree.measure.limits import Verdict, judge, judge_between, judge_blades
from handsfree.measure.rounding import difference, step_of
from handsfree.measure.units import convert, difference_in, in_use, unit
from handsfree.phrases.intents import Intent
from handsfree.procedure.model import Characteristic, Step
from handsfree.procedure.parts import AS_FOUND


@dataclass(frozen=True)
class Proposed:
    """A reading as it was said. ``figure`` is the blade that goes or the minus where there is an ``upper``: the blade
    that won't go, or the plus. With ``deviation`` both are from the target."""

    step: Step
    measured: Characteristic
    figure: Figure
    occasion: str
    corrects: str | None = None
    tries: int = 0
    upper: Figure | None = None
    deviation: bool = False
    feel: str | None = None
    home: str = ""
    """The procedure of the job that the step belongs to, where that is not the one being worked."""

    def saying(self, intent: Intent) -> Proposed:
        """The same with what ``intent`` says of the reading, every unit settled as far as it can be."""
        assert intent.figure is not None
        figure = in_use(intent.figure, self.measured.unit)
        upper = None if intent.upper is None else in_use(intent.upper, self.measured.unit)
        return replace(
            self,
            figure=figure,
            upper=upper,
            deviation=intent.deviation or (self.measured.deviation and figure.value <= 0),
            feel=intent.feel or self.feel,
        )

    @property
    def single(self) -> bool:
        """Whether it is one plain figure."""
        return self.upper is None and not self.deviation

    @property
    def fits(self) -> bool:
        """Whether every unit measures what is measured here."""
        kind = unit(self.measured.unit).kind
        return all(
            figure is None or (figure.unit is not None and unit(figure.unit).kind == kind)
            for figure in (self.figure, self.upper)
        )

    def same_as(self, other: Proposed) -> bool:
        """Whether the two readings come to the same."""
        return self.values == other.values and self.deviation == other.deviation

    @property
    def values(self) -> tuple[Fraction, Fraction | None]:
        """The reading in the characteristic's unit: one value, or the two between which it lies."""
        own, target = self.measured.unit, self.measured.target
        zero = target.value if self.deviation and target is not None else Fraction(0)

        def value(figure: Figure) -> Fraction:
            stated = figure.unit or own
            if self.deviation:
                return zero + convert(figure.value, stated, own) - convert(Fraction(0), stated, own)
            return convert(figure.value, stated, own)

        return value(self.figure), None if self.upper is None else value(self.upper)

    @property
    def verdict(self) -> Verdict:
        low, high = self.values
        limits = self.measured.limits
        if high is None:
            return judge(low, limits)
        return judge_between(low, high, limits) if self.deviation else judge_blades(low, high, limits)

    @property
    def beyond(self) -> Figure | None:
        """How far beyond the limit concerned (negative: inside it), rounded by what the tool tells apart."""
        beyond, own = self.verdict.beyond, self.measured.unit
        if beyond is None:
            return None
        if self.figure.unit in (None, own):
            steps = [step_of(end) for end in (self.figure, self.upper) if end is not None]
            step = min([*steps, *([self.measured.resolution] if self.measured.resolution else [])])
        else:
            step = self.measured.resolution or difference_in(step_of(self.figure), self.figure.unit or own, own)
        return difference(beyond, step, own, self.figure)

    @property
    def written(self) -> str:
        """As it was said, for the eye: "4 thou", "4 thou goes, 5 thou won't", "+2 -1 thou"."""
        if self.deviation:
            ends = (self.upper, self.figure) if self.upper is not None else (self.figure,)
            texts = [f"{'+' if end.value > 0 else ''}{end.text}" for end in ends]
            return f"{' '.join(texts)} {unit(self.figure.unit or self.measured.unit).symbol}".strip()
        if self.upper is not None:
            return f"{written(self.figure)} goes, {written(self.upper)} won't"
        return written(self.figure)

    @property
    def spoken(self) -> str:
        """The same for the ear."""
        if self.deviation:
            ends = (self.upper, self.figure) if self.upper is not None else (self.figure,)
            *first, last = [f"{'plus ' if end.value > 0 else ''}{spoken(end)}" for end in ends]
            return ", ".join((*first, last))
        if self.upper is not None:
            said = f"between {number_words(self.figure.value, self.figure.decimals)} and {spoken(self.upper)}"
            if self.figure.unit != self.upper.unit:
                said = f"between {spoken(self.figure)} and {spoken(self.upper)}"
            return said
        return spoken(self.figure) + (f", {self.feel}" if self.feel else "")


def kept_text(value: Fraction, stated: Figure, unit_key: str) -> str:
    """A value as the log keeps it: with the stated decimals where it was stated in this unit, else with every digit."""
    if stated.unit in (None, unit_key) and stated.decimals is not None:
        text = decimal_text(value, stated.decimals)
        if Fraction(text) == value:
            return text
    return exact_text(value)


def measured_as_found(name: str, unit_key: str) -> Characteristic:
    """A characteristic that no procedure knows: measured while taking apart, without limits."""
    return Characteristic.model_validate({"name": name, "unit": unit_key, "when": AS_FOUND})
