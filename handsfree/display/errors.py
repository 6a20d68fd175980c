"""What can go wrong with showing."""

from __future__ import annotations


class DisplayError(Exception):
    """The page can't be served as asked for; the message is one sentence that says how to mend it."""
