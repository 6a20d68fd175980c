"""The grammar spelled in tokens: which tokens may come next at each place of a phrase."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from handsfree.hearing.tokens import SPACE, Tokenizer
from handsfree.phrases.automaton import WordAutomaton

PUNCTUATION = (",", ".", "?", "!", ":", ";", "...")

TENS = frozenset(("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"))

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
    "accept": ("except",),
    "quieter": ("quiet her",),
    "lubricant": ("lube recount", "blue brickent", "loo brickent"),
    "help": ("hell",),
    "louder": ("loud her",),
    "gib": ("jib", "give"),
    "end": ("and", "in"),
    "okay": ("ok", "OK"),
    "grey": ("gray",),
    "one": ("won",),
    "two": ("to", "too"),
    "four": ("for",),
    "eight": ("ate",),
    "log": ("lock", "look", "lot", "lord", "long", "logged"),
    "thou": ("thow", "though", "tho", "now", "how", "thal", "foul", "fell", "vow", "owl", "cow"),
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
            known = tuple(dict.fromkeys(cut for form in forms for cut in self._cuts(form)))
            self._words[word, before] = known
        return known

    def _cuts(self, form: str) -> list[tuple[int, ...]]:
        """The usual spelling of ``form``, and, of a word that the model knows in pieces only, others as short: at the
        beginning of a sentence it does not keep to the usual one ("Qu iet er" for "Qu i eter")."""
        usual = self._tokenizer.encode(form)
        if len(usual) < 2:
            return [usual]
        return [usual, *(cut for cut in self._tokenizer.cuts(form, len(usual)) if cut != usual)]

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
    tens = _after_tens(automaton)
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
        if state in tens:
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


def _after_tens(automaton: WordAutomaton) -> set[int]:
    """States to which "twenty" and its like lead: where a hyphen may stand."""
    return {target for arcs in automaton.arcs for word, target in arcs.items() if word in TENS}


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
