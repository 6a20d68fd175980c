"""Where utterances begin and end in a stream of sound."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from handsfree.audio.levels import level
from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.hearing.listening.voice_activity import CHUNK, Detector, SileroDetector

PADDING = 0.22
"""Seconds of quiet that recognisers want at both ends of an utterance."""

LEAD = 0.35
"""Seconds before the speech from which the noise is known."""

ONSET = 0.1
"""Seconds by which the detector may notice speech late: not counted as noise."""


TRAILING = 0.3
"""Seconds by which sound that is no voice (the end of "six") may put off the end of an utterance."""

ABOVE_NOISE = 3.0
"""Level of such sound against that of the noise."""


@dataclass(frozen=True)
class Segment:
    """One utterance. ``start`` and ``end`` bound its speech, in seconds on the source's clock.

    ``samples`` (mono, 16 kHz) have some quiet at both ends. ``before`` is what sounded before the speech (at most
    0.35 s, empty where the source began with speech). ``part`` is set on pieces of speech that went on for longer
    than the longest utterance: such a piece is never a whole command.
    """

    samples: Samples = field(repr=False)
    start: float
    end: float
    before: Samples = field(default_factory=lambda: np.empty(0, np.float32), repr=False)
    part: bool = False

    @property
    def noise_level(self) -> float | None:
        """Root mean square of what preceded the speech; None where too little did."""
        return level(self.before) if len(self.before) >= SAMPLE_RATE // 20 else None


@dataclass(frozen=True)
class EndpointSettings:
    """Seconds, and probabilities of speech."""

    closing_silence: float = 0.5
    early_silence: float = PADDING
    """After so much the utterance under way is offered: with less, its sound would lack the quiet at its end."""
    quick_silence: float = 0.32
    """Closes an utterance that cannot go on (see ``Endpointer.hurry``)."""
    shortest_speech: float = 0.12
    longest_utterance: float = 12.0
    pre_roll: float = 0.3
    begin: float = 0.5
    stay: float = 0.35


class Endpointer:
    """Cuts a stream of 16 kHz sound into utterances."""

    def __init__(self, settings: EndpointSettings | None = None, detector: Detector | None = None) -> None:
        self.settings = settings or EndpointSettings()
        self._detector = detector or SileroDetector()
        self._history = round((self.settings.pre_roll + ONSET + LEAD) * SAMPLE_RATE)
        self.reset()

    def reset(self, clock: float = 0.0) -> None:
        """Forgets everything heard so far; the next block begins at ``clock`` seconds."""
        self._detector.reset()
        self._clock = round(clock * SAMPLE_RATE)
        self._pending = np.empty(0, np.float32)
        self._sound: list[Samples] = []
        self._sound_start = self._clock
        self._speaking = False
        self._continues = False
        self._speech_start = self._speech_end = self._sound_end = self._clock
        self._speech_samples = 0
        self._noise: float | None = None
        self._offer: Segment | None = None
        self._closing = self.settings.closing_silence

    @property
    def offered(self) -> Segment | None:
        """The utterance under way, while it is silent enough to be over; the same object until speech goes on.

        The segment that follows from it, if nothing more is said, has the same samples.
        """
        return self._offer

    def hurry(self) -> None:
        """What was offered is complete and cannot go on: less silence than usual closes it."""
        if self._offer is not None:
            self._closing = min(self._closing, self.settings.quick_silence)

    @property
    def speaking(self) -> bool:
        """Whether an utterance is under way."""
        return self._speaking

    def feed(self, block: Samples) -> list[Segment]:
        """Takes the next samples, any number of them; the utterances that ended in them."""
        found: list[Segment] = []
        self._pending = np.concatenate([self._pending, np.asarray(block, np.float32).ravel()])
        while len(self._pending) >= CHUNK:
            chunk, self._pending = self._pending[:CHUNK], self._pending[CHUNK:]
            self._take(chunk, self._detector.speech(chunk), found)
        return found

    def flush(self) -> list[Segment]:
        """The source has ended: the utterance under way, if any. A new stream may begin after it."""
        found: list[Segment] = []
        if len(self._pending):
            chunk = np.pad(self._pending, (0, CHUNK - len(self._pending)))
            rest = len(self._pending)
            self._take(chunk[:rest], self._detector.speech(chunk), found)
        if self._speaking:
            self._close(found, cut=False)
        self.reset(self._clock / SAMPLE_RATE)
        return found

    def _take(self, chunk: Samples, probability: float, found: list[Segment]) -> None:
        settings = self.settings
        begin = self._clock
        self._clock += len(chunk)
        self._sound.append(chunk)
        if not self._speaking:
            if probability >= settings.begin:
                self._speaking = True
                self._speech_start, self._speech_end = begin, self._clock
                self._speech_samples = len(chunk)
                before = self._before()
                self._noise = level(before) if len(before) >= CHUNK else None
            else:
                self._trim()
                # Silence long enough ends the speech of which pieces were cut off.
                if self._clock - self._speech_end >= settings.closing_silence * SAMPLE_RATE:
                    self._continues = False
            return
        if probability >= settings.stay:
            self._speech_end = self._clock
            self._speech_samples += len(chunk)
            self._offer, self._closing = None, settings.closing_silence
        elif self._noise is not None and level(chunk) > ABOVE_NOISE * self._noise:
            self._sound_end = min(self._clock, self._speech_end + round(TRAILING * SAMPLE_RATE))
        silence = self._clock - max(self._speech_end, self._sound_end)
        if silence >= self._closing * SAMPLE_RATE:
            self._close(found, cut=False)
        elif self._clock - self._speech_start >= settings.longest_utterance * SAMPLE_RATE:
            self._close(found, cut=True)
        elif self._offer is None and silence >= settings.early_silence * SAMPLE_RATE:
            self._offer = self._segment(cut=False)

    def _close(self, found: list[Segment], *, cut: bool) -> None:
        segment = self._segment(cut=cut)
        if segment is not None:
            found.append(segment)
        last = self._speech_end - self._sound_start
        self._speaking = False
        self._continues = cut
        self._offer, self._closing = None, self.settings.closing_silence
        # What follows the speech is the quiet before the next utterance.
        self._sound = [np.concatenate(self._sound)[last:]]
        self._sound_start += last
        self._trim()

    def _segment(self, *, cut: bool) -> Segment | None:
        """The utterance under way as it stands; None where it is too short to be one."""
        if self._speech_samples < self.settings.shortest_speech * SAMPLE_RATE:
            return None
        sound = np.concatenate(self._sound)
        first = self._speech_start - self._sound_start
        last = self._speech_end - self._sound_start
        quiet = round(PADDING * SAMPLE_RATE)
        begin = max(0, first - round(self.settings.pre_roll * SAMPLE_RATE))
        end = min(len(sound), last + quiet)
        samples = np.pad(sound[begin:end], (max(0, quiet - (first - begin)), max(0, quiet - (end - last))))
        part = cut or self._continues
        return Segment(samples, self._speech_start / SAMPLE_RATE, self._speech_end / SAMPLE_RATE, self._before(), part)

    def _before(self) -> Samples:
        """What sounded before the speech."""
        end = max(0, self._speech_start - self._sound_start - round(ONSET * SAMPLE_RATE))
        return np.concatenate(self._sound)[max(0, end - round(LEAD * SAMPLE_RATE)) : end]

    def _trim(self) -> None:
        """Keeps no more than what an utterance that begins now would need."""
        length = sum(map(len, self._sound))
        while self._sound and length - len(self._sound[0]) >= self._history:
            self._sound_start += len(self._sound[0])
            length -= len(self._sound.pop(0))


def segments(
    sound: Samples, settings: EndpointSettings | None = None, detector: Detector | None = None
) -> list[Segment]:
    """The utterances in a whole recording (mono, 16 kHz); times count from its start."""
    endpointer = Endpointer(settings, detector)
    return endpointer.feed(sound) + endpointer.flush()
