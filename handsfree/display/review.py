"""What the page shows of a job as a whole: made elsewhere, from the log alone."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.guide.view.result import Result


@dataclass(frozen=True)
class ReviewPoint:
    """One line of the review; ``key`` is that of the point when it is spoken (``PointShown``)."""

    text: str
    key: str


@dataclass(frozen=True)
class JobReview:
    """The review of a job. ``summary`` are sentences; ``points`` what wants attention, then every other entry that
    stands, each group with its title."""

    job: str
    summary: tuple[str, ...]
    points: tuple[tuple[str, tuple[ReviewPoint, ...]], ...]
    text: str
    """The whole of it, as on a terminal."""
    result: Result | None = None
