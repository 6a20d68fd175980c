"""Reasons for leaving a step out, or for accepting a figure that is out of limits."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from handsfree.phrases.commands.command import all_slots, named
from handsfree.phrases.grammar import either, maybe, seq
from handsfree.phrases.intents import Intent, Kind
from handsfree.text.phonetics import unlike

REASONS = (
    "not fitted", "not needed", "already done", "part missing", "part on order", "part worn out", "thread stripped",
    "as the customer wishes", "within wear", "no better to be had", "to be watched",
)  # fmt: skip
"""Reasons that can be given in one breath; any other is spoken freely when asked for."""

_ONE_OF_THEM = named("reason", ((each, each) for each in REASONS), "REASON")

GIVEN_REASON = either(_ONE_OF_THEM, seq("because", maybe(_ONE_OF_THEM), to=all_slots))
"""A reason; after "because" anything can be said (``with_free_reason``)."""

REASON = maybe(GIVEN_REASON)
"""The same where it may be left out."""


SOUNDS_ALIKE = 0.2
"""A command before "because" that differs from one of the grammar by no larger a share of its sound is that one."""


def with_command_as_meant(words: tuple[str, ...], command: tuple[str, ...]) -> tuple[str, ...]:
    """``words`` read freely, with what stands before "because" as the grammar has it, where it sounds like the
    ``command`` that was found there: "except because" is "accept because"."""
    if "because" not in words or not command:
        return words
    at = words.index("because")
    head = command[: command.index("because")] if "because" in command else command
    alike = head and unlike(" ".join(words[:at]), " ".join(head)) <= SOUNDS_ALIKE
    return (*head, *words[at:]) if alike else words


def with_free_reason(
    interpret: Callable[[tuple[str, ...]], tuple[Intent, ...]], words: tuple[str, ...], text: str
) -> tuple[Intent, ...]:
    """The meaning of "accept because the customer wants it": a command that takes a reason, and the reason in free
    words. ``words`` are those of ``text`` (as ``plain_words`` has them); none where they are no such command."""
    if "because" not in words[:-1]:
        return ()
    head = words[: words.index("because") + 1]
    said = re.split(r"\bbecause\b", text, maxsplit=1, flags=re.IGNORECASE)[-1].strip(" .,")
    takes_one = (intent for intent in interpret(head) if intent.kind in (Kind.ACCEPT, Kind.SKIP))
    return tuple(replace(intent, reason=said) for intent in takes_one if intent.reason is None and said)
