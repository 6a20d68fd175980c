"""What was heard: plain values that hearing hands on and the guide decides upon."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from handsfree.phrases.intents import Intent


class Hearing(str, Enum):
    """How far an utterance may be trusted."""

    CLEAR = "clear"
    DOUBTFUL = "doubtful"
    """A command of the grammar, but another meaning is nearly as likely."""
    NEAR = "near"
    """Probably meant for the bench, and not usable: answered with the soft tone only."""
    NONE = "none"
    """Talk, noise or silence: no answer at all."""


@dataclass(frozen=True)
class Alternative:
    """A phrase of the grammar that the sound may have been, with its score (log probability, length-normalised)."""

    words: tuple[str, ...]
    score: float


@dataclass(frozen=True)
class RecognitionResult:
    """What one recogniser made of one stretch of sound.

    ``alternatives`` are phrases of the grammar, best first, possibly none. ``free_text`` is what it would have
    written without the grammar. ``gap`` is by how much the free reading beats the best phrase, per word of the
    phrase (large for talk); ``margin`` by how much the best phrase beats the best one of another meaning;
    ``log_odds`` the same from summed raw probability (it may be negative). None: the recogniser can't say.
    """

    recogniser: str
    alternatives: tuple[Alternative, ...] = ()
    free_text: str = ""
    gap: float | None = None
    margin: float | None = None
    log_odds: float | None = None


@dataclass(frozen=True)
class Utterance:
    """One thing said, ready for the guide. Times are seconds on the clock of the source."""

    words: tuple[str, ...]
    hearing: Hearing
    intents: tuple[Intent, ...] = ()
    """The meaning; more than one only when the same words have several meanings."""
    alternatives: tuple[Intent, ...] = ()
    """Other meanings that the sound may have had, likeliest first."""
    free_text: str = ""
    recogniser: str = "typed"
    start: float = 0.0
    end: float = 0.0
    sound: Any = field(default=None, compare=False, repr=False)
    """Mono float32 samples at 16 kHz (a numpy array), or None for typed text."""
    seconds: float = 0.0
    """Processing time."""
    then: tuple[Intent, ...] = ()
    """The meaning of a second command in the same breath."""
    unreadable: str | None = None
    """Why what was typed holds a figure that can't be read, in one sentence."""

    @property
    def typed(self) -> bool:
        """Whether it came from a keyboard: what is typed is not misheard."""
        return self.recogniser == "typed"

    @property
    def text(self) -> str:
        return " ".join(self.words)
