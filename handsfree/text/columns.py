"""Columns of plain text that wrap inside themselves.

The texts are kept as files as well as shown: rich lays out tables for a screen, and 70 ms go by until it is imported.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

WIDTH = 96
_GAP = "  "


def table(heads: Sequence[str], rows: Sequence[Sequence[str] | str], widest: Sequence[int]) -> list[str]:
    """Lines of a table at most ``WIDTH`` wide.

    ``rows`` are cells, or a text that goes across below the row before it, from the second column on. ``widest``
    bounds each column but the last, which takes what is left.
    """
    cells = [row for row in rows if not isinstance(row, str)]
    widths = [
        min(bound, max(len(text) for text in column))
        for bound, column in zip(widest, zip(heads, *cells, strict=True), strict=False)
    ]
    widths.append(WIDTH - sum(widths) - len(_GAP) * len(widths))
    lines = [*_row(heads, widths), "-" * WIDTH]
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
    wrapped = textwrap.wrap(text, WIDTH, initial_indent=start, subsequent_indent=margin, break_on_hyphens=False)
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
