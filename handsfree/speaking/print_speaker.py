"""A speaker that prints: for a desk without sound, for typed text and for tests."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress

from handsfree.audio.samples import Samples, seconds_of
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.tones import Tone
from handsfree.speaking.voice.settings import VoiceSettings
from handsfree.speaking.voice.synthesis import Synthesiser, guessed_seconds
from handsfree.text.terminal import printable


class PrintSpeaker(VoiceSettings):
    """Hands each text to ``write``, one line without control characters. ``done`` is told True before ``say`` returns.

    Durations are those of the system's voice where it has one (the neural one would take longer to load than the lines
    to print), else (or with ``guessing``, which costs nothing) guessed from the length of the text.
    """

    def __init__(self, write: Callable[[str], None] = print, *, guessing: bool = False) -> None:
        super().__init__()
        self._write = write
        self._synthesiser: Synthesiser | None = None
        if not guessing:
            with suppress(SpeakingError):
                self._synthesiser = Synthesiser(voice="system")

    def say(self, text: str, done: Callable[[bool], None] | None = None, *, carefully: bool = False) -> float:
        """See Speaker."""
        line = " ".join(printable(text).split())
        if line:
            self._write(line)
        seconds = self._seconds(text, carefully)
        if done is not None:
            done(True)
        return seconds

    def play_sound(self, samples: Samples, done: Callable[[bool], None] | None = None) -> float:
        """See Speaker; only that there is a sound is written."""
        self._write(f"(sound of {seconds_of(samples):.1f} seconds)")
        if done is not None:
            done(True)
        return seconds_of(samples)

    def tone(self, tone: Tone) -> None:
        """See Speaker. Only the tone that has no words with it is shown."""
        if tone is Tone.NOT_CAUGHT:
            self._write("(not caught)")

    def stop(self) -> None:
        """See Speaker; what is printed stays."""

    def prepare(self, texts: Iterable[str]) -> None:
        """See Speaker; there is nothing to prepare."""

    def close(self) -> None:
        """See Speaker."""

    def _seconds(self, text: str, carefully: bool) -> float:
        if self._synthesiser is not None:
            try:
                return seconds_of(self._synthesiser.render(text, self.words_per_minute, carefully=carefully))
            except SpeakingError:
                self._synthesiser = None
        return guessed_seconds(text, self.words_per_minute)
