"""A command: one kind of intent, all its wordings, and where it stands in the cheat sheet; and how one is made."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from handsfree.phrases.grammar import Either, Named, Node, Part, Seq, either, says, seq
from handsfree.phrases.intents import Intent, Kind

Slots = dict[str, Any]
"""What a part of a command says: slots of its ``Intent``, by name."""


@dataclass(frozen=True)
class Command:
    """One kind of intent, all its wordings, and where it stands in the cheat sheet."""

    kind: Kind
    group: str
    node: Node
    """Its value is an ``Intent``."""
    help: str

    @property
    def wordings(self) -> tuple[str, ...]:
        """How it may be said, each way in a line: [ ] may be left out, ( / ) one of these, capitals for a kind."""
        return tuple(dict.fromkeys(_ways(self.node)))


def _ways(part: Node) -> list[str]:
    """The options of a node one by one where it is a choice from the start, else the whole in one."""
    if isinstance(part, Seq) and len(part.parts) == 1:
        return _ways(part.parts[0])
    if isinstance(part, Either):
        return [way for option in part.options for way in _ways(option)]
    return [part.pattern()]


def fixed(kind: Kind, group: str, help_: str, *wordings: Part) -> Command:
    """A command without slots, said in any of these ways."""
    return Command(kind, group, seq(either(*wordings), to=lambda: Intent(kind)), help_)


def with_slots(kind: Kind, group: str, help_: str, *parts: Part) -> Command:
    """A command of these parts one after another, each of which says slots or nothing."""
    return Command(kind, group, seq(*parts, to=lambda *slots: Intent(kind, **all_slots(*slots))), help_)


def all_slots(*slots: Slots) -> Slots:
    """The slots of several parts in one."""
    return {name: value for each in slots for name, value in each.items()}


def slot(name: str, part: Node) -> Node:
    """A part whose value fills one slot."""
    return seq(part, to=lambda value: {name: value})


def one_of(words: Iterable[str]) -> Node:
    """Any of these, each meaning itself."""
    return either(*(says(each, each) for each in dict.fromkeys(words)))


def named(name: str, said: Iterable[tuple[str, Any]], shown: str) -> Node:
    """A slot for one of many, each said in its own way; ``shown`` is how the cheat sheet writes it."""
    return slot(name, Named(either(*(says(words, value) for words, value in said)), shown))
