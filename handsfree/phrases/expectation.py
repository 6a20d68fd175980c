"""What the step in view and an open question make likely to be said next. It weighs; it never hides anything."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from handsfree.phrases.intents import Intent, Kind

ANSWERS_ONLY = frozenset({Kind.FIGURE, Kind.YES, Kind.NO})
"""Kinds that say nothing unless they were asked for."""


@dataclass(frozen=True)
class Expectation:
    """``units``: the characteristics measured at the step, each with its unit; ``answers``: what was asked for."""

    units: Mapping[str, str] = field(default_factory=dict)
    answers: frozenset[Kind] | None = None
    """None: nobody knows what was asked (a recording on its own)."""

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
        if intent.kind in ANSWERS_ONLY and self.answers is not None and intent.kind not in self.answers:
            return False
        if intent.figure is None or intent.kind is Kind.TIMER_START or not self.units:
            return True
        if intent.characteristic is not None and intent.characteristic not in self.units:
            return False
        return intent.figure.unit in (None, *self.units.values())


NOTHING = Expectation()
"""Everything is equally likely."""
