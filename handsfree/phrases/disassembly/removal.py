"""What came off in one go, as it was said while taking apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handsfree.measure.figure import Figure

HOW_MANY = 0
"""The count of what was said in the plural without one: "the screws"."""
PART_NUMBERED, PLACE_NUMBERED = "part", "place"
"""What has no name yet is called by these and a number: "part seven"."""


@dataclass(frozen=True)
class Removal:
    """Fasteners, a part, or shims. Words are those of the grammar; ``size`` is as a procedure writes it ("M2 x 5")."""

    sort: Literal["fastener", "part", "shim"]
    what: str
    """In the singular: "screw", "front cover", "shim", "part seven"."""
    count: int = 1
    size: str | None = None
    head: str | None = None
    finish: str | None = None
    left_hand: bool = False
    place: str | None = None
    """Where from: "the top"."""
    way: str | None = None
    """Which way it sat: "flat side up"."""
    thickness: Figure | None = None


@dataclass(frozen=True)
class Marking:
    """A mark made across parts before they are parted."""

    what: str
    """ "one line", "two dots", "mark"."""
    place: str | None = None
    """ "the bottom", "the front cover"."""
    parts: tuple[str, ...] = ()
    """The parts that carry it, as far as they were named."""
