"""From the sound of one utterance to what the guide is told."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from typing import Literal

from handsfree.audio.samples import Samples, at_speed
from handsfree.hearing.listening.denoise import cleaned
from handsfree.hearing.listening.endpoints import Segment
from handsfree.hearing.recogniser import Bias, Meaning, Recogniser
from handsfree.hearing.rejection import DEFAULT, Interpret, Thresholds, decide, is_brief
from handsfree.phrases.commands.reasons import with_command_as_meant, with_free_reason
from handsfree.phrases.expectation import NOTHING, Expectation
from handsfree.phrases.intents import Intent
from handsfree.phrases.language import Language, plain_words
from handsfree.phrases.utterance import Hearing, RecognitionResult, Utterance

Mode = Literal["commands", "dictation"]

NOTE_ENDS = (("end", "of", "note"), ("end", "note"))

UNEXPECTED = -4.0
"""Log probability that is taken from a phrase which the step does not make likely: in noise of 10 dB that was worth
five points in a hundred, and a wrong expectation cost less than one."""

AGAIN_FASTER = 1.05
"""How fast a command of a single word that is in doubt is heard again. That cleared up 9 of 16 such words of the tuning
sounds, and took none of 17 clips of talk for a command."""

PLAUSIBLE = 1.5
"""Other meanings are named whose score is at most this much below the best."""


class Ear:
    """Hears segments with one recogniser, whose grammar must be set.

    ``meaning`` is what tells phrases apart, where that is less than ``interpret`` says: two phrases with the same
    meaning cast no doubt on each other. ``expects`` is asked at every utterance what is likely to be said.
    """

    def __init__(
        self,
        recogniser: Recogniser,
        interpret: Interpret,
        thresholds: Thresholds = DEFAULT,
        *,
        dictation_phrases: Iterable[tuple[str, ...]] = NOTE_ENDS,
        denoise: bool = True,
        meaning: Callable[[tuple[str, ...]], tuple[Intent, ...] | None] | None = None,
        expects: Callable[[], Expectation] = lambda: NOTHING,
    ) -> None:
        self.recogniser = recogniser
        self._interpret = interpret
        self._thresholds = thresholds
        self._dictation_phrases = frozenset(dictation_phrases)
        self._denoise = denoise
        self._all_meanings = meaning or interpret
        self._expects = expects

    @property
    def expected(self) -> Expectation:
        """What is likely to be said now."""
        return self._expects()

    def learn(self, language: Language) -> None:
        """Hear another language from now on."""
        self.recogniser.set_grammar(language.automaton)
        self._interpret, self._all_meanings = language.interpret, language.meaning

    def hear(self, segment: Segment, mode: Mode = "commands") -> Utterance:
        """What was said in ``segment``.

        In "commands", speech that is no command has no words and no intents. In "dictation", the free text is the
        result, and only the dictation phrases, clearly heard, give an intent.
        """
        began = time.perf_counter()
        sound = cleaned(segment) if self._denoise else segment.samples
        expected = self.expected
        if mode == "commands":
            heard, hearing = self.recognised(
                sound,
                lambda words: self._meaning(words, expected),
                commands=not segment.part,
                bias=self._bias(expected) if expected != NOTHING else None,
            )
        else:
            heard, hearing = self.recognised(sound, self._dictation_meaning, commands=bool(self._dictation_phrases))
        if mode == "dictation" and hearing is not Hearing.CLEAR:
            hearing = Hearing.NONE
        words = heard.alternatives[0].words if hearing is not Hearing.NONE else ()
        usable = hearing in (Hearing.CLEAR, Hearing.DOUBTFUL)
        intents = self._interpret(words) if usable else ()
        if mode == "commands" and not segment.part and hearing in (Hearing.NEAR, Hearing.NONE):
            # A reason in free words is in no grammar; what stands before it is.
            best = heard.alternatives[0].words if heard.alternatives else ()
            read = with_command_as_meant(plain_words(heard.free_text), best)
            if reasoned := with_free_reason(self._interpret, read, heard.free_text):
                words, hearing, intents = read, Hearing.CLEAR, reasoned
        return Utterance(
            words=words,
            hearing=hearing,
            intents=intents,
            alternatives=self._others(heard, words, expected) if usable else (),
            free_text=heard.free_text,
            recogniser=heard.recogniser,
            start=segment.start,
            end=segment.end,
            sound=segment.samples,
            seconds=time.perf_counter() - began,
        )

    def recognised(
        self, sound: Samples, meaning: Meaning, *, commands: bool = True, bias: Bias | None = None
    ) -> tuple[RecognitionResult, Hearing]:
        """What ``sound`` is taken for, and how far that may be trusted. A command of a single word in doubt is heard a
        second time, a little faster, and taken where it is the same then, and clear."""

        def once(sound: Samples) -> tuple[RecognitionResult, Hearing]:
            heard = self.recogniser.recognise(sound, meaning, commands=commands, bias=bias)
            return heard, decide(heard, self._interpret, self._thresholds, self.expected.fits)

        heard, hearing = once(sound)
        if hearing is not Hearing.DOUBTFUL or not self._is_one_word(heard):
            return heard, hearing
        again, hearing_again = once(at_speed(sound, AGAIN_FASTER))
        same = hearing_again is Hearing.CLEAR and meaning(again.alternatives[0].words) == meaning(
            heard.alternatives[0].words
        )
        return (again, hearing_again) if same else (heard, hearing)

    def _is_one_word(self, heard: RecognitionResult) -> bool:
        """Whether it is a command of a single word, and no figure."""
        words = heard.alternatives[0].words
        return is_brief(words) and all(intent.figure is None for intent in self._interpret(words))

    def _meaning(self, words: tuple[str, ...], expected: Expectation) -> tuple[Intent, ...] | None:
        return tuple(map(expected.completed, self._all_meanings(words) or ())) or None

    def _dictation_meaning(self, words: tuple[str, ...]) -> tuple[Intent, ...] | None:
        return self._meaning(words, NOTHING) if words in self._dictation_phrases else None

    def _bias(self, expected: Expectation) -> Bias:
        def bias(words: tuple[str, ...]) -> float:
            return 0.0 if any(map(expected.likely, self._interpret(words))) else UNEXPECTED

        return bias

    def _others(self, heard: RecognitionResult, words: tuple[str, ...], expected: Expectation) -> tuple[Intent, ...]:
        """Meanings other than that of ``words`` among the alternatives, likeliest first."""
        least = heard.alternatives[0].score - PLAUSIBLE
        others: list[Intent] = []
        known = list(self._meaning(words, expected) or ())
        for alternative in heard.alternatives:
            if alternative.score < least:
                break
            meanings = self._meaning(alternative.words, expected) or ()
            for intent, meaning in zip(self._interpret(alternative.words), meanings, strict=True):
                if meaning not in known:
                    known.append(meaning)
                    others.append(intent)
        return tuple(others)
