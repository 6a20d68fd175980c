"""What happens at the bench, as lines on a terminal."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Callable
from datetime import datetime

from handsfree.bench.bench import Line
from handsfree.text.terminal import printable

_LABELS: dict[Line, str] = {
    "heard": "heard",
    "doubtful": "heard?",
    "ignored": "ignored",
    "says": "",
    "not caught": "",
    "trouble": "trouble",
}
_MARGIN = 19
_WARM, _BOLD, _DIM, _PLAIN = "\x1b[1;33m", "\x1b[1m", "\x1b[2m", "\x1b[0m"
_STYLES: dict[Line, str] = {
    "heard": _BOLD,
    "doubtful": _BOLD,
    "ignored": _DIM,
    "not caught": _DIM,
    "trouble": _WARM,
}
_WARNING = ("Danger. ", "Danger still: ", "Out of limits")
"""What is said in the warm colour, to the end of its sentence."""


def unwritten(_: str) -> None:
    """For speakers that print: the bench shows everything that is said already, with its time."""


def nowhere_in_particular() -> str:
    """No place to be told."""
    return ""


class Printer:
    """Writes each line with its time; ``now`` gives the time of the clock that the job runs on.

    ``place`` says where the job stands ("step 2 of 18"): where that has changed, a rule with it goes before the answer.
    ``colour``: heard is bold, ignored is dim, danger and out of limits are in a warm colour; the words say it as well.
    """

    def __init__(
        self,
        now: Callable[[], datetime],
        write: Callable[[str], None] = print,
        *,
        place: Callable[[], str] = nowhere_in_particular,
        colour: bool = False,
    ) -> None:
        self._now = now
        self._write = write
        self._place = place
        self._colour = colour
        self._last_place = ""

    def __call__(self, line: Line, text: str) -> None:
        width = max(50, min(110, shutil.get_terminal_size().columns))
        place = self._place()
        if line == "says" and place != self._last_place:
            self._last_place = place
            if place:
                self._write(self._styled(f"{'':─<{_MARGIN - 1}} {place} ".ljust(width, "─"), _DIM))
        clock = self._now().strftime("%H:%M:%S")
        label = _LABELS[line]
        body = "(soft tone: not caught)" if line == "not caught" else text
        style = _STYLES.get(line, "")
        warm = False
        for number, part in enumerate(textwrap.wrap(printable(body), width - _MARGIN) or [""]):
            head = " " * _MARGIN if number else f"{clock}  {label:<8} "
            if line == "says":
                shown, warm = self._warned(part, warm)
            else:
                shown = self._styled(part, style)
            self._write(self._styled(head, _DIM) + shown)

    def _styled(self, text: str, style: str) -> str:
        return f"{style}{text}{_PLAIN}" if self._colour and style and text.strip() else text

    def _warned(self, part: str, warm: bool) -> tuple[str, bool]:
        """A line of an answer with its warnings in colour; whether the next line goes on with one."""
        if not self._colour:
            return part, False
        out, at = "", 0
        while at < len(part):
            if warm:
                # "Danger. Spring under load." is one warning: the first full stop is the word's own.
                end = part.find(". ", at + len("Danger. ") if part.startswith("Danger. ", at) else at)
                stop = len(part) if end < 0 else end + 1
                out += self._styled(part[at:stop], _WARM)
                warm = end < 0 and not part.endswith((".", "?"))
                at = stop
                continue
            begins = [found for found in (part.find(sign, at) for sign in _WARNING) if found >= 0]
            start = min(begins, default=len(part))
            out += part[at:start]
            warm, at = bool(begins), start
        return out, warm
