"""The sums that can be asked for."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from handsfree.measure.figure import Figure
from handsfree.measure.threads import Thread


@dataclass(frozen=True)
class Convert:
    """A figure in another unit."""

    figure: Figure
    unit: str


@dataclass(frozen=True)
class PieceCombination:
    """Which pieces of a set make up a thickness."""

    what: Literal["blades", "shims"]
    figure: Figure


@dataclass(frozen=True)
class Travel:
    """How far a screw goes in so many turns; ``pitch`` where no thread is named."""

    turns: Figure
    thread: Thread | None = None
    pitch: Figure | None = None
    starts: int = 1


@dataclass(frozen=True)
class Total:
    """The sum of two figures, or their difference (``sign`` -1), in the unit of the first."""

    one: Figure
    other: Figure
    sign: Literal[1, -1] = 1


@dataclass(frozen=True)
class Percent:
    """A figure in percent of another; None: of the target."""

    figure: Figure
    of: Figure | None = None


@dataclass(frozen=True)
class ErrorOf:
    """By how many percent a figure misses another; None: the target."""

    figure: Figure
    of: Figure | None = None


Sum = Convert | PieceCombination | Travel | Total | Percent | ErrorOf


@dataclass(frozen=True)
class Setting:
    """What is known where the sum is asked: the unit that goes without saying, the target, the sets of pieces."""

    unit: str | None = None
    target: Figure | None = None
    blades: tuple[Figure, ...] | None = None
    shims: tuple[Figure, ...] | None = None

    def pieces(self, what: Literal["blades", "shims"]) -> tuple[Figure, ...] | None:
        return self.blades if what == "blades" else self.shims


class SumError(ValueError):
    """A sum that has no answer; the message is one sentence for the ear."""


HUNDRED = Fraction(100)
