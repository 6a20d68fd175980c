"""The view on a terminal: drawn on a screen of its own, with a line left for typing, in a thread of its own."""

from __future__ import annotations

import contextlib
import shutil
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from typing import TextIO

from handsfree.display.lines import Told, panes
from handsfree.guide.view.shown import View

_ENTER, _LEAVE = "\x1b[?1049h\x1b[2J", "\x1b[r\x1b[?1049l"
_SAVE, _RESTORE, _CLEAR_LINE = "\x1b7", "\x1b8", "\x1b[K"
_TYPING_ROWS = 3
_HISTORY = 100


class TerminalView:
    """Draws the latest snapshot, and once a second what runs on by itself. ``show`` returns at once.

    ``aside`` gives lines to stand at the right (an address and its code), none when they are no longer wanted.
    ``prompt`` stands above the rows that are left for typing.
    """

    def __init__(
        self, stream: TextIO, *, aside: Callable[[], Sequence[str]] = tuple, prompt: str = "", colour: bool = True
    ) -> None:
        self._stream = stream
        self._aside = aside
        self._prompt = prompt
        self._colour = colour
        self._history: deque[Told] = deque(maxlen=_HISTORY)
        self._latest: tuple[View, float] | None = None
        self._news = threading.Event()
        self._ended = False
        self._size = (0, 0)
        self._thread = threading.Thread(target=self._run, name="terminal view", daemon=True)

    def start(self) -> None:
        """Take the screen over."""
        self._stream.write(_ENTER)
        self._thread.start()

    def show(self, view: View) -> None:
        """Draw this as soon as the terminal takes it."""
        self._latest = (view, time.monotonic())
        self._news.set()

    def add(self, told: Told) -> None:
        """One more thing that happened."""
        self._history.append(told)

    def close(self) -> None:
        """Give the screen back."""
        self._ended = True
        self._news.set()
        self._thread.join(timeout=2)
        with contextlib.suppress(OSError, ValueError):
            self._stream.write(_LEAVE)
            self._stream.flush()

    def _run(self) -> None:
        while not self._ended:
            self._news.wait(timeout=1.0)
            self._news.clear()
            latest = self._latest
            if latest is None or self._ended:
                continue
            try:
                self._draw(*latest)
            except (OSError, ValueError):  # the terminal has gone; the job goes on without it
                return

    def _draw(self, view: View, taken: float) -> None:
        columns, rows = shutil.get_terminal_size()
        height = max(4, rows - _TYPING_ROWS)
        out = []
        if (columns, rows) != self._size:
            self._size = (columns, rows)
            # Only the rows for typing scroll when a line is sent off.
            out.append(f"\x1b[2J\x1b[{height + 2};{rows}r\x1b[{rows};1H")
        passed = time.monotonic() - taken
        lines = panes(view, passed, columns, height, told=list(self._history), aside=self._aside(), colour=self._colour)
        out += [_SAVE, f"\x1b[{height + 1};1H{self._prompt}{_CLEAR_LINE}"]
        out += [f"\x1b[{row};1H{line}{_CLEAR_LINE}" for row, line in enumerate(lines, 1)]
        out += [f"\x1b[{row};1H{_CLEAR_LINE}" for row in range(len(lines) + 1, height + 1)]
        out.append(_RESTORE)
        self._stream.write("".join(out))
        self._stream.flush()
