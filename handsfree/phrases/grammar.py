"""Phrases as a small algebra: one description that is compiled for recognisers, parsed, sampled and printed.

A node describes a finite set of word sequences and what each means. Nodes are immutable and may be shared.
``None`` as a value means "says nothing of itself" (a filler); a sequence hands on the values of its parts.
"""

from __future__ import annotations

import random
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Union

from handsfree.phrases.automaton import WordAutomaton

Memo = dict[tuple[int, int], tuple[tuple[Any, int], ...]]
Part = Union["Node", str]


class Node(ABC):
    """A set of phrases with their meanings."""

    @abstractmethod
    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        """Every (value, end) of a phrase of this node that begins at ``at``."""

    @abstractmethod
    def _wire(self, net: Net, after: int) -> int: ...

    def wire(self, net: Net, after: int) -> int:
        """The state of ``net`` from which a phrase of this node, and then what follows from ``after``, may be said."""
        key = (id(self), after)
        found = net.wired.get(key)
        if found is None:
            found = net.wired[key] = self._wire(net, after)
        return found

    @abstractmethod
    def sample(self, rng: random.Random) -> list[str]:
        """One phrase, drawn at random."""

    @abstractmethod
    def pattern(self) -> str:
        """How the phrases are written in a cheat sheet."""

    @cached_property
    def begins(self) -> tuple[frozenset[str], bool]:
        """The words a phrase of this node can begin with, and whether it can be empty."""
        return self._begins()

    @abstractmethod
    def _begins(self) -> tuple[frozenset[str], bool]: ...

    def match(self, words: Sequence[str], at: int, memo: Memo) -> tuple[tuple[Any, int], ...]:
        key = (id(self), at)
        found = memo.get(key)
        if found is None:
            found = memo[key] = tuple(self._match(words, at, memo))
        return found

    def meanings(self, words: Sequence[str]) -> list[Any]:
        """The distinct values of all readings of ``words`` as a whole phrase of this node."""
        found: list[Any] = []
        for value, end in self.match(words, 0, {}):
            if end == len(words) and value not in found:
                found.append(value)
        return found


@dataclass(frozen=True, eq=False)
class Phrase(Node):
    """Fixed words, with a fixed value."""

    words: tuple[str, ...]
    value: Any = None

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        end = at + len(self.words)
        if tuple(words[at:end]) == self.words:
            yield self.value, end

    def _begins(self) -> tuple[frozenset[str], bool]:
        return frozenset(self.words[:1]), not self.words

    def _wire(self, net: Net, after: int) -> int:
        for word in reversed(self.words):
            after = net.state({word: after})
        return after

    def sample(self, rng: random.Random) -> list[str]:
        return list(self.words)

    def pattern(self) -> str:
        return " ".join(self.words)


@dataclass(frozen=True, eq=False)
class Seq(Node):
    """Parts one after another; ``to`` makes one value of the parts' values that are not None."""

    parts: tuple[Node, ...]
    to: Callable[..., Any] | None = None

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        readings: list[tuple[tuple[Any, ...], int]] = [((), at)]
        for part in self.parts:
            readings = [
                (values if value is None else (*values, value), end)
                for values, here in readings
                for value, end in part.match(words, here, memo)
            ]
            if not readings:
                return
        for values, end in readings:
            yield self._value(values), end

    def _value(self, values: tuple[Any, ...]) -> Any:
        if self.to is not None:
            return self.to(*values)
        return values[0] if len(values) == 1 else (values or None)

    def _begins(self) -> tuple[frozenset[str], bool]:
        words: frozenset[str] = frozenset()
        for part in self.parts:
            more, empty = part.begins
            words |= more
            if not empty:
                return words, False
        return words, True

    def _wire(self, net: Net, after: int) -> int:
        for part in reversed(self.parts):
            after = part.wire(net, after)
        return after

    def sample(self, rng: random.Random) -> list[str]:
        return [word for part in self.parts for word in part.sample(rng)]

    def pattern(self) -> str:
        return " ".join(filter(None, (part.pattern() for part in self.parts)))


@dataclass(frozen=True, eq=False)
class Either(Node):
    """One of several; each option keeps its own value."""

    options: tuple[Node, ...]

    @cached_property
    def _by_first_word(self) -> dict[str, tuple[Node, ...]]:
        table: dict[str, list[Node]] = {}
        for option in self.options:
            for word in option.begins[0]:
                table.setdefault(word, []).append(option)
        return {word: tuple(options) for word, options in table.items()}

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        if at < len(words):
            for option in self._by_first_word.get(words[at], ()):
                yield from option.match(words, at, memo)

    def _begins(self) -> tuple[frozenset[str], bool]:
        return frozenset(self._by_first_word), any(option.begins[1] for option in self.options)

    def _wire(self, net: Net, after: int) -> int:
        return net.either(option.wire(net, after) for option in self.options)

    def sample(self, rng: random.Random) -> list[str]:
        return rng.choice(self.options).sample(rng)

    def pattern(self) -> str:
        shown = list(dict.fromkeys(option.pattern() for option in self.options))
        return shown[0] if len(shown) == 1 else "(" + " / ".join(shown) + ")"


@dataclass(frozen=True, eq=False)
class Maybe(Node):
    """A part that may be left out; then the value is None."""

    part: Node

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        yield None, at
        yield from self.part.match(words, at, memo)

    def _begins(self) -> tuple[frozenset[str], bool]:
        return self.part.begins[0], True

    def _wire(self, net: Net, after: int) -> int:
        return net.either((after, self.part.wire(net, after)))

    def sample(self, rng: random.Random) -> list[str]:
        return self.part.sample(rng) if rng.random() < 0.5 else []

    def pattern(self) -> str:
        return f"[{self.part.pattern()}]"


@dataclass(frozen=True, eq=False)
class Many(Node):
    """A part said ``low`` to ``high`` times; ``to`` makes one value of them all."""

    part: Node
    low: int
    high: int
    to: Callable[..., Any]

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        readings: list[tuple[tuple[Any, ...], int]] = [((), at)]
        for count in range(1, self.high + 1):
            readings = [
                ((*values, value), end)
                for values, here in readings
                for value, end in self.part.match(words, here, memo)
            ]
            if not readings:
                return
            if count >= self.low:
                for values, end in readings:
                    yield self.to(*values), end

    def _begins(self) -> tuple[frozenset[str], bool]:
        return self.part.begins[0], self.low == 0 or self.part.begins[1]

    def _wire(self, net: Net, after: int) -> int:
        rest = after
        for count in reversed(range(self.high)):
            # What may come after ``count`` of them: one more, or, where they are enough, what follows.
            more = self.part.wire(net, rest)
            rest = net.either((after, more)) if count >= max(self.low, 1) else more
        return rest

    def sample(self, rng: random.Random) -> list[str]:
        return [word for _ in range(rng.randint(self.low, self.high)) for word in self.part.sample(rng)]

    def pattern(self) -> str:
        return f"{self.part.pattern()} …"


@dataclass(frozen=True, eq=False)
class Unless(Node):
    """A part whose readings do not count where ``not_meant`` says so of a value and the words it was read from. Its
    phrases stay phrases: something else must be meant by them."""

    part: Node
    not_meant: Callable[[Any, Sequence[str]], bool]

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        return [
            (value, end) for value, end in self.part.match(words, at, memo) if not self.not_meant(value, words[at:end])
        ]

    def _begins(self) -> tuple[frozenset[str], bool]:
        return self.part.begins

    def _wire(self, net: Net, after: int) -> int:
        return self.part.wire(net, after)

    def sample(self, rng: random.Random) -> list[str]:
        return self.part.sample(rng)

    def pattern(self) -> str:
        return self.part.pattern()


@dataclass(frozen=True, eq=False)
class Named(Node):
    """A part that a cheat sheet shows by a name in capitals, wired once however often it is used."""

    part: Node
    name: str

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        return self.part.match(words, at, memo)

    def _begins(self) -> tuple[frozenset[str], bool]:
        return self.part.begins

    def _wire(self, net: Net, after: int) -> int:
        return net.then(self.part.wire(net, 0), after)

    def sample(self, rng: random.Random) -> list[str]:
        return self.part.sample(rng)

    def pattern(self) -> str:
        return self.name


def node(part: Part) -> Node:
    """``part`` itself, or a phrase of its words."""
    return Phrase(tuple(part.split())) if isinstance(part, str) else part


def says(words: str, value: Any) -> Node:
    """Fixed words that mean ``value``."""
    return Phrase(tuple(words.split()), value)


def seq(*parts: Part, to: Callable[..., Any] | None = None) -> Node:
    return Seq(tuple(node(part) for part in parts), to)


def either(*options: Part) -> Node:
    return Either(tuple(node(option) for option in options))


def maybe(part: Part) -> Node:
    return Maybe(node(part))


class Net:
    """Deterministic, acyclic automata while they are put together from their ends.

    States from which the same may be said are one state, so that what is put together is minimal at every moment.
    State 0 is the end of a phrase.
    """

    def __init__(self) -> None:
        self.arcs: list[dict[str, int]] = []
        self.finals: list[bool] = []
        self.wired: dict[tuple[int, int], int] = {}
        """What was wired already: a node and what follows it, and the state."""
        self._alike: dict[int, list[int]] = {}
        self._unions: dict[frozenset[int], int] = {}
        self._chains: dict[tuple[int, int], int] = {}
        self.state({}, final=True)

    def state(self, arcs: dict[str, int], *, final: bool = False) -> int:
        """The state in which these words may follow, each leading to a state."""
        # The words themselves would cost more room as a key than the states do.
        alike = self._alike.setdefault(hash((final, frozenset(arcs.items()))), [])
        for known in alike:
            if self.finals[known] == final and self.arcs[known] == arcs:
                return known
        alike.append(len(self.arcs))
        self.arcs.append(arcs)
        self.finals.append(final)
        return alike[-1]

    def either(self, states: Iterable[int]) -> int:
        """The state in which may follow what follows from any of ``states``."""
        each = tuple(dict.fromkeys(states))
        if len(each) == 1:
            return each[0]
        key = frozenset(each)
        found = self._unions.get(key)
        if found is None:
            arcs: dict[str, int] = {}
            several: dict[str, tuple[int, ...]] = {}
            for state in each:
                more = self.arcs[state]
                for word in filter(arcs.__contains__, more):
                    several[word] = (*several.get(word, (arcs[word],)), more[word])
                arcs |= more
            # Most words lead to what others lead to as well.
            joined = {to: self.either(to) for to in dict.fromkeys(several.values())}
            arcs |= {word: joined[to] for word, to in several.items()}
            found = self._unions[key] = self.state(arcs, final=any(self.finals[state] for state in each))
        return found

    def then(self, state: int, after: int) -> int:
        """The state from which what follows from ``state`` may be said, and then what follows from ``after``."""
        if after == 0:
            return state
        found = self._chains.get((state, after))
        if found is None:
            arcs = self.arcs[state]
            beyond = {to: self.then(to, after) for to in dict.fromkeys(arcs.values())}
            found = self.state({word: beyond[to] for word, to in arcs.items()})
            if self.finals[state]:
                found = self.either((after, found))
            self._chains[state, after] = found
        return found


def automaton(part: Node) -> WordAutomaton:
    """The minimal deterministic automaton of all phrases of ``part``."""
    net = Net()
    start = part.wire(net, 0)
    numbers = {start: 0}
    walked = [start]
    for state in walked:  # grows while it is walked
        for to in dict.fromkeys(net.arcs[state].values()):
            if numbers.setdefault(to, len(walked)) == len(walked):
                walked.append(to)
    arcs = tuple({word: numbers[to] for word, to in net.arcs[state].items()} for state in walked)
    return WordAutomaton(arcs, frozenset(numbers[state] for state in walked if net.finals[state]))
