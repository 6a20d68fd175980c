"""How much has room on one printed page, on A4 and on Letter alike: reckoned in lines, before anything is printed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

DENSITIES = {"roomy": 11.5, "usual": 10.25, "tight": 9.0}
"""How close a page may be set, by the height of its letters in points; the style has the same."""
TITLE_BLOCK = 9.25
"""Height of the letters in the title block; the style has the same of whatever has no height of its own."""
HEIGHT, WIDTH = 700.0, 520.0
"""Points within the margins: the height of Letter and the width of A4, each the lesser of the two."""
SPACING = 1.28
"""From line to line, in heights of a letter."""
LETTER = 0.45
"""Width of a letter, about, in its height: that of a narrow face, and some more where a system has none."""


@dataclass(frozen=True)
class Room:
    """A page set at a height of letters, in points."""

    height: float

    @property
    def line(self) -> float:
        """Points from line to line."""
        return self.height * SPACING

    @property
    def lines(self) -> float:
        return HEIGHT / self.line

    def wrapped(self, letters: int, width: float) -> int:
        """How many lines so many letters take in a column of so many points."""
        return max(1, ceil(letters / max(1, int(width / (self.height * LETTER)) - 1)))


@dataclass(frozen=True)
class Item:
    """Something that is on the page whole or not at all."""

    priority: int
    """The least is the last to be left out."""
    rank: int
    """Its place among those of the same priority."""
    cells: tuple[tuple[int, float], ...]
    """What stands side by side: how many letters, in how many points."""
    around: float
    """Lines of space around it."""

    def cost(self, room: Room) -> float:
        return self.around + max(room.wrapped(letters, width) for letters, width in self.cells)


def filled(
    sections: Mapping[str, Sequence[Item]], fixed: Callable[[Room], float]
) -> tuple[str, dict[str, tuple[int, ...]]]:
    """How close the page is set, and which items of each section are on it, by their positions; ``fixed`` are the lines
    that the rest takes."""
    for density, height in DENSITIES.items():
        room = Room(height)
        left = room.lines - fixed(room) - sum(bool(items) for items in sections.values())
        if sum(item.cost(room) for items in sections.values() for item in items) <= left:
            return density, {name: tuple(range(len(items))) for name, items in sections.items()}
    # A section that is not told whole has a line that says so.
    cut: set[str] = set()
    while True:
        kept = _best_first(sections, left - 1.2 * len(cut), room)
        incomplete = {name for name, items in sections.items() if len(kept[name]) < len(items)}
        if incomplete <= cut:
            return density, {name: tuple(sorted(positions)) for name, positions in kept.items()}
        cut |= incomplete


def _best_first(sections: Mapping[str, Sequence[Item]], left: float, room: Room) -> dict[str, list[int]]:
    kept: dict[str, list[int]] = {name: [] for name in sections}
    queue = [(item.priority, item.rank, name, at) for name, items in sections.items() for at, item in enumerate(items)]
    for _, _, name, at in sorted(queue):
        cost = sections[name][at].cost(room)
        if cost <= left:
            left -= cost
            kept[name].append(at)
    return kept
