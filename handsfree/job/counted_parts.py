"""Parts that are counted: which kinds there are, and what can become of them."""

from __future__ import annotations

from typing import Literal, get_args

Disposition = Literal["out", "back", "replaced"]
DISPOSITIONS: tuple[Disposition, ...] = get_args(Disposition)
"""What becomes of parts: they come out, go back, or are replaced by new ones."""

COUNTED = ("screw", "nut", "bolt", "washer", "shim", "pin", "spring", "ball", "clip", "part")
"""The kinds of part that can be counted, in the singular."""
THREADED = ("screw", "bolt", "nut")
"""Those of them that a procedure lists as fasteners of its steps."""
