"""Places in a procedure file."""

from __future__ import annotations

Location = tuple[str | int, ...]
"""Keys and list positions (from nought) from the top of the file."""

Placed = tuple[Location, str]
"""Something said of a place."""
