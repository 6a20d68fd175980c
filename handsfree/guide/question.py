"""A question that is waiting for its answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from handsfree.phrases.intents import Intent, Kind

if TYPE_CHECKING:
    from handsfree.guide.turn import Turn
    from handsfree.job.state import JobState

Answer = Callable[["Turn", Intent], None]


@dataclass(frozen=True)
class PointShown:
    """The point at which the review by voice stands; ``number`` 0 before the first."""

    number: int
    of: int
    text: str
    key: str
    """What tells it from every other point: the entry that it is about as that stands now, or else its words."""


@dataclass
class Question:
    """What was asked, which kinds of intent answer it, and what is said when nobody does.

    ``free`` takes an answer in free speech (a reason); the bench then listens in dictation. ``spoken_at`` is when the
    prompt ended: only then the time runs, since an answer cannot be given while the question is still being put.
    """

    prompt: str
    answers: Mapping[Kind, Answer] = field(default_factory=dict)
    free: Callable[[Turn], None] | None = None
    on_expiry: str = "No answer. Nothing written."
    """What is said when the time is over; empty: the question waits as long as it takes."""
    on_drop: str = ""
    """What is said first when another command puts the question aside."""
    firm: bool = False
    """Whether other commands have to wait until it is answered."""
    spoken_at: datetime | None = None
    token: int = -1
    after: Callable[[Turn], None] | None = None
    """Goes back to what the question came up in (the review), when it was answered, dropped by name or expired."""
    point: Callable[[JobState], PointShown] | None = None
    """While a review is gone through: where it stands."""
