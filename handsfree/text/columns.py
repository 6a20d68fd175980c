"""Columns of plain text that wrap inside themselves.

The texts are kept as files as well as shown: rich lays out tables for a screen, and 70 ms go by until it is imported.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

WIDTH = 80
"""Characters in a line, unless somebody says otherwise."""
WIDEST = 110
"""Longer lines are hard to read."""
_NARROWEST = 60
_width = ContextVar("width", default=WIDTH)
_GAP = "  "
_LEAST = 18
"""Characters that the last column of a table has, if others must give way."""


@contextmanager
def within(columns: int) -> Iterator[None]:
    """Inside this, lines are as long as a terminal of so many columns takes, from 60 to 110."""
    before = _width.set(max(_NARROWEST, min(WIDEST, columns)))
    try:
        yield
    finally:
        _width.reset(before)


def room_beside(columns: int) -> int:
    """How many characters of a line are left beside so many."""
    return _width.get() - columns


def rule(sign: str = "-") -> str:
    """A line across."""
    return sign * _width.get()


def table(heads: Sequence[str], rows: Sequence[Sequence[str] | str], widest: Sequence[int]) -> list[str]:
    """Lines of a table at most as wide as is set.

    ``rows`` are cells, or a text that goes across below the row before it, from the second column on. ``widest``
    bounds each column but the last, which takes what is left; where that is too little, the widest give way.
    """
    cells = [row for row in rows if not isinstance(row, str)]
    widths = [
        min(bound, max(len(text) for text in column))
        for bound, column in zip(widest, zip(heads, *cells, strict=True), strict=False)
    ]
    room = _width.get() - len(_GAP) * len(widths)
    words = [
        max(len(word) for text in column for word in text.split() or [""]) for column in zip(heads, *cells, strict=True)
    ]
    while sum(widths) > room - _LEAST:
        # The widest gives way, as long as its words stay whole.
        column = max(range(len(widths)), key=lambda at: (widths[at] > words[at], widths[at]))
        widths[column] -= 1
    widths.append(room - sum(widths))
    lines = [*_row(heads, widths), rule()]
    for row in rows:
        if isinstance(row, str):
            lines += paragraph(row, widths[0] + len(_GAP) + 2)
        else:
            lines += _row(row, widths)
    return lines


def paragraph(text: str, indent: int = 0, first: str | None = None) -> list[str]:
    """``text`` wrapped and indented by ``indent`` spaces; ``first`` stands in place of the first indent."""
    margin = " " * indent
    start = margin if first is None else first.ljust(indent)
    wrapped = textwrap.wrap(text, _width.get(), initial_indent=start, subsequent_indent=margin, break_on_hyphens=False)
    return wrapped or [start.rstrip()]


def _row(cells: Sequence[str], widths: Sequence[int]) -> list[str]:
    wrapped = [
        textwrap.wrap(cell, width, break_on_hyphens=False) or [""] for cell, width in zip(cells, widths, strict=True)
    ]
    return [
        _GAP.join(
            (column[line] if line < len(column) else "").ljust(width)
            for column, width in zip(wrapped, widths, strict=True)
        ).rstrip()
        for line in range(max(map(len, wrapped)))
    ]
