"""The counter: what was left with the item, when it is promised for, what it may cost, and handing it over."""

from __future__ import annotations

from handsfree.job.facts import FACTS, Fact
from handsfree.phrases.commands.command import Command, all_slots, fixed, one_of, slot, with_slots
from handsfree.phrases.disassembly.words import BUILT_IN, WHICH
from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.intents import Kind
from handsfree.phrases.quantities.days import DAY
from handsfree.phrases.quantities.fastener_sizes import SIZE
from handsfree.phrases.quantities.numbers import COUNTING
from handsfree.text.numerals import cardinal
from handsfree.text.prose import plural

_GROUP = "The counter"

ACCESSORIES = (
    "bobbin", "box", "case", "charger", "cover", "cable", "eyepiece", "foot pedal", "handle", "key", "lead", "manual",
    "needle", "plug", "stand", "strap", "tool", "weight",
)  # fmt: skip
"""What is often left with an item; anything else is told in free speech."""
WAYS_TO_APPROVE = ("by telephone", "by letter", "by message", "by email", "in person")


def _begins(fact: Fact) -> Node:
    return slot("name", either(*(says(words, fact.name) for words in fact.phrases)))


_accessory = Named(
    either(
        *(seq(either(says("a", one), says("an", one), says("the", one), says("one", one)), one) for one in ACCESSORIES),
        *(seq(says(count, f"{count} {plural(one)}"), plural(one)) for one in ACCESSORIES for count in ("two", "three")),
    ),
    "ACCESSORY",
)


_MOST_ORDERED = 20


def _qualified(head: Node) -> Node:
    """A part with what tells it from others of its sort: "gib screw", "upper bearing"."""
    which = one_of((*WHICH, *BUILT_IN.parts))
    return either(head, seq(which, head, to=lambda which, head: f"{which} {head}"))


_NOUNS = tuple(dict.fromkeys((*BUILT_IN.fasteners, *BUILT_IN.parts)))
_one = _qualified(either(*(says(noun, noun) for noun in _NOUNS)))
_several = _qualified(either(*(says(plural(noun), noun) for noun in _NOUNS)))
_PART_TO_ORDER = Named(
    either(
        seq(either("a", "an", "one"), slot("name", _one), to=lambda part: part | {"count": 1}),
        seq(slot("count", either(*(says(cardinal(n), n) for n in range(2, _MOST_ORDERED + 1)))),
            slot("name", _several), to=all_slots),
    ),
    "PARTS",
)  # fmt: skip


def counter() -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    priced = (fact for fact in FACTS.values() if fact.priced)
    return (
        with_slots(Kind.ACCESSORY, _GROUP, "what was left with the item, and is to be given back",
               "left with it", slot("text", _accessory)),
        with_slots(Kind.PROMISED, _GROUP, "the day for which it is promised; a new one replaces the old",
               _begins(FACTS["promised"]), slot("day", DAY)),
        with_slots(Kind.AMOUNT, _GROUP, "what it may cost, and what was approved, in whole units of your money",
               seq(either(*map(_begins, priced)), slot("count", COUNTING),
                   maybe(slot("way", either(*(says(way, way) for way in WAYS_TO_APPROVE)))), to=all_slots)),
        with_slots(Kind.ORDER, _GROUP, "parts that the job waits for, for the list of parts to order",
               "order", _PART_TO_ORDER, maybe(slot("text", SIZE))),
        fixed(Kind.ARRIVED, _GROUP, "all parts that the job waited for have arrived",
              "the parts have arrived", "the part has arrived"),
        fixed(Kind.ORDERS, _GROUP, "which parts the job waits for",
              "which parts are on order", "what is on order"),
        fixed(Kind.HAND_OVER, _GROUP, "the owner has it again; what was left with it is asked for",
              "hand it over", "hand the job over"),
    )  # fmt: skip
