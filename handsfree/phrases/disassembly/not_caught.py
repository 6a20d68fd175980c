"""Which word was not known in what was said while taking apart, and what it was taken for.

Only what can hardly be talk is looked at: that something was removed, where a mark was made, what a figure was of.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from handsfree.phrases.disassembly.commands import OFF
from handsfree.phrases.disassembly.removal import HOW_MANY
from handsfree.phrases.disassembly.words import MARKINGS
from handsfree.phrases.language import Language
from handsfree.phrases.quantities.figures import FIGURE_WITH_UNIT
from handsfree.text.prose import plural

Sort = Literal["part", "place", "measure", "more", "article", "count", "thickness"]
"""What a word was taken for; "more": something that is told of what came off; "article", "count" and "thickness": known
parts, of which that is wanting ("removed spring", "removed screws", "removed a shim")."""

_OFF = tuple(tuple(words.split()) for words in OFF)
_JOINTS = ("from", "at", "on", "across")
_BEFORE_A_NAME = frozenset(("a", "an", "the", "one"))
_BY_THICKNESS = frozenset(("shim", "shims", "spacer", "spacers"))
_LONGEST = 4
"""Words of a name."""


@dataclass(frozen=True)
class NotKnown:
    """``words`` that are no name of this sort here."""

    sort: Sort
    words: str


def removal_meant(words: Sequence[str]) -> bool:
    """Whether it was said that something came off, whether or not what."""
    return any(tuple(words[: len(off)]) == off for off in _OFF)


def not_known(language: Language, words: Sequence[str]) -> NotKnown | None:
    """The word that kept ``words`` from being understood; None where nobody can tell."""
    if not words or language.interpret(tuple(words)):
        return None
    if removal_meant(words):
        return _of_removal(language, list(words))
    if _mark_meant(words):
        return _place_in(language, list(words))
    return _of_figure(language, list(words))


def _longest_known(language: Language, words: Sequence[str]) -> int:
    """How many of the words can follow one another from the start."""
    known = 0
    while known < len(words) and language.automaton.walk(words[: known + 1]) is not None:
        known += 1
    return known


def _of_removal(language: Language, words: list[str]) -> NotKnown | None:
    off = next(len(off) for off in _OFF if tuple(words[: len(off)]) == off)
    known = _longest_known(language, words)
    if known == len(words):
        # A shim is told by its thickness alone; anything else was broken off.
        return NotKnown("thickness", words[-1]) if words[-1] in _BY_THICKNESS else None
    without = language.interpret((*words[:off], "the", *words[off:]))
    removal = without[0].removal if without else None
    if removal is not None:
        several = removal.count == HOW_MANY
        return NotKnown("count", plural(removal.what)) if several else NotKnown("article", removal.what)
    if "from" in words[:known]:
        return _place_in(language, words)
    said = [at for at in range(known, off, -1) if language.interpret(tuple(words[:at]))]
    if said:
        rest = words[said[0] :]
        if rest[0] not in _JOINTS and _ends_in_a_part(language, words[: said[0]]):
            # "needle plate" where a needle is known: the whole is the name.
            name = [word for word in words[off:] if word not in _BEFORE_A_NAME]
            return _named("part", name[: name.index("from")] if "from" in name else name)
        return _named("more", rest[: rest.index("from")] if "from" in rest[1:] else rest)
    rest = words[off:]
    # Without how many: "two", "the" and the like are known before a name.
    while rest and (rest[0] in _BEFORE_A_NAME or language.interpret((*words[:off], rest[0], "screws"))):
        rest = rest[1:]
    return _named("part", rest[: rest.index("from")] if "from" in rest else rest)


def _ends_in_a_part(language: Language, words: Sequence[str]) -> bool:
    """Whether a removal was said of which nothing is told but the part."""
    removal = language.interpret(tuple(words))[0].removal
    return removal is not None and removal.sort == "part" and not (removal.way or removal.place)


def _mark_meant(words: Sequence[str]) -> bool:
    begins = (*(tuple(mark.split()) for mark in MARKINGS), ("marks", "made"), ("scribed", "a", "line"))
    return any(tuple(words[: len(begin)]) == begin for begin in begins) and any(word in _JOINTS for word in words)


def _place_in(language: Language, words: list[str]) -> NotKnown | None:
    at = max(place for place, word in enumerate(words) if word in _JOINTS)
    if _longest_known(language, words) <= at:
        return None
    return _named("place", words[at + 1 :])


def _of_figure(language: Language, words: list[str]) -> NotKnown | None:
    """A name that stands before a figure with its unit, and that is not known to be measured."""
    words = words[1:] if words[0] == "log" else words
    for at in range(1, min(len(words), _LONGEST + 1)):
        # Talk has verbs and articles before its figures.
        if FIGURE_WITH_UNIT.meanings(tuple(words[at:])) and not _BEFORE_A_NAME & set(words[:at]):
            return _named("measure", words[:at])
    return None


def _named(sort: Sort, words: Sequence[str]) -> NotKnown | None:
    said = [word for word in words if word != "the"]
    return NotKnown(sort, " ".join(said)) if 0 < len(said) <= _LONGEST + 2 else None
