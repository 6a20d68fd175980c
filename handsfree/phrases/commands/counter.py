"""The counter: what was left with the item, when it is promised for, what it may cost, and handing it over."""

from __future__ import annotations

from functools import cache

from handsfree.job.facts import FACTS, Fact
from handsfree.phrases.commands.command import Command, all_slots, fixed, one_of, slot, with_slots
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.words import BUILT_IN, WHICH
from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.intents import Kind
from handsfree.phrases.quantities.days import DAY
from handsfree.phrases.quantities.fastener_sizes import SIZE
from handsfree.phrases.quantities.money import amounts
from handsfree.procedure.words import KnownWords
from handsfree.text.numerals import cardinal
from handsfree.text.prose import plural, singular

_GROUP = "The counter"

ACCESSORIES = (
    "bobbin", "box", "case", "charger", "cover", "cable", "eyepiece", "foot pedal", "handle", "key", "lead", "manual",
    "needle", "plug", "stand", "strap", "tool", "weight",
)  # fmt: skip
"""What is often left with an item; anything else is told in free speech."""
WAYS_TO_APPROVE = ("by telephone", "by letter", "by message", "by email", "in person")


def _begins(fact: Fact) -> Node:
    return slot("name", either(*(says(words, fact.name) for words in fact.phrases)))


@cache
def _accessory(known: tuple[str, ...]) -> Node:
    return Named(
        either(
            *(seq(either(says("a", one), says("an", one), says("the", one), says("one", one)), one) for one in known),
            *(seq(says(count, f"{count} {plural(one)}"), plural(one)) for one in known for count in ("two", "three")),
        ),
        "ACCESSORY",
    )


def _accessories(words: KnownWords) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*ACCESSORIES, *map(singular, words.accessories))))


_MOST_ORDERED = 20


@cache
def _part_to_order(parts: tuple[str, ...], fasteners: tuple[str, ...]) -> Node:
    nouns = tuple(dict.fromkeys((*fasteners, *parts)))
    # What tells it from others of its sort: "gib screw", "upper bearing".
    which = one_of((*WHICH, *parts))

    def qualified(head: Node) -> Node:
        return either(head, seq(which, head, to=lambda which, head: f"{which} {head}"))

    one = qualified(either(*(says(noun, noun) for noun in nouns)))
    several = qualified(either(*(says(plural(noun), noun) for noun in nouns)))
    count = either(*(says(cardinal(n), n) for n in range(2, _MOST_ORDERED + 1)))
    return Named(
        either(
            seq(either("a", "an", "one"), slot("name", one), to=lambda part: part | {"count": 1}),
            seq(slot("count", count), slot("name", several), to=all_slots),
        ),
        "PARTS",
    )


def _parts(words: KnownWords) -> Node:
    """What can be ordered: the words of every workshop, of this one, and of the procedure."""
    known = BUILT_IN | words
    parts, fasteners = (tuple(dict.fromkeys(map(singular, each))) for each in (known.parts, known.fasteners))
    return _part_to_order(parts, fasteners)


def counter(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    priced = (fact for fact in FACTS.values() if fact.priced)
    return (
        with_slots(Kind.ACCESSORY, _GROUP, "what was left with the item, and is to be given back",
               "left with it", slot("text", _accessory(_accessories(vocabulary.words)))),
        with_slots(Kind.PROMISED, _GROUP, "the day for which it is promised; a new one replaces the old",
               _begins(FACTS["promised"]), slot("day", DAY)),
        with_slots(Kind.AMOUNT, _GROUP, "what it may cost, and what was approved, in your money",
               seq(either(*map(_begins, priced)), slot("text", amounts(vocabulary.currency)),
                   maybe(slot("way", either(*(says(way, way) for way in WAYS_TO_APPROVE)))), to=all_slots)),
        with_slots(Kind.ORDER, _GROUP, "parts that the job waits for, for the list of parts to order",
               "order", _parts(vocabulary.words), maybe(slot("text", SIZE))),
        fixed(Kind.ARRIVED, _GROUP, "all parts that the job waited for have arrived",
              "the parts have arrived", "the part has arrived"),
        fixed(Kind.ORDERS, _GROUP, "which parts the job waits for",
              "which parts are on order", "what is on order"),
        fixed(Kind.HAND_OVER, _GROUP, "the owner has it again; what was left with it is asked for",
              "hand it over", "hand the job over"),
    )  # fmt: skip
