"""The grammar spelled in tokens: which tokens may come next at each place of a phrase."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from handsfree.hearing.tokens import SPACE, Tokenizer
from handsfree.phrases.automaton import WordAutomaton

PUNCTUATION = (",", ".", "?", "!", ":", ";", "...")

HYPHEN_AFTER = frozenset(
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety", "half", "quarter"]
)
"""Words after which the model may write a hyphen ("twenty-nine", "half-thou")."""

OTHER_SPELLINGS: dict[str, tuple[str, ...]] = {
    "metre": ("meter",),
    "metres": ("meters",),
    "millimetre": ("millimeter",),
    "millimetres": ("millimeters",),
    "centimetre": ("centimeter",),
    "centimetres": ("centimeters",),
    "micrometre": ("micrometer",),
    "micrometres": ("micrometers",),
    "nought": ("naught",),
    "oh": ("o",),
    "okay": ("ok", "OK"),
    "grey": ("gray",),
    "one": ("won",),
    "two": ("to", "too"),
    "four": ("for",),
    "eight": ("ate",),
    "log": ("lock", "look", "lot"),
    "thou": ("thow", "though", "tho", "thound", "now", "how", "out"),
}
"""How the model may write a word that the grammar spells in the British way, and words that sound like it.

"thou" (rhyming with "cow", for a thousandth of an inch) is unknown to the model, which writes what sounds like it.
"""

JOINED = frozenset({("stand", "by"), ("read", "back"), ("feed", "back"), ("half", "way")})
"""Pairs of words that the model may write as one."""


@dataclass(eq=False)
class Node:
    """A place inside a phrase. ``following[i]`` is where ``tokens[i]`` leads."""

    children: dict[int, Node] = field(default_factory=dict)
    ends: list[tuple[tuple[str, ...], Node]] = field(default_factory=list)
    """Words that are complete here, with the place between words to which they lead."""
    final: bool = False
    """A whole phrase may end here (only places between words)."""
    pause: bool = False
    """Reached by punctuation, which does not count towards a phrase's length."""
    tokens: np.ndarray[Any, np.dtype[np.int64]] = field(default_factory=lambda: np.empty(0, np.int64))
    following: list[Node] = field(default_factory=list)

    def freeze(self) -> None:
        self.tokens = np.fromiter(self.children, np.int64, len(self.children))
        self.following = list(self.children.values())


class Spelling:
    """The spellings of single words and of pairs, remembered across grammars."""

    def __init__(self, tokenizer: Tokenizer) -> None:
        self._tokenizer = tokenizer
        self._words: dict[tuple[str, str], tuple[tuple[int, ...], ...]] = {}
        self.punctuation = tuple(number for number in map(tokenizer.number, PUNCTUATION) if number is not None)

    def of(self, word: str, before: str) -> tuple[tuple[int, ...], ...]:
        """Spellings of ``word`` after ``before`` ("▁" or "-")."""
        known = self._words.get((word, before))
        if known is None:
            forms = []
            for form in (word, *OTHER_SPELLINGS.get(word, ())):
                forms.append(before + form)
                if before == SPACE:
                    forms.append(before + form[:1].upper() + form[1:])
            known = tuple(dict.fromkeys(self._tokenizer.encode(form) for form in forms))
            self._words[word, before] = known
        return known

    def joined(self, first: str, second: str) -> tuple[tuple[int, ...], ...]:
        """Spellings of two words in one, where that is usual ("standby")."""
        if (first, second) not in JOINED:
            return ()
        forms = (first + second, first[:1].upper() + first[1:] + second)
        return tuple(self._tokenizer.encode(SPACE + form) for form in forms)


def build(automaton: WordAutomaton, spelling: Spelling) -> Node:
    """The start node of ``automaton`` spelled in tokens."""
    count = len(automaton.arcs)
    start = Node()
    between = [Node(final=state in automaton.finals) for state in range(count)]
    """After a word: a space, a hyphen, punctuation or the end may follow."""
    paused = [Node(final=state in automaton.finals, pause=True) for state in range(count)]
    """After punctuation: only a new word or the end."""
    hyphens = {t for arcs in automaton.arcs for word, t in arcs.items() if word in HYPHEN_AFTER}
    for state, arcs in enumerate(automaton.arcs):
        places = [between[state], paused[state]] + ([start] if state == 0 else [])
        nodes: list[Node] = list(places)
        root = Node()
        for word, target in arcs.items():
            for tokens in spelling.of(word, SPACE):
                _insert(root, tokens, (word,), between[target], nodes)
            for following, beyond in automaton.arcs[target].items():
                for tokens in spelling.joined(word, following):
                    _insert(root, tokens, (word, following), between[beyond], nodes)
        for place in places:
            place.children.update(root.children)
        if state in hyphens:
            hyphened = Node()
            for word, target in arcs.items():
                for tokens in spelling.of(word, "-"):
                    _insert(hyphened, tokens, (word,), between[target], nodes)
            between[state].children.update(hyphened.children)
        for mark in spelling.punctuation:
            between[state].children[mark] = paused[state]
        for node in nodes:
            node.freeze()
    return start


def _insert(root: Node, tokens: tuple[int, ...], words: tuple[str, ...], target: Node, made: list[Node]) -> None:
    node = root
    for token in tokens:
        following = node.children.get(token)
        if following is None:
            following = node.children[token] = Node()
            made.append(following)
        node = following
    if (words, target) not in node.ends:
        node.ends.append((words, target))
