"""Parts that are counted: which kinds there are, and what can become of them."""

from __future__ import annotations

from typing import Literal, get_args

Disposition = Literal["out", "back", "replaced"]
DISPOSITIONS: tuple[Disposition, ...] = get_args(Disposition)
"""What becomes of parts: they come out, go back, or are replaced by new ones."""

COUNTED = ("screw", "nut", "bolt", "washer", "shim", "pin", "spring", "ball", "clip", "part")
"""The kinds of part that can be counted, in the singular."""
_ALSO = {"circlip": "clip", "stud": "bolt"}


def counted_as(what: str) -> str:
    """As what a thing that came off is counted: "grub screw" as a screw, a cover by its own name."""
    last = what.rsplit(maxsplit=1)[-1]
    return _ALSO.get(last, last if last in COUNTED else what)


THREADED = ("screw", "bolt", "nut")
"""Those of them that a procedure lists as fasteners of its steps."""
