"""What can be said while taking apart: removals, trays, marks and figures as found, in closed phrases."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from handsfree.measure.figure import Figure
from handsfree.phrases.commands.command import Command, Slots, all_slots, one_of, slot
from handsfree.phrases.commands.table import commands
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import Named, either, maybe, says, seq
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.quantities.fastener_sizes import SIZE
from handsfree.phrases.quantities.figures import FIGURE, FIGURE_WITH_UNIT
from handsfree.phrases.removal import Marking, Removal
from handsfree.procedure.parts import AS_FOUND
from handsfree.text.numerals import cardinal
from handsfree.text.prose import plural

FASTENERS = (
    "screw", "nut", "bolt", "washer", "spring washer", "pin", "taper pin", "circlip", "grub screw", "set screw",
    "shoulder screw", "stud", "rivet", "split pin", "retaining ring", "lock ring",
)  # fmt: skip
PART_NAMES = (
    "arm", "balance spring", "base", "bearing", "bearing cap", "bell crank", "belt", "body", "bracket", "bridge",
    "bush", "cam", "cap", "carriage", "clamp", "collar", "cotter", "coupling", "cover", "crank", "disc", "dowel",
    "drum", "eccentric", "felt", "filter", "flange", "float", "flywheel", "fork", "frame", "gasket", "gear", "gib",
    "guard", "guide", "handle", "hook", "hub", "housing", "jet", "key", "knob", "lens", "lever", "link", "mount",
    "needle", "nozzle", "piston", "pinion", "plate", "plunger", "pulley", "rack", "ratchet", "ring", "rocker", "rod",
    "roller", "seal", "shaft", "shoe", "sleeve", "slide", "spacer", "spindle", "spring", "stage", "stop", "switch",
    "tube", "valve", "weight", "wheel", "worm",
)  # fmt: skip
WHICH = (
    "upper", "lower", "left", "right", "front", "rear", "back", "inner", "outer", "top", "bottom", "first", "second",
    "third", "long", "short", "large", "small", "main",
)  # fmt: skip
PLACES = (
    "the top", "the bottom", "the left", "the right", "the front", "the back", "the side", "the inside",
    "the outside", "the underside", "the middle", "the end", "the top left", "the top right", "the bottom left",
    "the bottom right",
)  # fmt: skip
HEAD_STYLES = (
    "cheese head", "pan head", "countersunk", "round head", "hexagon head", "socket head", "fillister head",
    "headless", "slotted", "knurled", "oval head",
)  # fmt: skip
FINISHES = ("bright", "blackened", "blued", "brass", "nickelled", "zinc plated", "stainless")
ORIENTATIONS = tuple(
    f"{side} {way}"
    for side in ("flat side", "dished side", "open end", "closed end", "chamfer", "long side", "short side",
                 "marked side", "tail")
    for way in ("up", "down", "in", "out", "left", "right")
)  # fmt: skip
MARKINGS = ("mark", "one line", "two lines", "three lines", "one dot", "two dots", "three dots")
MEASURES = (
    "backlash", "clearance", "depth", "drag", "end play", "end float", "side play", "gap", "height", "lift",
    "free length", "play", "preload", "run out", "torque", "travel", "width",
)  # fmt: skip
MOST_TRAYS = 40
MOST_OFF = 40
"""At once."""

LEFT_OUT = frozenset(
    {
        Kind.NEXT, Kind.DONE, Kind.LOOK_AHEAD, Kind.LOOK_BACK, Kind.GO_TO, Kind.REDO, Kind.SKIP, Kind.DETAILS,
        Kind.FASTENERS, Kind.LUBRICANT, Kind.CAUTIONS, Kind.WHY, Kind.LIMITS, Kind.LOG, Kind.SET_AGAIN, Kind.ACCEPT,
        Kind.LEAVE_OPEN, Kind.READ_BACK, Kind.CAN_DO, Kind.LEFT_OUT, Kind.TRAY, Kind.TOOLS, Kind.MARKS, Kind.VARIANT,
    }
)  # fmt: skip
"""Commands that need a procedure's steps, and those that are said otherwise here."""


class StrippingLanguage(Language):
    """The language of taking apart; ``parts`` are names of parts besides the usual ones."""

    def __init__(self, parts: Sequence[str] = ()) -> None:
        self.parts = tuple(parts)
        super().__init__(Vocabulary())

    def _commands(self) -> tuple[Command, ...]:
        usual = tuple(command for command in commands(self.vocabulary) if command.kind not in LEFT_OUT)
        return (*stripping_commands(self.parts), *usual)


def _removal(sort: str, *slots: Slots) -> Removal:
    return Removal(sort, **all_slots(*slots))  # type: ignore[arg-type]


def stripping_commands(parts: Sequence[str]) -> tuple[Command, ...]:
    """The commands of taking apart alone."""
    count = either(says("a", 1), says("an", 1), says("the", 1),
                   *(says(cardinal(n), n) for n in range(1, MOST_OFF + 1)))  # fmt: skip
    noun = either(*(says(word, one) for one in FASTENERS for word in (one, plural(one))))
    part_name = Named(
        either(
            one_of((*PART_NAMES, *parts)),
            seq(one_of(WHICH), one_of((*PART_NAMES, *parts)), to=lambda which, part: f"{which} {part}"),
        ),
        "PART",
    )
    parts_off = either(
        seq(either(says("a", 1), says("an", 1), says("the", 1)), part_name),
        seq(either(*(says(cardinal(n), n) for n in range(1, MOST_OFF + 1))),
            either(*(says(word, one) for one in (*PART_NAMES, *parts) for word in (one, plural(one))))),
    )  # fmt: skip
    place = either(one_of(PLACES), seq("the", part_name, to=lambda part: f"the {part}"))
    from_where = slot("place", seq("from", place))
    way = slot("way", Named(one_of(ORIENTATIONS), "WAY"))
    off = either("removed", "took off", "took out")
    left_hand = says("left hand thread", {"left_hand": True})

    fasteners = seq(
        off,
        slot("count", count),
        slot("what", Named(noun, "FASTENER")),
        maybe(slot("size", SIZE)),
        maybe(slot("head", Named(one_of(HEAD_STYLES), "HEAD"))),
        maybe(slot("finish", Named(one_of(FINISHES), "FINISH"))),
        maybe(left_hand),
        maybe(way),
        maybe(from_where),
        to=partial(_removal, "fastener"),
    )
    a_part = seq(
        off,
        seq(parts_off, to=lambda off: {"count": off[0], "what": off[1]}),
        maybe(way),
        maybe(from_where),
        to=partial(_removal, "part"),
    )
    shims = seq(
        maybe(off),
        maybe(slot("count", count)),
        either(says("shim", {"what": "shim"}), says("shims", {"what": "shim"}), says("spacer", {"what": "spacer"})),
        slot("thickness", FIGURE_WITH_UNIT),
        maybe(from_where),
        to=partial(_removal, "shim"),
    )
    mark = either(
        seq(either(*(says(each, each) for each in MARKINGS)), "made"),
        says("marks made", "mark"),
        says("scribed a line", "one line"),
    )

    def marked(what: str, where: tuple[str, tuple[str, ...]] | None = None) -> Intent:
        place_words, carriers = where or (None, ())
        return Intent(Kind.MARKED, marking=Marking(what, place_words, carriers))

    mark_where = either(
        seq("at", one_of(PLACES), to=lambda words: (words, ())),
        seq(either("on", "at"), "the", part_name, to=lambda part: (f"the {part}", (part,))),
        seq("across", maybe("the"), part_name, "and", maybe("the"), part_name,
            to=lambda one, other: (f"the {one} and the {other}", (one, other))),
    )  # fmt: skip
    few_words = tuple(part for part in parts if len(part.split()) <= 2)
    whose = either(one_of(WHICH), one_of((*PART_NAMES, *few_words)))
    measured = Named(
        seq(maybe(whose), one_of(MEASURES), to=lambda *said: " ".join(said)),
        "MEASURE",
    )

    def found(name: str, said: Figure) -> Intent:
        return Intent(Kind.LOG, characteristic=name, occasion=AS_FOUND, figure=said)

    number = either(*(says(cardinal(n), n) for n in range(1, MOST_TRAYS + 1)))
    group = "Taking apart"
    return (
        Command(Kind.REMOVED, group,
                either(seq(either(fasteners, a_part, shims), to=lambda r: Intent(Kind.REMOVED, removal=r))),
                "what came off: count, what, size, head, finish, from where"),
        Command(Kind.PUT_IN_TRAY, group, seq(maybe(either("in", "into")), "tray", number,
                                      to=lambda n: Intent(Kind.PUT_IN_TRAY, tray=n)),
                "where it lies: everything removed since the last tray"),
        Command(Kind.IN_TRAY, group, either(
            seq("what is in tray", number, to=lambda n: Intent(Kind.IN_TRAY, tray=n)),
            says("what has no tray", Intent(Kind.IN_TRAY)),
        ), "hear what lies in a tray"),
        Command(Kind.MARKED, group, either(
            seq(mark, maybe(mark_where), to=marked),
            seq(one_of(MARKINGS), mark_where, to=marked),
        ), "a mark made before parts are parted"),
        Command(Kind.LOG, group, either(
            seq(maybe("log"), measured, maybe(AS_FOUND), FIGURE, to=found),
            seq(AS_FOUND, measured, FIGURE, to=found),
        ), "a figure as found: it becomes the first proposal for a target"),
        Command(Kind.READ_BACK, group, says("read back", Intent(Kind.READ_BACK)), "hear the last entry"),
    )  # fmt: skip
