"""Which pieces of a set (feeler blades, shims) make up a thickness, with as few as can be."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

MOST_PIECES = 80
MOST_SUMS = 400_000
"""More different thicknesses than this are not searched through."""
MOST_SOLUTIONS = 200


class SetError(ValueError):
    """A set that no thickness can be made of."""


@dataclass(frozen=True)
class Stack:
    """A thickness that the set makes, and every way of making it with the fewest pieces (each largest first)."""

    thickness: Fraction
    ways: tuple[tuple[Fraction, ...], ...]

    @property
    def count(self) -> int:
        return len(self.ways[0])


@dataclass(frozen=True)
class Stacks:
    """What a set makes of a thickness: exactly, or else the nearest from below and from above (None: nothing)."""

    exact: Stack | None
    below: Stack | None = None
    above: Stack | None = None


def stacks(thickness: Fraction, pieces: Sequence[Fraction]) -> Stacks:
    """The fewest ``pieces`` (each to be used as often as it is listed) that make ``thickness``.

    All in one unit. SetError for an empty set, for pieces that are not more than nought, for too large a set.
    """
    if not pieces:
        raise SetError("the set has no pieces in it")
    if len(pieces) > MOST_PIECES:
        raise SetError(f"the set has {len(pieces)} pieces; {MOST_PIECES} is the most that is searched")
    if min(pieces) <= 0:
        raise SetError("a piece of the set is not thicker than nought")
    if thickness <= 0:
        raise SetError("the thickness is not more than nought")
    scale = math.lcm(thickness.denominator, *(piece.denominator for piece in pieces))
    sizes = sorted(Counter(int(piece * scale) for piece in pieces).items(), reverse=True)
    search = _Search(sizes, int(thickness * scale))
    target = search.target

    def stack(total: int | None) -> Stack | None:
        if total is None:
            return None
        return Stack(
            Fraction(total, scale), tuple(tuple(Fraction(size, scale) for size in way) for way in search.ways(total))
        )

    fewest = search.fewest[0]
    if target in fewest:
        return Stacks(stack(target))
    below = max((total for total in fewest if 0 < total < target), default=None)
    above = min((total for total in fewest if total > target), default=None)
    return Stacks(None, stack(below), stack(above))


class _Search:
    """The fewest pieces for every thickness that can be had, from each size onwards."""

    def __init__(self, sizes: list[tuple[int, int]], target: int) -> None:
        self.sizes, self.target = sizes, target
        # The smallest sum above the target is at the target or below with any piece taken away.
        self.limit = target + sizes[0][0]
        self.fewest: list[dict[int, int]] = [{0: 0}]
        for size, there_are in reversed(sizes):
            self.fewest.insert(0, self._with(self.fewest[0], size, there_are))

    def _with(self, before: dict[int, int], size: int, there_are: int) -> dict[int, int]:
        after = dict(before)
        for total, count in before.items():
            for used in range(1, there_are + 1):
                more = total + used * size
                if more > self.limit:
                    break
                if count + used < after.get(more, count + used + 1):
                    after[more] = count + used
        if len(after) > MOST_SUMS:
            raise SetError("the set makes too many different thicknesses to search through; use a smaller one")
        return after

    def ways(self, total: int) -> list[tuple[int, ...]]:
        found: list[tuple[int, ...]] = []

        def go(at: int, left: int, count: int, so_far: tuple[int, ...]) -> None:
            if len(found) >= MOST_SOLUTIONS:
                return
            if at == len(self.sizes):
                found.append(so_far)
                return
            size, there_are = self.sizes[at]
            for used in range(min(there_are, left // size, count), -1, -1):
                rest = left - used * size
                # Fewest from here on: anything more than the count cannot be part of a best way.
                if self.fewest[at + 1].get(rest) == count - used:
                    go(at + 1, rest, count - used, so_far + (size,) * used)

        go(0, total, self.fewest[0][total], ())
        return found
