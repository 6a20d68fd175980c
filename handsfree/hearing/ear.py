"""From the sound of one utterance to what the guide is told."""

from __future__ import annotations

import time
from collections.abc import Iterable
from typing import Literal

from handsfree.hearing.decision import DEFAULT, Interpret, Thresholds, decide
from handsfree.hearing.denoise import cleaned
from handsfree.hearing.endpoints import Segment
from handsfree.hearing.recogniser import Recogniser
from handsfree.phrases.intents import Intent
from handsfree.phrases.utterance import Heard, Hearing, Utterance

Mode = Literal["commands", "dictation"]

NOTE_ENDS = (("end", "of", "note"), ("end", "note"))

PLAUSIBLE = 1.5
"""Other meanings are named whose score is at most this much below the best."""


class Ear:
    """Hears segments with one recogniser, whose grammar must be set."""

    def __init__(
        self,
        recogniser: Recogniser,
        interpret: Interpret,
        thresholds: Thresholds = DEFAULT,
        *,
        dictation_phrases: Iterable[tuple[str, ...]] = NOTE_ENDS,
        denoise: bool = True,
    ) -> None:
        self.recogniser = recogniser
        self._interpret = interpret
        self._thresholds = thresholds
        self._dictation_phrases = frozenset(dictation_phrases)
        self._denoise = denoise

    def hear(self, segment: Segment, mode: Mode = "commands") -> Utterance:
        """What was said in ``segment``.

        In "commands", speech that is no command has no words and no intents. In "dictation", the free text is the
        result, and only the dictation phrases, clearly heard, give an intent.
        """
        began = time.perf_counter()
        sound = cleaned(segment) if self._denoise else segment.samples
        if mode == "commands":
            heard = self.recogniser.recognise(sound, self._meaning, commands=not segment.part)
        else:
            heard = self.recogniser.recognise(sound, self._dictation_meaning, commands=bool(self._dictation_phrases))
        hearing = decide(heard, self._interpret, self._thresholds)
        if mode == "dictation" and hearing is not Hearing.CLEAR:
            hearing = Hearing.NONE
        words = heard.alternatives[0].words if hearing is not Hearing.NONE else ()
        usable = hearing in (Hearing.CLEAR, Hearing.DOUBTFUL)
        intents = self._interpret(words) if usable else ()
        return Utterance(
            words,
            hearing,
            intents,
            self._others(heard, intents) if usable else (),
            heard.free_text,
            heard.recogniser,
            segment.start,
            segment.end,
            segment.samples,
            time.perf_counter() - began,
        )

    def _meaning(self, words: tuple[str, ...]) -> tuple[Intent, ...] | None:
        return self._interpret(words) or None

    def _dictation_meaning(self, words: tuple[str, ...]) -> tuple[Intent, ...] | None:
        return self._meaning(words) if words in self._dictation_phrases else None

    def _others(self, heard: Heard, intents: tuple[Intent, ...]) -> tuple[Intent, ...]:
        """Meanings other than ``intents`` among the alternatives, likeliest first."""
        least = heard.alternatives[0].score - PLAUSIBLE
        others: list[Intent] = []
        for alternative in heard.alternatives[1:]:
            if alternative.score < least:
                break
            for intent in self._interpret(alternative.words):
                if intent not in intents and intent not in others:
                    others.append(intent)
        return tuple(others)
