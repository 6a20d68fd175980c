"""The style of everything that is printed: report, history, job sheet and bench card are one family."""

from __future__ import annotations

from functools import cache
from importlib import resources


@cache
def style_sheet() -> str:
    """The style sheet that stands in each page, as text."""
    return (resources.files("handsfree.text") / "printed.css").read_text(encoding="utf-8")
