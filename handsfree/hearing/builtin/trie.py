"""The grammar spelled in tokens: which tokens may come next at each place of a phrase."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache, partial
from typing import Any

import numpy as np

from handsfree.hearing.builtin.tokens import SPACE, Tokenizer
from handsfree.phrases.automaton import WordAutomaton
from handsfree.text.numerals import TENS

PUNCTUATION = (",", ".", "?", "!", ":", ";", "...")


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

SOUNDS_LIKE: dict[str, tuple[str, ...]] = {
    form.lower(): tuple(word for word, forms in OTHER_SPELLINGS.items() if form in forms)
    for forms in OTHER_SPELLINGS.values()
    for form in forms
}
"""The grammar's words for other words, or ways of writing them, that sound like them."""

JOINED = frozenset({("stand", "by"), ("read", "back"), ("feed", "back"), ("half", "way")})
"""Pairs of words that the model may write as one."""


@dataclass(eq=False)
class TrieNode:
    """A place inside a phrase. ``following[i]`` is where ``tokens[i]`` leads.

    Places between words are spelled out when they are first reached: most of a large grammar never is.
    """

    ends: list[tuple[tuple[str, ...], TrieNode]] = field(default_factory=list)
    """Words that are complete here, with the place between words to which they lead."""
    final: bool = False
    """A whole phrase may end here (only places between words)."""
    pause: bool = False
    """Reached by punctuation, which does not count towards a phrase's length."""
    spell: Callable[[], None] | None = None
    """What spells this place out; None once it has been."""
    _children: dict[int, TrieNode] = field(default_factory=dict)
    _layout: tuple[np.ndarray[Any, np.dtype[np.int64]], list[TrieNode]] | None = None

    @property
    def children(self) -> dict[int, TrieNode]:
        """Where each token leads."""
        if self.spell is not None:
            self.spell()
        return self._children

    @property
    def tokens(self) -> np.ndarray[Any, np.dtype[np.int64]]:
        """The tokens that may come next."""
        return self._laid_out()[0]

    @property
    def following(self) -> list[TrieNode]:
        """Where they lead, in the same order."""
        return self._laid_out()[1]

    def _laid_out(self) -> tuple[np.ndarray[Any, np.dtype[np.int64]], list[TrieNode]]:
        if self._layout is None:
            children = self.children
            self._layout = np.fromiter(children, np.int64, len(children)), list(children.values())
        return self._layout

    def add(self, token: int) -> TrieNode:
        """The place that ``token`` leads to, made where it is not there yet."""
        return self._children.setdefault(token, TrieNode())

    def lead(self, children: dict[int, TrieNode]) -> None:
        """Take up further places."""
        self._children.update(children)


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


def build(automaton: WordAutomaton, spelling: Spelling) -> TrieNode:
    """The start node of ``automaton`` spelled in tokens."""
    start = TrieNode()
    tens = _after_tens(automaton)

    @cache
    def place(state: int, *, pause: bool) -> TrieNode:
        return TrieNode(final=state in automaton.finals, pause=pause, spell=partial(spell, state))

    between = partial(place, pause=False)
    """After a word: a space, a hyphen, punctuation or the end may follow."""
    paused = partial(place, pause=True)
    """After punctuation: only a new word or the end."""

    def spell(state: int) -> None:
        arcs = automaton.arcs[state]
        places = [between(state), paused(state)] + ([start] if state == 0 else [])
        for each in places:
            each.spell = None
        root = TrieNode()
        for word, target in arcs.items():
            for tokens in spelling.of(word, SPACE):
                _insert(root, tokens, (word,), between(target))
            for following, beyond in automaton.arcs[target].items():
                for tokens in spelling.joined(word, following):
                    _insert(root, tokens, (word, following), between(beyond))
        for each in places:
            each.lead(root.children)
        if state in tens:
            hyphened = TrieNode()
            for word, target in arcs.items():
                for tokens in spelling.of(word, "-"):
                    _insert(hyphened, tokens, (word,), between(target))
            between(state).lead(hyphened.children)
        between(state).lead(dict.fromkeys(spelling.punctuation, paused(state)))

    start.spell = partial(spell, 0)
    return start


def _after_tens(automaton: WordAutomaton) -> set[int]:
    """States to which "twenty" and its like lead: where a hyphen may stand."""
    return {arcs[word] for arcs in automaton.arcs for word in arcs.keys() & TENS}


def _insert(root: TrieNode, tokens: tuple[int, ...], words: tuple[str, ...], target: TrieNode) -> None:
    node = root
    for token in tokens:
        node = node.add(token)
    if (words, target) not in node.ends:
        node.ends.append((words, target))
