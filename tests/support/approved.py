"""Texts that were read and found right once, kept to be compared with: ``tests/data/approved``.

Where one has changed on purpose, run its test once with HANDSFREE_APPROVE=1, and read what is other before it is kept.
"""

from __future__ import annotations

import os

from tests.support.places import DATA

APPROVED = DATA / "approved"


def assert_approved(name: str, text: str) -> None:
    """The text is, line by line, the one that is kept under this name."""
    file = APPROVED / name
    if os.environ.get("HANDSFREE_APPROVE"):
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    assert text.splitlines() == file.read_text(encoding="utf-8").splitlines(), f"{name}: see tests/support/approved.py"
