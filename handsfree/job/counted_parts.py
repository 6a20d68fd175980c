"""Parts that are counted: which kinds there are, and what can become of them."""

from __future__ import annotations

from typing import Literal, get_args

Way = Literal["out", "back", "replaced"]
WAYS: tuple[Way, ...] = get_args(Way)
"""What becomes of parts: they come out, go back, or are replaced by new ones."""

COUNTED = ("screw", "nut", "bolt", "washer", "shim", "pin", "spring", "ball", "clip", "part")
"""The kinds of part that can be counted, in the singular."""
THREADED = ("screw", "bolt", "nut")
"""Those of them that a procedure lists as fasteners of its steps."""
