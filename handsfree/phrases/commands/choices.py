"""Choosing one of several: by its number, or by a name that no other has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from handsfree.phrases.commands.command import Command, fixed, named, with_slots
from handsfree.phrases.grammar import either, maybe
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language
from handsfree.text.numerals import cardinal

_GROUP = "Choosing"


class ChoiceLanguage(Language):
    """What can be said to choose one of ``keys``: its number ("two", and with the ``word`` for what they are: "job
    two"), or its spoken name in ``names``. The answer is the key."""

    def __init__(self, word: str, keys: Sequence[str], names: Mapping[str, str]) -> None:
        self._word, self._keys, self._names = word, tuple(keys), dict(names)
        super().__init__()

    def _commands(self) -> tuple[Command, ...]:
        numbers = ((cardinal(number), key) for number, key in enumerate(self._keys, 1))
        return (
            with_slots(Kind.ANSWER, _GROUP, "one of them by its number",
                       maybe(either(self._word, "number")), named("answer", numbers, "NUMBER")),
            *((with_slots(Kind.ANSWER, _GROUP, "one of them by its name",
                          maybe("the"), named("answer", self._names.items(), "NAME")),) if self._names else ()),
            fixed(Kind.REPEAT, _GROUP, "hear them again",
                  "repeat", "say again", "say that again"),
        )  # fmt: skip
