"""What people say in one breath: a command with an "um" in it, one begun twice, or two commands one after the other."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.intents import Intent
from handsfree.phrases.language import Language

FILLERS = frozenset(("um", "uh", "er", "erm", "ah", "hm", "hmm", "mm"))

SHORTEST_START = 3
"""Letters of a word that was broken off, at the least."""


@dataclass(frozen=True)
class Breath:
    """The meanings of what was said; ``then`` those of a second command; ``unsure`` where the first was replaced by
    another of its kind ("log four, log five thou")."""

    intents: tuple[Intent, ...]
    then: tuple[Intent, ...] = ()
    unsure: bool = False


def in_one_breath(language: Language, words: tuple[str, ...]) -> Breath | None:
    """What ``words`` mean where they are a command, or two, said as people say them; None for anything else.

    Talk before or after a command makes it none: it was perhaps not meant for the bench.
    """
    said = tuple(word for word in words if word not in FILLERS)
    plain = language.interpret(said)
    if plain:
        return Breath(plain)
    return _two(language, said) or _begun_again(language, said)


def _two(language: Language, words: tuple[str, ...]) -> Breath | None:
    found: list[Breath] = []
    for place in range(1, len(words)):
        first, second = language.interpret(words[:place]), language.interpret(words[place:])
        if first and second and not any(map(only_follows, second)):
            found.append(joined(first, second))
    # "next step done" can be parted in two ways; where they differ in meaning, nothing is done.
    return found[0] if len(set(found)) == 1 else None


def only_follows(intent: Intent) -> bool:
    """Whether it says nothing unless it was asked for or something was begun: never the second of two commands."""
    return intent.kind.only_answers or intent.kind.closes


def joined(first: tuple[Intent, ...], second: tuple[Intent, ...]) -> Breath:
    """Two commands one after the other, unless the second replaces the first."""
    if first == second:
        return Breath(first)
    one, other = first[0], second[0]
    if one.kind is other.kind and one.characteristic == other.characteristic:
        return Breath(second, unsure=True)
    return Breath(first, second)


def _begun_again(language: Language, words: tuple[str, ...]) -> Breath | None:
    """The last complete command, if what precedes it is the beginning of one."""
    for place in range(1, len(words)):
        intents = language.interpret(words[place:])
        if intents and not only_follows(intents[0]) and is_beginning(language.automaton, words[:place]):
            return Breath(intents)
    return None


def is_beginning(automaton: WordAutomaton, words: tuple[str, ...]) -> bool:
    """Whether ``words`` begin a phrase; the last of them may be broken off."""
    state = automaton.walk(words[:-1])
    if state is None:
        return False
    last = words[-1]
    following = automaton.arcs[state]
    return last in following or (
        len(last) >= SHORTEST_START and any(word.startswith(last) and word != last for word in following)
    )
