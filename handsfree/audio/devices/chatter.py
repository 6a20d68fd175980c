"""What libraries in C write to standard error by themselves, kept from filling a terminal or a disk.

A library that goes round for ever writes the same line each time: four gigabytes a minute.
"""

from __future__ import annotations

import os
import threading
import time
from collections import OrderedDict
from collections.abc import Callable

MOST_ALIKE = 3
"""Times that a line is let through."""
ENDLESS = 1_000
"""A line that came so often comes for ever."""
REMEMBERED = 16
"""Different lines that are remembered: what goes round for ever writes few."""
BRAKE = 0.2
"""Seconds for which nothing is read after something was held back: whoever writes has to wait then, and idles."""
_AT_ONCE = 65_536
_LONGEST_LINE = 4_096


class Repeats:
    """Which lines are let through."""

    def __init__(self) -> None:
        self._counts: OrderedDict[bytes, int] = OrderedDict()
        self._rest = b""
        self.most = 0
        """How often the commonest of the lines remembered came."""

    def let_through(self, piece: bytes) -> bytes:
        """Of the next piece of what is written, what is no mere repetition, in whole lines."""
        lines = (self._rest + piece).splitlines(keepends=True)
        whole = not lines or lines[-1].endswith(b"\n") or len(lines[-1]) > _LONGEST_LINE
        self._rest = b"" if whole else lines.pop()
        return b"".join(line for line in lines if self._is_new(line))

    def rest(self) -> bytes:
        """What has no end of line yet."""
        rest, self._rest = self._rest, b""
        return rest

    def _is_new(self, line: bytes) -> bool:
        count = self._counts.pop(line, 0) + 1
        self._counts[line] = count
        self.most = max(self.most, count)
        if len(self._counts) > REMEMBERED:
            self._counts.popitem(last=False)
        return count <= MOST_ALIKE


class Bounded:
    """A descriptor of this process, such as 2, whose writers can't flood what is behind it.

    ``endless`` is called once, from a thread, when a line comes for ever. Close it, or what was written last may be
    lost.
    """

    def __init__(self, descriptor: int, endless: Callable[[], None]) -> None:
        self._descriptor, self._endless = descriptor, endless
        self._told = self._closed = False
        self._behind = os.dup(descriptor)
        self._read, write = os.pipe()
        os.dup2(write, descriptor)
        os.close(write)
        self._thread = threading.Thread(target=self._run, name="libraries' messages", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """What is written goes straight to what is behind again; nowhere if a line comes for ever."""
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere if self._told else self._behind, self._descriptor)
        os.close(nowhere)
        # Whoever waits in the middle of a line holds C's standard error, without which the process can't end.
        self._closed = True
        self._thread.join(timeout=2)

    def _run(self) -> None:
        repeats = Repeats()
        while piece := os.read(self._read, _AT_ONCE):
            through = repeats.let_through(piece)
            self._pass_on(through)
            if repeats.most >= ENDLESS and not self._told:
                self._told = True
                self._endless()
            if len(through) < len(piece) and repeats.most > MOST_ALIKE and not self._closed:
                time.sleep(BRAKE)
        self._pass_on(repeats.rest())
        os.close(self._read)

    def _pass_on(self, piece: bytes) -> None:
        while piece:
            try:
                piece = piece[os.write(self._behind, piece) :]
            except OSError:
                # Nobody reads standard error any more, or its disk is full.
                return
