"""The names that a procedure adds to the language, and the parts of commands that are made of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from handsfree.phrases.commands.command import all_slots, named
from handsfree.phrases.grammar import Node, Part, maybe, seq
from handsfree.phrases.quantities.readings import reading_in
from handsfree.phrases.quantities.sums import sums_in
from handsfree.procedure.words import KnownWords

TIMERS = ("bath", "grease", "oil", "lacquer", "glue", "heat", "cooling", "drying", "soak")
"""Timers that can be named in every procedure."""


@dataclass(frozen=True)
class Vocabulary:
    """The names that a procedure adds to the language."""

    characteristics: Mapping[str, str] = field(default_factory=dict)
    """Each spoken name of a characteristic with its name in the procedure."""
    units: Mapping[str, str] = field(default_factory=dict)
    """The unit of each characteristic, by its name in the procedure: it goes without saying."""
    timers: Sequence[str] = ()
    tools: Mapping[str, str] = field(default_factory=dict)
    """Each spoken name of a tool with its own name."""
    answers: Sequence[str] = ()
    """The answers to the questions about the item, beyond yes and no."""
    procedures: Mapping[str, str] = field(default_factory=dict)
    """Each spoken name of a procedure that the job may change to, with its own name."""

    people: Mapping[str, str] = field(default_factory=dict)
    """Each spoken name of somebody who may be at the bench, with the name as it is written."""
    out: Sequence[str] = ()
    """Parts that came off in the job and are counted by their own names."""
    jobs: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Each way of calling a job that is open ("lathe"), with the jobs that may be meant."""
    words: KnownWords = field(default_factory=KnownWords)
    """What is known here besides the words of every workshop: while something is taken apart, and at the counter."""
    currency: str = ""
    """As it is written after an amount; empty: it has none, and is not said."""

    def __hash__(self) -> int:
        # With the order of the names: so that of the meanings follows it.
        return hash(repr(self))

    # Each is one node, however many commands it stands in: what is the same is kept once in the grammar.

    @cached_property
    def characteristic(self) -> Node | None:
        """The characteristic that is meant; None where the procedure measures nothing."""
        return named("characteristic", self.characteristics.items(), "CHARACTERISTIC") if self.characteristics else None

    @cached_property
    def of_what(self) -> tuple[Part, ...]:
        """The characteristic where it is named, as the part of a sequence that may be left out."""
        return (maybe(self.characteristic),) if self.characteristic else ()

    @cached_property
    def timer(self) -> Node:
        """A timer by its name."""
        return named("name", ((each, each) for each in dict.fromkeys((*self.timers, *TIMERS))), "TIMER")

    @cached_property
    def sum(self) -> Node:
        """A bench sum."""
        return sums_in(self.units.values())

    @cached_property
    def reading(self) -> Node:
        """What was read, and the tool it was read with where that is said."""
        tool = (maybe(seq("with the", named("tool", self.tools.items(), "TOOL"))),) if self.tools else ()
        return seq(reading_in(self.units.values()), *tool, to=all_slots)
