"""Words from files, logs and sound on a terminal."""

from __future__ import annotations


def printable(text: str) -> str:
    """``text`` without anything that could steer a terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in text)
