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


def unwritten(_: str) -> None:
    """For speakers that print: the bench shows everything that is said already, with its time."""


class Printer:
    """Writes each line with its time; ``now`` gives the time of the clock that the job runs on."""

    def __init__(self, now: Callable[[], datetime], write: Callable[[str], None] = print) -> None:
        self._now = now
        self._write = write

    def __call__(self, line: Line, text: str) -> None:
        clock = self._now().strftime("%H:%M:%S")
        label = _LABELS[line]
        body = "(soft tone: not caught)" if line == "not caught" else text
        width = max(50, min(110, shutil.get_terminal_size((100, 24)).columns))
        head = f"{clock}  {label:<8} "
        wrapped = textwrap.wrap(printable(body), width - _MARGIN) or [""]
        self._write(head + wrapped[0])
        for more in wrapped[1:]:
            self._write(" " * _MARGIN + more)
