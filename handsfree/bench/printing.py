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
_NARROW, _NARROW_MARGIN = 64, 7
"""Where there is less width, seconds and the column of labels are left out."""
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
                rule = f"{'':─<{_MARGIN - 1}} {place} ".ljust(width, "─")
                self._write(_styled(rule, _DIM) if self._colour else rule)
        for each in lines_of_event(self._now(), line, text, width, colour=self._colour):
            self._write(each)


def lines_of_event(at: datetime, line: Line, text: str, width: int, *, colour: bool) -> list[str]:
    """One thing that happened, with its time, in lines of ``width``; what wraps stands under its first word."""
    label = _LABELS[line]
    body = printable("(soft tone: not caught)" if line == "not caught" else text)
    if width < _NARROW:
        margin, head = _NARROW_MARGIN, at.strftime("%H:%M")
        body = f"{label}: {body}" if label else body
    else:
        margin, head = _MARGIN, f"{at:%H:%M:%S}  {label}"
    parts = textwrap.wrap(body, max(width - margin, 1)) or [""]
    heads = [head.ljust(margin)] + [" " * margin] * (len(parts) - 1)
    if not colour:
        return [(start + part).rstrip() for start, part in zip(heads, parts, strict=True)]
    shown = _warned(parts) if line == "says" else [_styled(part, _STYLES.get(line, "")) for part in parts]
    return [_styled(start, _DIM) + part for start, part in zip(heads, shown, strict=True)]


def _styled(text: str, style: str) -> str:
    return f"{style}{text}{_PLAIN}" if style and text.strip() else text


def _warned(parts: list[str]) -> list[str]:
    """The lines of an answer with its warnings in colour; a warning may go on in the next line."""
    shown, warm = [], False
    for part in parts:
        out, at = "", 0
        while at < len(part):
            if warm:
                # "Danger. Spring under load." is one warning: the first full stop is the word's own.
                end = part.find(". ", at + len("Danger. ") if part.startswith("Danger. ", at) else at)
                stop = len(part) if end < 0 else end + 1
                out += _styled(part[at:stop], _WARM)
                warm = end < 0 and not part.endswith((".", "?"))
                at = stop
                continue
            begins = [found for found in (part.find(sign, at) for sign in _WARNING) if found >= 0]
            start = min(begins, default=len(part))
            out += part[at:start]
            warm, at = bool(begins), start
        shown.append(out)
    return shown
