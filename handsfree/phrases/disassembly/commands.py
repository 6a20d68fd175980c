"""Removals, trays, marks and figures as found, in closed phrases."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import Any

from handsfree.measure.figure import Figure
from handsfree.phrases.commands.command import Command, Slots, all_slots, fixed, named, one_of, slot, with_slots
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.removal import HOW_MANY, PART_NUMBERED, PLACE_NUMBERED, Marking, Removal
from handsfree.phrases.disassembly.words import BUILT_IN, DIRECTIONS, MARKINGS, WHICH
from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.quantities.fastener_sizes import SIZE
from handsfree.phrases.quantities.figures import FIGURE, FIGURE_WITH_UNIT
from handsfree.procedure.parts import AS_FOUND
from handsfree.procedure.words import KnownWords
from handsfree.text.numerals import cardinal
from handsfree.text.prose import plural, singular

MOST_TRAYS = 40
MOST_OFF = 40
"""At once."""
MOST_NUMBERED = 30
"""Parts, and places, that have a number in place of a name."""
OFF = ("removed", "took off", "took out")

_GROUP = "Taking apart"
_ONE: Node = either(*(says(word, 1) for word in ("a", "an", "the", "one")))
_THE: Node = says("the", HOW_MANY)
"""Before a plural: nobody knows how many there were."""
_SEVERAL: Node = Named(either(*(says(cardinal(n), n) for n in range(2, MOST_OFF + 1))), "HOW MANY")


def _numbered(of: str) -> Node:
    return either(*(says(f"{of} {cardinal(n)}", f"{of} {cardinal(n)}") for n in range(1, MOST_NUMBERED + 1)))


def _in_both(names: Iterable[str]) -> tuple[dict[str, str], dict[str, str]]:
    """The names in the singular, and in the plural, each with the singular that it means."""
    ones = dict.fromkeys(singular(name) for name in names)
    return {one: one for one in ones}, {plural(one): one for one in ones}


def _said(names: Mapping[str, str]) -> Node:
    return either(*(says(said, meant) for said, meant in names.items()))


def _removal(sort: str, *slots: Slots) -> Removal:
    return Removal(sort, **all_slots(*slots))  # type: ignore[arg-type]


class _Nouns:
    """The nodes of what can be named: parts, places, and the rest, each made once."""

    def __init__(self, words: KnownWords) -> None:
        known = BUILT_IN | words
        ones, many = _in_both(known.parts)
        which = one_of(WHICH)
        part, parts = _said(ones), _said(many)
        self.part = Named(
            either(part, seq(which, part, to=_joined), _numbered(PART_NUMBERED)),
            "PART",
        )
        self.parts = Named(either(parts, seq(which, parts, to=_joined)), "PARTS")
        one_fastener, fasteners = _in_both(known.fasteners)
        self.fastener, self.fasteners = Named(_said(one_fastener), "FASTENER"), Named(_said(fasteners), "FASTENERS")
        self.head = slot("head", Named(one_of(known.heads), "HEAD"))
        self.finish = slot("finish", Named(one_of(known.finishes), "FINISH"))
        size = either(SIZE, Named(one_of(known.sizes), "SIZE")) if known.sizes else SIZE
        self.size = slot("size", size)
        ways = (f"{side} {way}" for side in known.ways for way in DIRECTIONS)
        self.way = slot("way", Named(one_of(ways), "WAY"))
        spots = (f"the {place}" for place in known.places if place not in ones)
        self.spot = Named(either(one_of(spots), _numbered(PLACE_NUMBERED)), "PLACE")
        self.place = either(self.spot, seq(maybe("the"), self.part, to=the))
        few = [one for one in ones if len(one.split()) <= 2]
        self.measured = Named(
            seq(maybe(either(which, one_of(few))), one_of(known.measured), to=_joined),
            "MEASURE",
        )


def _joined(*said: str) -> str:
    return " ".join(said)


def the(part: str) -> str:
    """A part with its article; one that has a number in place of a name has none."""
    return part if part.startswith(f"{PART_NUMBERED} ") else f"the {part}"


def stripping_commands(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """The commands of taking apart alone."""
    nouns = _Nouns(vocabulary.words)
    number = either(*(says(cardinal(n), n) for n in range(1, MOST_TRAYS + 1)))
    return (
        Command(Kind.REMOVED, _GROUP, seq(_removals(nouns), to=lambda r: Intent(Kind.REMOVED, removal=r)),
                "what came off: count, what, size, head, finish, from where"),
        with_slots(Kind.NEW_WORD, _GROUP, "something that has no name here: it gets a number, and is told as a note",
                   slot("name", either(*(says(f"new {what}", what) for what in (PART_NUMBERED, PLACE_NUMBERED))))),
        with_slots(Kind.GIVE_NAME, _GROUP, "the name of what has had a number until now",
                   slot("text", either(_numbered(PART_NUMBERED), _numbered(PLACE_NUMBERED))), "is the",
                   slot("name", nouns.part)),
        Command(Kind.PUT_IN_TRAY, _GROUP, seq(maybe(either("in", "into")), "tray", number,
                                              to=lambda n: Intent(Kind.PUT_IN_TRAY, tray=n)),
                "where it lies: everything removed since the last tray"),
        Command(Kind.IN_TRAY, _GROUP, either(
            seq("what is in tray", number, to=lambda n: Intent(Kind.IN_TRAY, tray=n)),
            says("what has no tray", Intent(Kind.IN_TRAY)),
        ), "hear what lies in a tray"),
        Command(Kind.MARKED, _GROUP, _marks(nouns), "a mark made before parts are parted"),
        Command(Kind.LOG, _GROUP, _figures(nouns, vocabulary),
                "a figure as found: it becomes the first proposal for a target"),
        Command(Kind.READ_BACK, _GROUP, says("read back", Intent(Kind.READ_BACK)), "hear the last entry"),
        fixed(Kind.END_APART, _GROUP, "nothing more comes off: back to the procedure",
              "end of taking apart", "taking apart is finished"),
    )  # fmt: skip


def _removals(nouns: _Nouns) -> Node:
    off = either(*OFF)
    from_where = slot("place", seq("from", nouns.place))
    left_hand = says("left hand thread", {"left_hand": True})
    before = (maybe(nouns.size), maybe(nouns.finish), maybe(nouns.head))
    # How many, of what sort, and what: "two six B A cheese head screws", "the grub screw".
    counted = either(
        seq(slot("count", _ONE), *before, slot("what", nouns.fastener), to=all_slots),
        seq(slot("count", either(_SEVERAL, _THE)), *before, slot("what", nouns.fasteners), to=all_slots),
    )
    fasteners = seq(
        off, counted, maybe(nouns.head), maybe(nouns.size), maybe(nouns.head), maybe(nouns.finish), maybe(left_hand),
        maybe(nouns.way), maybe(from_where), to=partial(_removal, "fastener"),
    )  # fmt: skip
    some_parts = either(
        seq(slot("count", _ONE), slot("what", nouns.part), to=all_slots),
        seq(slot("count", either(_SEVERAL, _THE)), slot("what", nouns.parts), to=all_slots),
        seq(slot("what", _numbered(PART_NUMBERED))),
    )
    parts = seq(off, some_parts, maybe(nouns.way), maybe(from_where), to=partial(_removal, "part"))
    shims = seq(
        maybe(off),
        either(
            seq(maybe(slot("count", _ONE)), says("shim", {"what": "shim"}), to=all_slots),
            seq(maybe(slot("count", _ONE)), says("spacer", {"what": "spacer"}), to=all_slots),
            seq(slot("count", _SEVERAL), says("shims", {"what": "shim"}), to=all_slots),
            seq(slot("count", _SEVERAL), says("spacers", {"what": "spacer"}), to=all_slots),
        ),
        slot("thickness", FIGURE_WITH_UNIT),
        maybe(from_where),
        to=partial(_removal, "shim"),
    )
    return either(fasteners, parts, shims)


def _marks(nouns: _Nouns) -> Node:
    mark = either(seq(one_of(MARKINGS), "made"), says("marks made", "mark"), says("scribed a line", "one line"))

    def marked(what: str, where: tuple[str, tuple[str, ...]] | None = None) -> Intent:
        place, carriers = where or (None, ())
        return Intent(Kind.MARKED, marking=Marking(what, place, carriers))

    where = either(
        seq("at", nouns.spot, to=lambda words: (words, ())),
        seq(either("on", "at"), maybe("the"), nouns.part, to=lambda part: (the(part), (part,))),
        seq("across", maybe("the"), nouns.part, "and", maybe("the"), nouns.part,
            to=lambda one, other: (f"{the(one)} and {the(other)}", (one, other))),
    )  # fmt: skip
    return either(seq(mark, maybe(where), to=marked), seq(one_of(MARKINGS), where, to=marked))


def _figures(nouns: _Nouns, vocabulary: Vocabulary) -> Node:
    tool = (maybe(seq("with the", named("tool", vocabulary.tools.items(), "TOOL"))),) if vocabulary.tools else ()

    def found(name: str, said: Figure, more: dict[str, Any] | None = None) -> Intent:
        return Intent(Kind.LOG, characteristic=name, occasion=AS_FOUND, figure=said, **(more or {}))

    name = either(seq(maybe("log"), nouns.measured, maybe(AS_FOUND)), seq(AS_FOUND, nouns.measured))
    return seq(name, FIGURE, *tool, to=found)
