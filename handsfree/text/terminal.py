"""Words from files, logs, people and sound where they are shown: nothing in them steers a terminal, hides, or turns
the direction of writing."""

from __future__ import annotations

import unicodedata


def printable(text: str) -> str:
    """``text`` in one line: what can't be printed is a question mark, every kind of space and line end a space."""
    return text if text.isprintable() else "".join(map(_shown, text))


def printable_lines(text: str) -> str:
    """The same line by line: lines end in a line feed, or in what CSV has (RFC 4180)."""
    return "\n".join(
        f"{printable(line[:-1])}\r" if line.endswith("\r") else printable(line) for line in text.split("\n")
    )


def _shown(letter: str) -> str:
    if letter.isprintable():
        return letter
    return " " if letter in "\n\r\t" or unicodedata.category(letter).startswith("Z") else "?"
