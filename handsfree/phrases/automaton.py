"""The words that may follow one another: the form in which recognisers are given the grammar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class WordAutomaton:
    """A deterministic, acyclic, minimal automaton over lower-case words; state 0 is its start.

    ``arcs[s]`` maps each word that may come next in state ``s`` to the state it leads to. ``finals`` holds the
    states in which a phrase may end. Words are plain: letters and apostrophes, no hyphens, no digits.
    """

    arcs: tuple[Mapping[str, int], ...]
    finals: frozenset[int]

    @property
    def words(self) -> frozenset[str]:
        """Every word that occurs in some phrase."""
        return frozenset().union(*self.arcs)

    def walk(self, words: Iterable[str]) -> int | None:
        """The state after ``words``, or None where they leave the grammar."""
        state = 0
        for word in words:
            following = self.arcs[state].get(word)
            if following is None:
                return None
            state = following
        return state

    def accepts(self, words: Iterable[str]) -> bool:
        """Whether ``words`` are a whole phrase."""
        state = self.walk(words)
        return state is not None and state in self.finals
