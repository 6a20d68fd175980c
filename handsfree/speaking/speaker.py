"""What the bench speaks through: the loudspeaker, printed lines or a sound file, all with the same few methods."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Protocol

from handsfree.audio.samples import Samples, seconds_of
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.player import Done, Player
from handsfree.speaking.print_speaker import PrintSpeaker
from handsfree.speaking.recorder import FileSpeaker, RoomRecorder
from handsfree.speaking.tones import Tone, tone_samples
from handsfree.speaking.voice.engine import VoiceKind
from handsfree.speaking.voice.lexicon import use_own
from handsfree.speaking.voice.settings import VoiceSettings
from handsfree.speaking.voice.synthesis import Synthesiser

__all__ = ["AloudSpeaker", "FileSpeaker", "PrintSpeaker", "RoomRecorder", "Speaker", "Tone", "open_speaker"]


class Speaker(Protocol):
    """Speech and tones out. One sentence at a time: saying something newer cuts off what is being said."""

    def say(self, text: str, done: Done | None = None, *, carefully: bool = False) -> float:
        """Start saying ``text``; the seconds until it will have ended.

        ``done`` is called once: True when the text was said to its end, False when it was cut off or could not be said.
        ``carefully``: more slowly where figures are, these digit by digit.
        """
        ...

    def play_sound(self, samples: Samples, done: Done | None = None) -> float:
        """Play a sound (mono, 16 kHz) in place of words; otherwise as ``say``."""
        ...

    def tone(self, tone: Tone) -> None:
        """Play a tone; words that are said right after it follow it."""
        ...

    def stop(self) -> None:
        """Silence at once."""
        ...

    def prepare(self, texts: Iterable[str]) -> None:
        """Tell what may have to be said soon, so that it starts without delay."""
        ...

    def faster(self) -> str:
        """Speak faster from now on; the sentence that answers."""
        ...

    def slower(self) -> str:
        """Speak slower from now on; the sentence that answers."""
        ...

    def louder(self) -> str:
        """Speak louder from now on; the sentence that answers."""
        ...

    def quieter(self) -> str:
        """Speak more quietly from now on; the sentence that answers."""
        ...

    def close(self) -> None:
        """Silence, and give back the device or finish the file."""
        ...


class AloudSpeaker(VoiceSettings):
    """Speaks through a loudspeaker. ``done`` is called from the player's thread when a text has ended, from the
    caller's when it is cut off."""

    def __init__(self, synthesiser: Synthesiser | None = None, player: Player | None = None) -> None:
        """Raises SpeakingError where there is no voice, no PortAudio or no output device."""
        super().__init__()
        self._synthesiser = synthesiser or Synthesiser()
        self._player = player or Player()
        self._wanted: tuple[str, ...] = ()

    @property
    def problem(self) -> str | None:
        """Why the last sound could not be played, or None: a loudspeaker may be unplugged in the middle of a job."""
        return self._player.problem

    @property
    def voice_note(self) -> str:
        """One line that says which voice speaks in place of the one asked for, and why; empty where none does."""
        return self._synthesiser.note

    @property
    def output(self) -> str:
        """The name of the loudspeaker that the last sound was played through."""
        return self._player.output

    def say(self, text: str, done: Done | None = None, *, carefully: bool = False) -> float:
        """See Speaker. The first sentence is rendered before this returns, the others while it is being spoken."""
        rate = self.words_per_minute
        parts = self._synthesiser.stream(text, rate, carefully=carefully)
        try:
            first = next(parts, None)
        except SpeakingError as error:
            self._player.fail(error, done)
            return 0.0
        if first is None:
            self._player.abort()
            if done is not None:
                done(True)
            return 0.0
        seconds = self._synthesiser.seconds(text, rate, carefully=carefully)
        self._player.play(map(self.shaped, itertools.chain((first,), parts)), done)
        return seconds

    def play_sound(self, samples: Samples, done: Done | None = None) -> float:
        """See Speaker."""
        self._player.play(samples, done)
        return seconds_of(samples)

    def tone(self, tone: Tone) -> None:
        """See Speaker."""
        self._player.play_tone(tone_samples(tone))

    def stop(self) -> None:
        """See Speaker."""
        self._player.abort()

    def prepare(self, texts: Iterable[str]) -> None:
        """See Speaker. Cheap to call again with the same texts."""
        self._wanted = tuple(texts)
        self._synthesiser.prepare(self._wanted, self.words_per_minute)

    def faster(self) -> str:
        """See Speaker. What was prepared is prepared again at the new rate."""
        return self._again(super().faster())

    def slower(self) -> str:
        """See Speaker. What was prepared is prepared again at the new rate."""
        return self._again(super().slower())

    def louder(self) -> str:
        """See Speaker. From the next words on."""
        answer = super().louder()
        self._player.gain = self.gain
        return answer

    def quieter(self) -> str:
        """See Speaker. From the next words on."""
        answer = super().quieter()
        self._player.gain = self.gain
        return answer

    def follow_noise(self, noise: float | None) -> None:
        """See VoiceSettings. From the next words on."""
        super().follow_noise(noise)
        self._player.gain = self.gain

    def replay(self, samples: Samples, done: Done | None = None) -> None:
        """Play recorded sound in place of words."""
        self._player.play(samples, done)

    def close(self) -> None:
        """See Speaker."""
        self._player.close()

    def _again(self, answer: str) -> str:
        self._synthesiser.prepare(self._wanted, self.words_per_minute)
        return answer


def open_speaker(
    kind: str,
    write: Callable[[str], None] = print,
    device: str | None = None,
    *,
    voice: VoiceKind = "neural",
    two_voices: bool = True,
    pronunciations: Mapping[str, str] | None = None,
    typed: bool = False,
) -> tuple[Speaker, str | None]:
    """The speaker of this kind, and a line for the user where it isn't the one that was asked for.

    ``kind`` is "aloud" (printed lines where nothing can be heard; the line says what is missing), "print", or the
    path of a .wav file to be written. ``device`` is (part of) the loudspeaker's name, ``voice`` whose voice speaks;
    with ``two_voices`` dangers and questions are in another than the rest. ``pronunciations`` are the workshop's own.
    ``typed``: nothing is heard at the bench, so that how long a printed line would take is guessed.
    Raises SpeakingError for anything else, and where that file can't be made.
    """
    use_own(pronunciations or {})
    if kind == "print":
        return PrintSpeaker(write, guessing=typed), None
    if kind == "aloud":
        missing: list[str] = []
        player = synthesiser = None
        try:
            player = Player(device)
        except SpeakingError as error:
            missing.append(str(error))
        try:
            # After the player: the voice may still be on its way. Without one, that the voice is missing too is told.
            synthesiser = Synthesiser(voice=voice, two_voices=two_voices)
        except SpeakingError as error:
            missing.insert(0, str(error))
        if player and synthesiser:
            return AloudSpeaker(synthesiser, player), synthesiser.note or None
        if player:
            player.close()
        return PrintSpeaker(write, guessing=typed), f"{' '.join(missing)} What would be said is printed instead."
    if Path(kind).suffix.lower() == ".wav":
        file = FileSpeaker(kind, Synthesiser(voice=voice, two_voices=two_voices))
        return file, file.voice_note or None
    raise SpeakingError(f"{kind!r} is no way to speak; give aloud, print or the name of a .wav file.")
