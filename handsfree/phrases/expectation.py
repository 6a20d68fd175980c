"""What the step in view and an open question make likely to be said next. It weighs; it never hides anything."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from handsfree.measure.limits import Limits
from handsfree.measure.units import UnitError, convert, in_use
from handsfree.phrases.intents import Intent, Kind


def _never(_: Intent) -> bool:
    return False


@dataclass(frozen=True)
class Expectation:
    """``units``: the characteristics measured at the step, each with its unit; ``answers``: what was asked for;
    ``limits``: those of the characteristics that have any, in their units; ``found``: the characteristics measured as
    found; ``implausible``: whether a figure can hardly be meant here (no tool shows it, or it is far out of limits)."""

    units: Mapping[str, str] = field(default_factory=dict)
    answers: frozenset[Kind] | None = None
    """None: nobody knows what was asked (a recording on its own)."""
    limits: Mapping[str, Limits] = field(default_factory=dict)
    found: frozenset[str] = frozenset()
    implausible: Callable[[Intent], bool] = field(default=_never, compare=False)

    @property
    def unit(self) -> str | None:
        """The one unit in which everything at the step is measured."""
        return next(iter(self.units.values())) if len(set(self.units.values())) == 1 else None

    def completed(self, intent: Intent) -> Intent:
        """``intent`` with what goes without saying at this step, for telling apart what makes a difference.

        The stated decimals do not count: the value is the same.
        """
        figure, name = intent.figure, intent.characteristic
        if figure is None:
            return intent
        if name is None and intent.kind is Kind.LOG and len(self.units) == 1:
            name = next(iter(self.units))
        unit = figure.unit
        if unit is None and figure.ambiguous_unit is None:
            unit = self.units.get(name, None) if name is not None else self.unit
        return replace(intent, characteristic=name, figure=replace(figure, decimals=None, unit=unit))

    def likely(self, intent: Intent) -> bool:
        """Whether ``intent`` names nothing foreign to the step, and answers only what was asked."""
        if intent.kind.only_answers and self.answers is not None and intent.kind not in self.answers:
            return False
        if intent.figure is None or intent.kind is Kind.TIMER_START or not self.units:
            return True
        if intent.characteristic is not None and intent.characteristic not in self.units:
            return False
        return intent.figure.unit in (None, *self.units.values()) and not self.implausible(intent)

    def fits(self, intent: Intent) -> bool | None:
        """Whether a plain reading lies within both limits of what is measured here (True) or outside one of them
        (False); None where that can't be told, or says little: as found, many a figure is out of limits."""
        figure = intent.figure
        if figure is None or intent.deviation or intent.upper is not None or intent.sum is not None:
            return None
        name = intent.characteristic or (next(iter(self.units)) if len(self.units) == 1 else None)
        limits = self.limits.get(name) if name is not None else None
        if name is None or limits is None:
            return None
        try:
            meant = in_use(figure, self.units[name])
            value = convert(meant.value, meant.unit or self.units[name], self.units[name])
        except UnitError:
            return False
        if meant.ambiguous_unit is not None:
            return None
        if (limits.low is not None and value < limits.low) or (limits.high is not None and value > limits.high):
            return None if name in self.found else False
        return True if limits.low is not None and limits.high is not None else None


NOTHING = Expectation()
"""Everything is equally likely."""
