"""What the guide wants done; the bench carries it out, in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from handsfree.job.events import Event


@dataclass(frozen=True)
class Record:
    """Write an event to the log, before anything that follows. ``sounds`` are kept with it as one clip, after those of
    the ``clips`` that are kept already (by their hashes)."""

    event: Event
    sounds: Sequence[Any] = ()
    clips: Sequence[str] = ()


@dataclass(frozen=True)
class Say:
    """Speak. ``token`` comes back to ``Guide.spoken`` when the speech ended or was cut off. ``carefully``: it was asked
    for again, so its figures are spoken digit by digit. ``must_hear``: a danger or a figure, which is said again where
    a noise was over it."""

    text: str
    token: int
    carefully: bool = False
    must_hear: bool = False


@dataclass(frozen=True)
class Play:
    """Play a sound that was kept, by its hash, when what is being said has ended; ``token`` as of ``Say``."""

    clip: str
    token: int


@dataclass(frozen=True)
class Signal:
    """A short tone."""

    tone: Literal["heard", "question", "not caught"]


@dataclass(frozen=True)
class Listen:
    """What to listen for from now on: commands, or free speech until an end is said."""

    mode: Literal["commands", "dictation"]


@dataclass(frozen=True)
class Adjust:
    """Change the way of speaking; the speaker itself answers how."""

    how: Literal["slower", "faster", "louder", "quieter"]


@dataclass(frozen=True)
class Prepare:
    """Sentences that are likely to be wanted soon."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Change:
    """Another procedure is to be worked in this job, by its name: the bench sets up a guide for it."""

    name: str
    at: datetime
    apart: bool = False
    """It is that of taking apart, by whatever name the job has it."""


@dataclass(frozen=True)
class ChangeJob:
    """Another job is to be worked, by its number: this one stands as it is, and its timers run on."""

    job: str
    at: datetime


@dataclass(frozen=True)
class LookBack:
    """Whether the item with this serial number was here before: the guide is told (``Guide.tell_before``)."""

    item: str | None
    serial: str
    at: datetime


@dataclass(frozen=True)
class End:
    """The job stops here, for now or for good."""

    why: Literal["paused", "finished"]


Effect = Record | Say | Play | Signal | Listen | Adjust | Prepare | Change | ChangeJob | LookBack | End
