"""Phrases as a small algebra: one description that is compiled for recognisers, parsed, sampled and printed.

A node describes a finite set of word sequences and what each means. Nodes are immutable and may be shared.
``None`` as a value means "says nothing of itself" (a filler); a sequence hands on the values of its parts.
"""

from __future__ import annotations

import random
from abc import ABC, abstractmethod
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field
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
    def wire(self, net: Net, start: int) -> int:
        """Add this node's arcs to ``net`` from ``start``; the state in which it ends."""

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

    def wire(self, net: Net, start: int) -> int:
        for word in self.words:
            following = net.state()
            net.arc(start, word, following)
            start = following
        return start

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

    def wire(self, net: Net, start: int) -> int:
        for part in self.parts:
            start = part.wire(net, start)
        return start

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

    def wire(self, net: Net, start: int) -> int:
        end = net.state()
        for option in self.options:
            net.skip(option.wire(net, start), end)
        return end

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

    def wire(self, net: Net, start: int) -> int:
        end = net.state()
        net.skip(start, end)
        net.skip(self.part.wire(net, start), end)
        return end

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

    def wire(self, net: Net, start: int) -> int:
        end = net.state()
        for count in range(1, self.high + 1):
            start = self.part.wire(net, start)
            if count >= self.low:
                net.skip(start, end)
        return end

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

    def wire(self, net: Net, start: int) -> int:
        return self.part.wire(net, start)

    def sample(self, rng: random.Random) -> list[str]:
        return self.part.sample(rng)

    def pattern(self) -> str:
        return self.part.pattern()


@dataclass(frozen=True, eq=False)
class Named(Node):
    """A part that a cheat sheet shows by a name in capitals, compiled once however often it is used."""

    part: Node
    name: str

    @cached_property
    def _compiled(self) -> WordAutomaton:
        return automaton(self.part)

    def _match(self, words: Sequence[str], at: int, memo: Memo) -> Iterable[tuple[Any, int]]:
        return self.part.match(words, at, memo)

    def _begins(self) -> tuple[frozenset[str], bool]:
        return self.part.begins

    def wire(self, net: Net, start: int) -> int:
        compiled, end = self._compiled, net.state()
        states = [net.state() for _ in compiled.arcs]
        net.skip(start, states[0])
        for state, arc in zip(states, compiled.arcs, strict=True):
            net.arcs[state] = {word: (states[following],) for word, following in arc.items()}
        for final in compiled.finals:
            net.skip(states[final], end)
        return end

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


@dataclass
class Net:
    """A non-deterministic automaton while it is being wired up."""

    arcs: list[dict[str, tuple[int, ...]]] = field(default_factory=list)
    skips: list[set[int]] = field(default_factory=list)
    _reach: dict[int, frozenset[int]] = field(default_factory=dict)

    def state(self) -> int:
        self.arcs.append({})
        self.skips.append(set())
        return len(self.arcs) - 1

    def arc(self, start: int, word: str, end: int) -> None:
        arc = self.arcs[start]
        arc[word] = (*arc[word], end) if word in arc else (end,)

    def skip(self, start: int, end: int) -> None:
        self.skips[start].add(end)

    def closure(self, states: Collection[int]) -> frozenset[int]:
        """The states with all that is reached from them without a word."""
        if len(states) == 1:
            return self._reached(*states)
        return frozenset().union(*(self._reached(state) for state in states))

    def _reached(self, state: int) -> frozenset[int]:
        known = self._reach.get(state)
        if known is None:
            known = frozenset([state]).union(*(self._reached(to) for to in self.skips[state]))
            self._reach[state] = known
        return known


def automaton(part: Node) -> WordAutomaton:
    """The minimal deterministic automaton of all phrases of ``part``."""
    net = Net()
    start = net.state()
    end = part.wire(net, start)
    first = net.closure([start])
    numbers: dict[frozenset[int], int] = {first: 0}
    waiting, arcs = [first], []
    reached: dict[tuple[int, ...], int] = {}
    for subset in waiting:  # grows while it is walked
        leaving = [net.arcs[state] for state in subset if net.arcs[state]]
        targets = leaving[0] if leaving else {}
        if len(leaving) > 1:
            targets = {}
            for each in leaving:
                for word, ends in each.items():
                    targets[word] = (*targets[word], *ends) if word in targets else ends
        arc: dict[str, int] = {}
        for word, ends in targets.items():
            number = reached.get(ends)
            if number is None:
                following = net.closure(ends)
                number = reached[ends] = numbers.setdefault(following, len(waiting))
                if number == len(waiting):
                    waiting.append(following)
            arc[word] = number
        arcs.append(arc)
    finals = frozenset(number for subset, number in numbers.items() if end in subset)
    return _minimise(arcs, finals)


def _minimise(arcs: list[dict[str, int]], finals: frozenset[int]) -> WordAutomaton:
    """Merge states from which the same may follow; the automaton has no circles, so one pass from the ends does."""
    merged: dict[int, int] = {}
    known: dict[tuple[bool, frozenset[tuple[str, int]]], int] = {}
    kept: list[dict[str, int]] = []
    final: set[int] = set()
    for state in _ends_first(arcs):
        arc = {word: merged[following] for word, following in arcs[state].items()}
        signature = (state in finals, frozenset(arc.items()))
        if signature not in known:
            known[signature] = len(kept)
            kept.append(arc)
            if state in finals:
                final.add(known[signature])
        merged[state] = known[signature]
    # The start was merged last; turn the numbering round so that it is state 0.
    last = len(kept) - 1
    turned = tuple({word: last - to for word, to in arc.items()} for arc in reversed(kept))
    return WordAutomaton(turned, frozenset(last - state for state in final))


def _ends_first(arcs: list[dict[str, int]]) -> Iterable[int]:
    seen, order = {0}, []
    stack = [(0, iter(arcs[0].values()))]
    while stack:
        state, following = stack[-1]
        for target in following:
            if target not in seen:
                seen.add(target)
                stack.append((target, iter(arcs[target].values())))
                break
        else:
            order.append(state)
            stack.pop()
    return order
