"""What goes to standard output and standard error: all of it, whichever command prints it, passes through here.

So no command has to think of names with escape sequences in them, and none can forget it. What really is to steer the
terminal (the view, a code in colours) asks for the stream behind it.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import sys
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any, TextIO, cast

from handsfree.audio.devices.chatter import Bounded
from handsfree.audio.devices.library import give_up
from handsfree.text.terminal import printable_lines

_INDENT = 4
"""Spaces before what was wrapped, more than before the line itself."""


_COMMAND = re.compile(r"(?<=: )handsfree [^:]{1,60}$")
"""A command that is told at the end of a line is to be copied: it stays in one piece."""
_STANDARD_ERROR = 2
_HELD = "\x00"
"""Stands for a space where no line may end; nothing that is printed holds one."""


class _Clean:
    """A stream that lets through what can be printed, and everything else as a question mark.

    On a terminal what is wider than it is wrapped between words, and what wraps is indented. Elsewhere lines stay as
    they are, for whatever reads them.
    """

    def __init__(self, stream: TextIO) -> None:
        self.behind = stream
        self.whole = False
        """Whether lines stay as they are on a terminal too."""
        self._column = 0

    def write(self, text: str) -> int:
        shown = printable_lines(text)
        self.behind.write(self._within(shown) if not self.whole and self.isatty() else shown)
        return len(text)

    def _within(self, text: str) -> str:
        width = columns()
        out = []
        for line in text.splitlines(keepends=True):
            words = line.rstrip("\r\n")
            end = line[len(words) :]
            if self._column + len(words) > width:
                words = _wrapped(words, self._column, width)
            last = words.rpartition("\n")[2]
            self._column = 0 if end else (0 if "\n" in words else self._column) + len(last)
            out.append(words + end)
        return "".join(out)

    def flush(self) -> None:
        self.behind.flush()

    def isatty(self) -> bool:
        return self.behind.isatty()

    def fileno(self) -> int:
        return self.behind.fileno()

    def __getattr__(self, name: str) -> Any:
        return getattr(self.behind, name)


def _wrapped(words: str, begun: int, width: int) -> str:
    """``words`` in lines of ``width``, the first of which has so many letters in it already."""
    end = words[len(words.rstrip(" ")) :]
    words = _COMMAND.sub(lambda command: command[0].replace(" ", _HELD), words)
    margin = " " * (_INDENT if begun else len(words) - len(words.lstrip(" ")) + _INDENT)
    fits = words[: max(width - begun + 1, 0)].rpartition(" ")[0] if begun else ""
    lines = textwrap.wrap(
        words[len(fits) :].lstrip(" ") if begun else words,
        width,
        initial_indent=margin if begun else "",
        subsequent_indent=margin,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return "\n".join([fits, *lines] if begun else lines).replace(_HELD, " ") + end


@contextmanager
def data() -> Iterator[None]:
    """What is printed while this lasts is for a program or a file: its lines stay whole on a terminal too."""
    stream = sys.stdout
    if isinstance(stream, _Clean):
        stream.whole = True
    try:
        yield
    finally:
        if isinstance(stream, _Clean):
            stream.whole = False


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


@contextmanager
def libraries_bounded() -> Iterator[None]:
    """While this lasts, what the sound library writes to standard error's descriptor by itself is kept from coming
    without end, and if it does, the library is taken to hang. What is printed here goes where it went."""
    stream = steered(sys.stderr)
    try:
        ours = stream.fileno() == _STANDARD_ERROR
    except (AttributeError, ValueError, OSError):
        ours = False
    if not ours or os.name != "posix":
        yield
        return
    before = sys.stderr
    apart = os.fdopen(os.dup(_STANDARD_ERROR), "w", buffering=1, encoding=stream.encoding, errors=stream.errors)
    sys.stderr = cast(TextIO, _Clean(apart)) if isinstance(before, _Clean) else apart
    bounded = Bounded(_STANDARD_ERROR, give_up)
    try:
        yield
    finally:
        bounded.close()
        sys.stderr = before
        apart.close()


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
