"""Whether a command may still be going on when its speaker pauses."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.phrases.language import Language

MOST_CONTINUATIONS = 50
"""Continuations that are looked at; where there are more, one of them is bound to mean something else."""


def may_go_on(language: Language, words: tuple[str, ...]) -> bool:
    """Whether more words could make another meaning of ``words``, which are a whole command.

    "next" cannot ("next step" means the same); "log clearance four thou" can ("and a half").
    """
    state = language.automaton.walk(words)
    if state is None:
        return True
    meaning = set(language.interpret(words))
    for number, more in enumerate(_continuations(language, state)):
        if number >= MOST_CONTINUATIONS or set(language.interpret((*words, *more))) != meaning:
            return True
    return False


def _continuations(language: Language, state: int) -> Iterator[tuple[str, ...]]:
    for word, following in language.automaton.arcs[state].items():
        if following in language.automaton.finals:
            yield (word,)
        for more in _continuations(language, following):
            yield (word, *more)
