"""Two recognisers of different kinds: where they agree, that is the best confidence there is."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

from handsfree.hearing.ear import Mode
from handsfree.hearing.listening.endpoints import Segment
from handsfree.hearing.recogniser import Recogniser
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance

USABLE = (Hearing.CLEAR, Hearing.DOUBTFUL)


class OneEar(Protocol):
    @property
    def recogniser(self) -> Recogniser: ...

    def hear(self, segment: Segment, mode: Mode = "commands") -> Utterance: ...

    def learn(self, language: Language) -> None: ...


class TwoEars:
    """The first ear decides whether something was a command at all; the second says whether it was that one."""

    def __init__(self, first: OneEar, second: OneEar) -> None:
        self._first, self._second = first, second

    @property
    def recogniser(self) -> Recogniser:
        return self._first.recogniser

    def learn(self, language: Language) -> None:
        """Both hear another language from now on."""
        self._first.learn(language)
        self._second.learn(language)

    def hear(self, segment: Segment, mode: Mode = "commands") -> Utterance:
        """Same meaning: clear. Different, or heard by the first ear only: doubtful. Notes go by the first ear alone."""
        first = self._first.hear(segment, mode)
        if mode != "commands" or first.hearing is Hearing.NONE:
            return first
        return combined(first, self._second.hear(segment, mode))


def combined(first: Utterance, second: Utterance) -> Utterance:
    """What two ears made of the same sound, as one utterance."""
    both = f"{first.recogniser} and {second.recogniser}"
    seconds = first.seconds + second.seconds
    if first.hearing not in USABLE:
        return replace(first, recogniser=both, seconds=seconds)
    if second.hearing not in USABLE:
        return replace(first, hearing=Hearing.DOUBTFUL, recogniser=both, seconds=seconds)
    if set(first.intents) & set(second.intents) and first.then == second.then:
        return replace(first, hearing=Hearing.CLEAR, recogniser=both, seconds=seconds)
    others = tuple(dict.fromkeys((*second.intents, *first.alternatives, *second.alternatives)))
    others = tuple(other for other in others if other not in first.intents)
    return replace(first, hearing=Hearing.DOUBTFUL, alternatives=others, recogniser=both, seconds=seconds)
