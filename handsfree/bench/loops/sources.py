"""Utterances from recordings and from typed lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

from handsfree.audio.samples import Samples
from handsfree.hearing.ear import Mode
from handsfree.hearing.listening.endpoints import EndpointSettings, Segment, segments
from handsfree.hearing.listening.listener import Hears
from handsfree.measure.units import convert
from handsfree.phrases.breath import in_one_breath
from handsfree.phrases.commands.reasons import with_free_reason
from handsfree.phrases.language import Language, plain_words
from handsfree.phrases.quantities.figures import DURATION
from handsfree.phrases.typed_figures import unreadable, words_of_typed
from handsfree.phrases.utterance import Hearing, Utterance

DICTATION_PHRASES = (("end", "of", "note"), ("end", "note"), ("never", "mind"), ("drop", "it"))
"""What is still understood as a command while free speech is being taken."""

TIME_PASSES = "~"
"""A typed line that begins with this lets time pass: "~ ten minutes"."""

MOST_OF_A_COMMAND = 400
"""Letters; no command is half as long, and what is read as one takes time."""
MOST_OF_A_LINE = 20_000
"""Letters of a typed line that are taken as one; in a note there may be so many."""


class HeardLater(Protocol):
    """One thing said, not yet heard: how it is heard depends on what is listened for at that moment."""

    @property
    def start(self) -> float: ...

    @property
    def end(self) -> float:
        """When it is known to be over."""

    def hear(self, mode: Mode) -> Utterance | None:
        """The utterance, or None where nothing was said (time passed)."""


@dataclass
class RecordedTurn:
    """A stretch of a recording; ``end`` is when its closing silence has told that it is over."""

    segment: Segment
    ear: Hears
    closing_silence: float

    @property
    def start(self) -> float:
        return self.segment.start

    @property
    def end(self) -> float:
        return self.segment.end + self.closing_silence

    def hear(self, mode: Mode) -> Utterance:
        return self.ear.hear(self.segment, mode)


@dataclass(frozen=True)
class TimeLeftOut:
    """A wait that a recording leaves out at ``start``: from there on it is ``lasting`` later than its sound says."""

    start: float
    lasting: timedelta

    @property
    def end(self) -> float:
        return self.start

    def hear(self, mode: Mode) -> None:
        """Nothing was said."""


def recorded(sound: Samples, ear: Hears) -> list[RecordedTurn]:
    """The utterances of a recording, by the same ends that a microphone's sound is cut at."""
    settings = EndpointSettings()
    return [RecordedTurn(segment, ear, settings.closing_silence) for segment in segments(sound, settings)]


@dataclass
class TypedTurn:
    """A typed line, as if it had been said at ``start``."""

    text: str
    language: Callable[[], Language]
    start: float
    end: float

    def hear(self, mode: Mode) -> Utterance | None:
        if _passing(self.text) is not None:
            return None
        return typed_utterance(self.text, self.language(), mode, self.start, self.end)


def typed_utterance(text: str, language: Language, mode: Mode, start: float = 0.0, end: float = 0.0) -> Utterance:
    """A typed line as an utterance: a command is clear, anything else is a near miss."""
    if len(text) > MOST_OF_A_COMMAND or text.startswith(TIME_PASSES):
        told = "that line is too long for a command"
        if text.startswith(TIME_PASSES):
            told = "that names no time; write it like “~ ten minutes”"
        return Utterance(
            (),
            Hearing.NONE if mode == "dictation" else Hearing.NEAR,
            free_text=text.strip(),
            start=start,
            end=end,
            unreadable=None if mode == "dictation" else told,
        )
    words = plain_words(text)
    intents = language.interpret(words)
    if mode == "dictation":
        ending = words in DICTATION_PHRASES
        hearing = Hearing.CLEAR if ending else Hearing.NONE
        return Utterance(
            words if ending else (), hearing, intents if ending else (), free_text=text.strip(), start=start, end=end
        )
    # "0.1 mm", "3/8 in", "2:10" as they are said; "mm" alone would be a hesitation.
    as_said = words_of_typed(text)
    breath = in_one_breath(language, as_said)
    if breath is not None:
        words = as_said
    else:
        breath = in_one_breath(language, words)
    if breath is None and (reasoned := with_free_reason(language.interpret, words, text)):
        return Utterance(words, Hearing.CLEAR, reasoned, free_text=text.strip(), start=start, end=end)
    wrong = unreadable(text)
    if breath is None or wrong:
        return Utterance(words, Hearing.NEAR, free_text=text.strip(), start=start, end=end, unreadable=wrong)
    hearing = Hearing.DOUBTFUL if breath.unsure else Hearing.CLEAR
    return Utterance(words, hearing, breath.intents, free_text=text.strip(), start=start, end=end, then=breath.then)


def typed(lines: Iterable[str], language: Language | Callable[[], Language], pause: float = 1.0) -> Iterator[TypedTurn]:
    """Each line as an utterance in ``language`` (or what that is by then), ``pause`` seconds after the one before;
    empty lines and comments (#) are left out."""
    by_then: Callable[[], Language] = (lambda: language) if isinstance(language, Language) else language
    at = 0.0
    for line in lines:
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        passing = _passing(text)
        lasts = 0.3 * len(text.split()) if passing is None else passing
        at += pause
        yield TypedTurn(text, by_then, at, at + lasts)
        at += lasts


def _passing(text: str) -> float | None:
    """The seconds that a line lets pass; None for one that says something."""
    if not text.startswith(TIME_PASSES) or len(text) > MOST_OF_A_COMMAND:
        return None
    times = DURATION.meanings(plain_words(text.removeprefix(TIME_PASSES)))
    return float(convert(times[0].value, times[0].unit, "s")) if times else None


def lines_of(stream: Iterable[str]) -> Iterator[str]:
    """The lines of a stream, endless ones in pieces."""
    readline = getattr(stream, "readline", None)
    if readline is None:
        yield from stream
        return
    while line := readline(MOST_OF_A_LINE):
        yield line
