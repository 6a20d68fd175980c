"""The kinds of danger to the person, each with its usual wording and with what in a procedure calls for it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class DangerKind:
    """``say`` is spoken where the procedure has no words of its own; ``named_by`` finds what calls for a warning."""

    say: str
    lack: str
    """What nothing warns of, for the writer of a procedure."""
    named_by: re.Pattern[str]


def _words(*words: str, unless: str = "") -> re.Pattern[str]:
    return re.compile(rf"\b({'|'.join(words)})\b{unless}", re.IGNORECASE)


DANGER_KINDS: Mapping[str, DangerKind] = {
    "eye": DangerKind(
        "Something may fly off. Glasses on.",
        "what may fly into the eye",
        _words("grind", "grinding", "compressed air", "air line", "wire wheel", "chisel", "chips"),
    ),
    "flame": DangerKind(
        "Fumes that burn. Open the window, and no naked flame.",
        "fumes and naked flame",
        _words(
            "solvents?", "acetone", "naphtha", "benzine", "petrol", "paraffin", "thinners?", "toluene", "xylene",
            "ether", "methanol", "alcohol", "isopropanol", "isopropyl", "white spirit", "surgical spirit",
            "methylated spirits?",
        ),
    ),
    "spring": DangerKind(
        "The spring is under load. Glasses on, and keep your face clear.",
        "what a spring under load can do",
        _words("springs?", "sprung", "mainsprings?", unless=r"(?! washers?)"),
    ),
    "mains": DangerKind(
        "Mains and stored charge. Unplug it, and let the charge drain before you touch.",
        "the electric shock",
        _words("mains", "capacitors?", "high voltage"),
    ),
    "toxic": DangerKind(
        "This is poison. Gloves on, no dust, and wash your hands before you eat.",
        "the poison",
        _words("mercury", "radium", "asbestos", "beryllium", "lead paint", "cadmium"),
    ),
    "hot": DangerKind(
        "It is hot and does not look it. Gloves or tongs.",
        "the heat",
        _words("hotplate", "hot plate", "oven", "heat gun", "blowlamp", "soldering iron", "red hot"),
    ),
    "spinning": DangerKind(
        "It spins. Sleeves, hair and cloth away, and hands off until it stands still.",
        "what spins",
        _words("spin up", "under power", "start the motor", "running spindle", "start the spindle"),
    ),
    "crush": DangerKind(
        "It can come down. Fingers out from under it.",
        "what can crush a finger",
        _words("hoist", "vice press", "arbor press", "arbour press", "hydraulic press"),
    ),
}  # fmt: skip
