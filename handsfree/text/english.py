"""British and American ways of saying figures: chosen once, when the program starts."""

from __future__ import annotations

import re
from enum import Enum


class English(str, Enum):
    """How figures are said."""

    BRITISH = "british"
    """ "nought point one millimetres", "two hundred and five"."""
    AMERICAN = "american"
    """ "zero point one millimeters", "two hundred five"."""


_chosen = English.BRITISH


def choose(english: English) -> None:
    """Say figures in this way from now on."""
    global _chosen  # noqa: PLW0603
    _chosen = english


def chosen() -> English:
    return _chosen


def nought() -> str:
    return "nought" if _chosen is English.BRITISH else "zero"


def hundred_joint() -> str:
    """What stands between hundreds and the rest."""
    return " and " if _chosen is English.BRITISH else " "


def unit_words(words: str) -> str:
    """A unit's words in the chosen spelling; they are kept in the British one."""
    return words if _chosen is English.BRITISH else re.sub(r"(met|lit)re(s?)\b", r"\1er\2", words)
