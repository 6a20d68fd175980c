"""A note while it is being spoken."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

NOTE_SILENCE = timedelta(seconds=8)
"""So long a silence ends a note."""


@dataclass
class Note:
    """What was said of a note so far."""

    last: datetime
    """When something was said last."""
    texts: list[str] = field(default_factory=list)
    sounds: list[Any] = field(default_factory=list)
    seconds: float = 0.0
    about: str | None = None
    """The fact about the job that it tells; None: a plain note."""
    severity: str | None = None
    names: str | None = None
    """What it tells the name of ("part seven")."""

    @property
    def ends(self) -> datetime:
        """When it ends by itself, unless more is said."""
        return self.last + NOTE_SILENCE
