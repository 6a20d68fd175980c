"""Gaps in a procedure file that only its writer can fill: marked with the word GAP, in a text or in a comment."""

from __future__ import annotations

import re
from collections.abc import Iterator

MARK = "GAP"
_GAP = re.compile(rf"\b{MARK}:\s*([^\"]*)")


def gaps(text: str) -> Iterator[tuple[int, int, str]]:
    """Line and column (from one) of every gap, with what is wanted there."""
    for number, line in enumerate(text.splitlines(), 1):
        for found in _GAP.finditer(line):
            yield number, found.start() + 1, found[1].strip() or "fill it in"


def gap(what: str) -> str:
    """The mark for what is wanted."""
    return f"{MARK}: {what}"
