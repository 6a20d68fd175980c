"""The words that are known in every workshop while something is taken apart."""

from __future__ import annotations

from handsfree.procedure.words import Kinds, KnownWords

_LENGTH, _ANGLE, _FORCE, _TORQUE = "length", "angle", "force", "torque"

_MEASURED: dict[tuple[str, ...], Kinds] = {
    (
        "bore", "clearance", "depth", "diameter", "end float", "free length", "gap", "height", "length", "lift",
        "projection", "run out", "shake", "side play", "taper", "thickness", "travel", "width",
    ): (_LENGTH,),
    ("backlash", "end play", "float", "lost motion", "play", "stroke"): (_LENGTH, _ANGLE),
    ("angle", "engagement", "rotation", "timing", "twist"): (_ANGLE, _LENGTH),
    ("drag", "friction", "preload", "spring load"): (_FORCE, _TORQUE),
    ("force", "pull", "tension", "weight"): (_FORCE,),
    ("torque",): (_TORQUE,),
    ("pressure",): ("pressure",),
    ("speed",): ("speed", "frequency"),
    ("period",): ("time", "frequency"),
    ("voltage",): ("voltage",),
    ("current",): ("current",),
    ("resistance",): ("resistance",),
    ("temperature",): ("temperature",),
}  # fmt: skip
"""Common practice: end play of a shaft is a length, that of a wheel on it may be told as an angle."""

BUILT_IN = KnownWords(
    fasteners=(
        "screw", "nut", "bolt", "washer", "spring washer", "pin", "taper pin", "circlip", "grub screw", "set screw",
        "shoulder screw", "stud", "rivet", "split pin", "retaining ring", "lock ring", "lock nut", "thumb screw",
    ),
    parts=(
        "arm", "balance spring", "ball", "base", "bearing", "bearing cap", "bell crank", "belt", "body", "bracket",
        "bridge", "bush", "cam", "cap", "carriage", "clamp", "clutch", "collar", "cotter", "coupling", "cover", "crank",
        "disc", "dowel", "drum", "eccentric", "felt", "filter", "flange", "float", "flywheel", "fork", "frame",
        "gasket", "gear", "gib", "guard", "guide", "handle", "hook", "hub", "housing", "jet", "key", "knob", "lens",
        "lever", "link", "mount", "needle", "nozzle", "piston", "pinion", "plate", "plunger", "pulley", "rack", "rail",
        "ratchet", "ring", "rocker", "rod", "roller", "seal", "shaft", "shoe", "sleeve", "slide", "spacer", "spindle",
        "spring", "stage", "stop", "switch", "tube", "valve", "weight", "wheel", "worm",
    ),
    places=(
        "top", "bottom", "left", "right", "front", "back", "side", "inside", "outside", "underside", "middle", "end",
        "top left", "top right", "bottom left", "bottom right",
    ),
    heads=(
        "cheese head", "pan head", "countersunk", "round head", "hexagon head", "socket head", "fillister head",
        "headless", "slotted", "knurled", "oval head", "crosshead",
    ),
    finishes=("bright", "blackened", "blued", "brass", "nickelled", "zinc plated", "stainless"),
    ways=(
        "flat side", "dished side", "open end", "closed end", "chamfer", "long side", "short side", "marked side",
        "tail", "hook", "boss", "thick side", "thin side", "shoulder", "slot",
    ),
    measured={name: kinds for names, kinds in _MEASURED.items() for name in names},
)  # fmt: skip

WHICH = (
    "upper", "lower", "left", "right", "front", "rear", "back", "inner", "outer", "top", "bottom", "first", "second",
    "third", "long", "short", "large", "small", "main",
)  # fmt: skip
"""Which of several: "the upper bearing"."""
DIRECTIONS = ("up", "down", "in", "out", "left", "right")
MARKINGS = ("mark", "one line", "two lines", "three lines", "one dot", "two dots", "three dots")


def kinds_of(name: str, words: KnownWords) -> Kinds:
    """What a thing of this name ("front bearing end play") is measured in, by the longest name known that ends it;
    nothing: anything."""
    known = (BUILT_IN | words).measured
    parts = name.split()
    return next((known[end] for at in range(len(parts)) if (end := " ".join(parts[at:])) in known), ())
