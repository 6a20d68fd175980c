"""A speaker whose room is a recording: what it says lands on a time line, beside the voices that are added to it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from handsfree.audio.samples import SAMPLE_RATE, Samples, faded_out, limited, seconds_of
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.player import TONE_CEILING, VOICE_CEILING
from handsfree.speaking.timeline import TimeLine
from handsfree.speaking.tones import Tone, tone_samples
from handsfree.speaking.voice.engine import VoiceKind
from handsfree.speaking.voice.settings import VoiceSettings
from handsfree.speaking.voice.synthesis import Synthesiser

_AFTER_TONE = 0.03


@dataclass
class _Speech:
    samples: Samples
    start: float
    done: Callable[[bool], None] | None

    @property
    def end(self) -> float:
        return self.start + seconds_of(self.samples)


class RoomRecorder(VoiceSettings):
    """A Speaker on a time line in place of a clock.

    ``at`` moves the present on; a text that has ended by then is told True, at the moment of its end (``now`` is that
    moment while ``done`` runs, so that what is said from there follows on). All times are seconds from the beginning.
    """

    def __init__(self, synthesiser: Synthesiser | None = None, *, voice: VoiceKind = "neural") -> None:
        """Raises SpeakingError where no voice can be had; ``voice`` is whose, where no synthesiser is given."""
        super().__init__()
        self._synthesiser = synthesiser or Synthesiser(voice=voice)
        self._line = TimeLine()
        self._speech: _Speech | None = None
        self._tone_end = 0.0
        self.now = 0.0

    @property
    def voice_note(self) -> str:
        """One line that says which voice speaks in place of the one asked for, and why; empty where none does."""
        return self._synthesiser.note

    @property
    def busy_until(self) -> float | None:
        """When what is being said now will have ended; None where nothing is being said."""
        return self._speech.end if self._speech else None

    @property
    def seconds(self) -> float:
        """The length of the recording so far."""
        return max(self._line.seconds, self._speech.end if self._speech else 0.0)

    def at(self, seconds: float) -> None:
        """It is now ``seconds``. Time doesn't run backwards: an earlier moment than the present changes nothing."""
        while self._speech is not None and self._speech.end <= seconds:
            self._end_speech()
        self.now = max(self.now, seconds)

    def say(self, text: str, done: Callable[[bool], None] | None = None, *, carefully: bool = False) -> float:
        """See Speaker. What is being said is cut off at the present moment."""
        speech = self._synthesiser.render(text, self.words_per_minute, carefully=carefully)
        return self.play_sound(self.shaped(speech), done)

    def play_sound(self, sound: Samples, done: Callable[[bool], None] | None = None) -> float:
        """See Speaker."""
        samples = limited(sound, self.gain, VOICE_CEILING)
        self.stop()
        start = self.now
        if self._tone_end > start:
            start = self._tone_end + _AFTER_TONE
        self._speech = _Speech(samples, start, done)
        return self._speech.end - self.now

    def tone(self, tone: Tone) -> None:
        """See Speaker."""
        samples = limited(tone_samples(tone), self.gain, TONE_CEILING)
        self._line.add(samples, self.now)
        self._tone_end = self.now + seconds_of(samples)

    def stop(self) -> None:
        """See Speaker."""
        speech, self._speech = self._speech, None
        if speech is None:
            return
        said = round((self.now - speech.start) * SAMPLE_RATE)
        if said > 0:
            self._line.add(faded_out(speech.samples[:said]), speech.start)
        if speech.done is not None:
            speech.done(False)

    def prepare(self, texts: Iterable[str]) -> None:
        """See Speaker; on a time line there is nothing to win by it."""

    def add(self, samples: Samples, at: float) -> None:
        """Mix another voice in, from ``at`` seconds on (mono, SAMPLE_RATE)."""
        self._line.add(samples, at)

    def finish(self) -> None:
        """Let what is being said end, and what its ``done`` says after it."""
        while self._speech is not None:
            self._end_speech()

    def write(self, path: Path | str) -> None:
        """Finish, and write the recording as a 16 kHz WAV file; SpeakingError where that can't be done."""
        self.finish()
        self._line.write(path)

    def close(self) -> None:
        """See Speaker; nothing is written."""
        self.stop()

    def _end_speech(self) -> None:
        speech, self._speech = self._speech, None
        if speech is None:
            return
        self.now = max(self.now, speech.end)
        self._line.add(speech.samples, speech.start)
        if speech.done is not None:
            speech.done(True)


class FileSpeaker(RoomRecorder):
    """A RoomRecorder that writes its recording to one file when it is closed."""

    def __init__(
        self, path: Path | str, synthesiser: Synthesiser | None = None, *, voice: VoiceKind = "neural"
    ) -> None:
        """Raises SpeakingError where no voice can be had, or where no file can be written at ``path``."""
        self.path = Path(path)
        if self.path.is_dir() or not self.path.parent.is_dir():
            raise SpeakingError(f"{self.path}: no recording can be written here; name a file in a folder that exists.")
        super().__init__(synthesiser, voice=voice)

    def close(self) -> None:
        """Finish, and write the file."""
        self.write(self.path)
