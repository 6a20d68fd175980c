"""The language of one procedure: what recognisers are given, what words mean, what can be said."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from functools import cached_property

from handsfree.measure.units import UNITS
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.commands.command import Command
from handsfree.phrases.commands.table import commands
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import automaton, either
from handsfree.phrases.intents import Intent, Kind
from handsfree.text.numerals import numerals_spelled, ungrouped


class Language:
    """All commands of a procedure, as grammar, interpreter, cheat sheet and sampler at once."""

    def __init__(self, vocabulary: Vocabulary | None = None) -> None:
        self.vocabulary = vocabulary or Vocabulary()
        self.commands: tuple[Command, ...] = self._commands()
        self._root = either(*(command.node for command in self.commands))

    def _commands(self) -> tuple[Command, ...]:
        return commands(self.vocabulary)

    @cached_property
    def automaton(self) -> WordAutomaton:
        """The grammar for recognisers."""
        return automaton(self._root)

    def interpret(self, words: tuple[str, ...]) -> tuple[Intent, ...]:
        """The meanings of ``words`` as one whole command; none where they are not a command."""
        return tuple(self._root.meanings(words)) if words else ()

    def meaning(self, words: tuple[str, ...]) -> tuple[Intent, ...] | None:
        """As ``interpret``, for telling apart what makes a difference: a characteristic's own unit counts as said, and
        one minute is as good as one minutes. None where ``words`` are not a command."""
        return tuple(map(self._with_unit, self.interpret(words))) or None

    def _with_unit(self, intent: Intent) -> Intent:
        figure, unit = intent.figure, self.vocabulary.units.get(intent.characteristic or "")
        if figure is not None and figure.ambiguous_unit is not None:
            return replace(intent, figure=replace(figure, ambiguous_unit=figure.ambiguous_unit.removesuffix("s")))
        if figure is None or unit is None or figure.unit is not None:
            return intent
        return replace(intent, figure=replace(figure, unit=unit))

    def interpret_text(self, text: str) -> tuple[Intent, ...]:
        """As ``interpret``, of typed text: case, hyphens and punctuation do not count."""
        return self.interpret(plain_words(text))

    def sample(self, rng: random.Random, kind: Kind | None = None) -> tuple[str, ...]:
        """The words of one command drawn at random (of one kind, if given)."""
        chosen = [command for command in self.commands if kind in (None, command.kind)]
        return tuple(rng.choice(chosen).node.sample(rng))


_SIGN = re.compile(r"(?<![^\s])([+\-−])(?=\.?[0-9])")
_BETWEEN = re.compile(r"(?<=[0-9])\s*[/,:–−-]\s*(?=\.?[0-9])")
_WORD = re.compile(r"[a-z']+|[/½¼¾⅓⅔⅛⅜⅝⅞]")
_BY_LETTERS = frozenset(
    unit.many.replace(" ", "") for unit in UNITS.values() if re.fullmatch(r"[a-z]( [a-z])+", unit.many)
) | {"ba", "bsf"}
"""Units, and families of threads, of which the letters are spoken: rpm, psi, BA."""


def plain_words(text: str) -> tuple[str, ...]:
    """Typed or recognised text as the grammar's plain words: lower case, no hyphens, no punctuation, numerals digit
    by digit ("31.2" is "three one point two"), units letter by letter that are spoken so ("rpm" is "r p m").

    A sign is a word. What stands between numerals and can't be said ("3/8", "4-5", "1,5", "2:10") is left as a mark
    that no command has: a figure must not change because part of it was passed over.
    """
    signed = _SIGN.sub(lambda sign: " plus " if sign[1] == "+" else " minus ", ungrouped(text.lower()))
    spelled = numerals_spelled(_BETWEEN.sub(" / ", signed).replace("’", "'"), "nought")
    words = _WORD.findall(spelled)
    return tuple(letter for word in words for letter in (word if word in _BY_LETTERS else (word,)))
