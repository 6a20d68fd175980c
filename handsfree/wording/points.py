"""The review as plain data: the sentences that sum a job up, and its points."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from handsfree.job.state import JobState
from handsfree.procedure.model import Procedure


@dataclass(frozen=True)
class Point:
    """One point of the review: its words for the log and for the ear, and the entry it is about, if it is about one."""

    text: str
    say: str
    entry: str | None = None
    logged: bool = False
    """Nothing about it wants attention: it is only what was logged."""


@dataclass(frozen=True)
class Review:
    """Sentences that sum the job up (under a minute), and the points, the most important first."""

    summary: tuple[str, ...]
    points: tuple[Point, ...]


@dataclass(frozen=True)
class PointShown:
    """The point at which the review by voice stands; ``number`` 0 before the first."""

    number: int
    of: int
    text: str
    key: str
    """What tells it from every other point: the entry that it is about as that stands now, or else its words."""


Reviewer = Callable[[Mapping[str, Procedure], JobState], Review]
"""Makes the review of a job, all its procedures by name."""
