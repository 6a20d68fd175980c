"""A second look at speech that is no plain command: an "um" in it, a start broken off, two commands in one breath.

The grammar stays as narrow as it is: what it hears well is not put at risk by what is seldom said. In place of a wider
one, the sound is parted at its pauses, and the parts are heard each for itself.
"""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.ear import Ear, Mode
from handsfree.hearing.listening.denoise import cleaned
from handsfree.hearing.listening.endpoints import PADDING, Segment
from handsfree.hearing.pauses import parting_places
from handsfree.hearing.recogniser import Recogniser
from handsfree.phrases.breath import FILLERS, Breath, is_beginning, joined, only_follows
from handsfree.phrases.intents import Intent
from handsfree.phrases.language import Language, plain_words
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.text.phonetics import plain, unlike

TALK_AROUND = 2
"""So many words beyond those of the command, in the free reading, are talk before or after it."""

MOST_AROUND = 5
"""More words than these beyond a command, and twice its own, make all of it talk."""

SHARE_OF_COMMANDS = 0.6
"""Speech of which fewer words than this belong to commands is talk, and is not looked at again."""

LIGHT = frozenset(("a", "an", "the", "of"))

LONGEST_UTTERANCE = 6.0
"""Seconds; what is longer is talk."""

SOUNDS_NEARLY = 0.5
"""Share of its phones by which the end of a reading may differ from the command that was begun again."""

MOST_TRIES = 2
"""Places at which the sound is parted: each costs two readings of it."""


@dataclass(frozen=True)
class _Part:
    """What one part was taken for; ``words`` are empty where it was no command beyond doubt."""

    words: tuple[str, ...]
    free: tuple[str, ...]
    intents: tuple[Intent, ...]


SAME_IN_SOUND = 0.25
"""A word that differs from another by no larger a share of its phones may be that one, misspelt."""


class PatientEar:
    """An ear that looks a second time where the first look does not account for everything that was said."""

    def __init__(self, ear: Ear, language: Language) -> None:
        self._ear = ear
        self._language = language
        self._words = language.automaton.words
        self._at_work = threading.Lock()

    @property
    def recogniser(self) -> Recogniser:
        return self._ear.recogniser

    def learn(self, language: Language) -> None:
        """Hear another language from now on, once what is being heard is finished."""
        with self._at_work:
            self._ear.learn(language)
            self._language, self._words = language, language.automaton.words

    def hear(self, segment: Segment, mode: Mode = "commands") -> Utterance:
        """As Ear.hear, and once more where it did not account for everything that was said."""
        with self._at_work:
            return self._listen(segment, mode)

    def _listen(self, segment: Segment, mode: Mode) -> Utterance:
        """What is left over where no second look accounts for it makes a command a near miss."""
        utterance = self._ear.hear(segment, mode)
        if mode != "commands" or segment.part or not utterance.free_text:
            return utterance
        free = tuple(word for word in plain_words(utterance.free_text) if word not in FILLERS)
        usable = utterance.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL)
        if usable and not self._leaves_something_out(utterance, free):
            return utterance
        began = time.perf_counter()
        in_parts = None
        if self._worth_it(utterance, free):
            in_parts = self._parted(cleaned(segment), utterance)
        took = utterance.seconds + time.perf_counter() - began
        if in_parts is not None:
            words, breath = in_parts
            hearing = Hearing.DOUBTFUL if breath.unsure else Hearing.CLEAR
            return replace(
                utterance,
                words=words,
                hearing=hearing,
                intents=breath.intents,
                alternatives=(),
                then=breath.then,
                seconds=took,
            )
        if usable:
            # A word like a command within a long sentence was no near miss: talk makes no sound.
            more = _count(utterance.free_text) - len(utterance.words)
            hearing = Hearing.NONE if more > max(MOST_AROUND, 2 * len(utterance.words)) else Hearing.NEAR
            words = utterance.words if hearing is Hearing.NEAR else ()
            return replace(utterance, words=words, hearing=hearing, intents=(), alternatives=(), seconds=took)
        return replace(utterance, seconds=took)

    def _worth_it(self, utterance: Utterance, free: tuple[str, ...]) -> bool:
        if not free or utterance.end - utterance.start > LONGEST_UTTERANCE:
            return False
        return sum(word in self._words for word in free) >= SHARE_OF_COMMANDS * len(free)

    def _leaves_something_out(self, utterance: Utterance, free: tuple[str, ...]) -> bool:
        """Whether more was said than the words of the command."""
        words = utterance.words
        if free == words * (len(free) // len(words)):
            # The model likes to write a short word twice.
            return False
        if _count(utterance.free_text) - len(words) >= TALK_AROUND:
            return True
        # A whole command at the end, or a beginning said twice, that the heard words do not have.
        for length in (1, 2, 3):
            tail = free[-length:]
            another = len(tail) < len(free) and bool(self._language.interpret(tail))
            if another and not set(tail) & set(words):
                return True
        if len(free) > len(words) and free[-1] not in words and self._sounds_like_a_command(free[-1]):
            return True
        return len(free) > len(words) and free[: len(free) // 2] == free[len(free) // 2 :][: len(free) // 2]

    def _sounds_like_a_command(self, word: str) -> bool:
        """ "Necks" at the end of a free reading was "next"."""
        automaton = self._language.automaton
        alone = (known for known, state in automaton.arcs[0].items() if state in automaton.finals)
        return any(unlike(word, known) <= SAME_IN_SOUND for known in alone)

    def _parted(self, sound: Samples, utterance: Utterance) -> tuple[tuple[str, ...], Breath] | None:
        places = parting_places(sound)
        if not places:
            return None
        if FILLERS & set(plain_words(utterance.free_text)):
            whole = self._without_fillers(sound, sorted(places))
            if whole is not None:
                return whole
        for place in places[:MOST_TRIES]:
            last = self._hear([sound[place:]])
            if not last.words or only_follows(last.intents[0]) or self._left_over(last):
                continue
            first = self._hear([sound[:place]])
            if first.words and not self._left_over(first):
                return (*first.words, *last.words), joined(first.intents, last.intents)
            begun = first.free and is_beginning(self._language.automaton, first.free)
            if begun and _ends_like(utterance.free_text, last.words):
                return last.words, Breath(last.intents)
        return None

    def _without_fillers(self, sound: Samples, places: list[int]) -> tuple[tuple[str, ...], Breath] | None:
        bounds = [0, *places, len(sound)]
        pieces = [sound[start:end] for start, end in pairwise(bounds)]
        kept = [piece for piece in pieces if not self._is_filler(piece)]
        if not kept or len(kept) == len(pieces):
            return None
        whole = self._hear(kept)
        return None if not whole.words or self._left_over(whole) else (whole.words, Breath(whole.intents))

    def _is_filler(self, piece: Samples) -> bool:
        heard = self.recogniser.recognise(_quiet_around([piece]), lambda words: None, commands=False)
        words = plain_words(heard.free_text)
        return bool(words) and all(word in FILLERS for word in words)

    def _left_over(self, part: _Part) -> bool:
        return len(part.free) - len(part.words) >= TALK_AROUND

    def _hear(self, pieces: list[Samples]) -> _Part:
        heard, hearing = self._ear.recognised(_quiet_around(pieces), self._meaning)
        free = tuple(word for word in plain_words(heard.free_text) if word not in FILLERS)
        if hearing is not Hearing.CLEAR:
            return _Part((), free, ())
        words = heard.alternatives[0].words
        return _Part(words, free, self._language.interpret(words))

    def _meaning(self, words: tuple[str, ...]) -> tuple[Intent, ...] | None:
        return self._language.interpret(words) or None


def _ends_like(free_text: str, words: tuple[str, ...]) -> bool:
    """Whether the reading of the whole ends nearly as ``words`` sound: a part alone is easily misheard."""
    tail = plain(free_text).split()[-len(words) :]
    return unlike(" ".join(tail), " ".join(words)) <= SOUNDS_NEARLY


def _count(free_text: str) -> int:
    """Words of a free reading that weigh: a figure in numerals is one, and articles come of themselves."""
    said = [word.strip(".,;:!?").lower() for word in free_text.split()]
    return sum(bool(word) and word not in FILLERS | LIGHT for word in said)


def _quiet_around(pieces: list[Samples]) -> Samples:
    quiet = np.zeros(round(PADDING * SAMPLE_RATE), np.float32)
    return np.concatenate([quiet, *pieces, quiet])
