"""The review as plain data: the sentences that sum a job up, and its points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from handsfree.job.state import JobState


@dataclass(frozen=True)
class Point:
    """One point of the review: its words for the log and for the ear, and the entry it is about, if it is about one."""

    text: str
    say: str
    entry: str | None = None


@dataclass(frozen=True)
class Review:
    """Sentences that sum the job up (under a minute), and the points, the most important first."""

    summary: tuple[str, ...]
    points: tuple[Point, ...]


Reviewer = Callable[[JobState], Review]
