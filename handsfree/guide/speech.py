"""What is being said at the bench, kept until it has been heard to its end or was cut off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Spoken:
    """Something said: whether it must be heard, and the readings that stand once it has been heard to its end."""

    text: str
    must_hear: bool
    settles: tuple[str, ...]


class Speech:
    """Remembers what is being said by a token each, and what was cut off although it must be heard."""

    def __init__(self) -> None:
        self._saying: dict[int, Spoken] = {}
        self._cut_off: list[Spoken] = []
        self._tokens = 0

    def begin(self, text: str, *, must_hear: bool = False, settles: tuple[str, ...] = ()) -> int:
        """Keep what is being said from now on; its token."""
        self._tokens += 1
        self._saying[self._tokens] = Spoken(text, must_hear, settles)
        return self._tokens

    def ended(self, token: int, *, completed: bool) -> Spoken | None:
        """What was said under ``token``, which has ended or was cut off; None where it is not known."""
        spoken = self._saying.pop(token, None)
        if spoken is not None and spoken.must_hear and not completed:
            self._cut_off.append(spoken)
        return spoken

    def to_say_again(self, stands: Callable[[str], bool]) -> Spoken:
        """Everything that was cut off and still has to be heard, once; what tells only of readings that do not stand
        any more is dropped. ``stands`` tells it of a reading's identifier."""
        due = [cut for cut in self._cut_off if not cut.settles or any(map(stands, cut.settles))]
        self._cut_off.clear()
        settles = tuple(entry for cut in due for entry in cut.settles)
        return Spoken(" ".join(cut.text for cut in due), bool(due), settles)
