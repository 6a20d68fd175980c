"""What goes to standard output and standard error: all of it, whichever command prints it, passes through here.

So no command has to think of names with escape sequences in them, and none can forget it. What really is to steer the
terminal (the view, a code in colours) asks for the stream behind it.
"""

from __future__ import annotations

import io
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any, TextIO, cast

from handsfree.text.terminal import printable_lines


class _Clean:
    """A stream that lets through what can be printed, and everything else as a question mark."""

    def __init__(self, stream: TextIO) -> None:
        self.behind = stream

    def write(self, text: str) -> int:
        self.behind.write(printable_lines(text))
        return len(text)

    def flush(self) -> None:
        self.behind.flush()

    def isatty(self) -> bool:
        return self.behind.isatty()

    def fileno(self) -> int:
        return self.behind.fileno()

    def __getattr__(self, name: str) -> Any:
        return getattr(self.behind, name)


def columns() -> int:
    """How wide the terminal is; 80 where there is none."""
    return shutil.get_terminal_size().columns


def steered(stream: TextIO) -> TextIO:
    """The stream behind ``stream``, for what is to steer the terminal and has been made here."""
    return stream.behind if isinstance(stream, _Clean) else stream


@contextmanager
def clean_streams() -> Iterator[None]:
    """Standard output and standard error are clean as long as this lasts, whatever letters they can show; standard
    input gives a mark for bytes that are no text."""
    for stream, errors in ((sys.stdout, "backslashreplace"), (sys.stderr, "backslashreplace"), (sys.stdin, "replace")):
        with suppress(AttributeError, ValueError, OSError):
            cast(io.TextIOWrapper, stream).reconfigure(errors=errors)
    before = sys.stdout, sys.stderr
    # A stream that was closed by whoever started the program is None.
    sys.stdout, sys.stderr = (cast(TextIO, _Clean(_open(stream))) for stream in before)
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before


def _open(stream: TextIO | None) -> TextIO:
    return stream if stream is not None else _nowhere()


def _nowhere() -> TextIO:
    return open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123 - as long as the program runs


def give_up_output() -> None:
    """Standard output can't be written: what is left in it goes nowhere, at the program's end too."""
    with suppress(OSError, ValueError, AttributeError, io.UnsupportedOperation):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
