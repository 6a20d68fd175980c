"""``handsfree learn-voice``: the card read aloud once, by which the recogniser learns one person's voice, and the
figures of jobs, by which it learns more of it."""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from handsfree.audio import files
from handsfree.audio.weights import sha256_of
from handsfree.bench.ears import open_ear
from handsfree.bench.printing import unwritten
from handsfree.bench.voices.card_reading import CardReading
from handsfree.bench.voices.from_jobs import LEAST_FIGURES, figures_that_stood
from handsfree.bench.voices.learned import LEAST_PHRASES, learned
from handsfree.commands.bench.chosen import loudspeaker_of, microphone_of
from handsfree.commands.equipment.bench_check import ANSWER_SECONDS, say, utterance_from
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.output import libraries_bounded
from handsfree.commands.problems import UseError
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.learning.card import CARD, card_words, drop_said, keep_said, said_so_far
from handsfree.hearing.learning.known_voice import load_voice, save_voice
from handsfree.hearing.learning.lessons import Said
from handsfree.hearing.listening.endpoints import Segment, segments
from handsfree.hearing.listening.microphone import Microphone
from handsfree.job.log.store import Store
from handsfree.phrases.language import Language
from handsfree.speaking.speaker import open_speaker

_LONGEST_NAME = 60
MOST_SILENCES = 3
"""So often nobody answers; then what was said is kept, and the reading ends."""

Tell = Callable[[str], None]

_HOW = """\
Forty phrases, two minutes: say each when it was said to you. The sound stays on this machine.
Stand by, back at the bench: a rest. Drop it: the last one once more. Pause the job: go on another time."""


@libraries_bounded()
def run_learn_voice(args: argparse.Namespace) -> int:
    """Have the card read, and learn the voice from it; 0 where it was learned or kept to go on with, else 1."""
    name = " ".join(args.by.split())
    if not name or len(name) > _LONGEST_NAME or not any(letter.isalnum() for letter in name):
        raise UseError("--by wants the name of who reads, as it is said at the bench: --by Jo")
    if args.from_jobs:
        return _learn_further(name, store_of(args))
    sound = None if args.listen == "mic" else files.load_recording(Path(args.listen))
    lesson = _Lesson(name)
    if sound is not None:
        lesson.read(iter(segments(sound)), lambda text: None, silences=1)
        return lesson.learn(lambda text: None)
    speaker, line = open_speaker(args.speak, unwritten, loudspeaker_of(args))
    if line:
        print(line)

    def tell(text: str) -> None:
        say(speaker, text)

    try:
        if not lesson.reading.over:
            print(_HOW)
            microphone = microphone_of(args)
            microphone.start()
            try:
                lesson.read(_answers(microphone), tell, silences=MOST_SILENCES)
            finally:
                microphone.close()
        return lesson.learn(tell)
    finally:
        speaker.close()


def _learn_further(name: str, store: Store) -> int:
    """Learn from the figures of jobs what the card has left open; 0 where something was learned, else 1."""
    by = shlex.quote(name)
    language, recogniser = Language(), BuiltinRecogniser()
    known = load_voice(name, sha256_of(recogniser.files.encoder))
    if known is None:
        raise UseError(f"The voice of {name} is not known yet; read the card first: handsfree learn-voice --by {by}")
    figures = figures_that_stood(store, name, language.interpret, since=known.made)
    if len(figures) < LEAST_FIGURES:
        print(
            f"{len(figures)} figures of {name} since {known.made} stand with their sound, and {LEAST_FIGURES} are "
            "wanted; nothing was changed."
        )
        return 1
    print(f"Learning from {len(figures)} figures; it takes a minute of the computer.", flush=True)
    recogniser.set_grammar(language.automaton)
    today = datetime.now().astimezone().date()
    voice = learned(known, figures, recogniser=recogniser, language=language, today=today, progress=_Quarters())
    if voice is None:
        print("By what was learned these figures would be heard less well; what was known stays as it is.")
        return 1
    print(f"{voice.told[-1]}\nIt is in {save_voice(voice)}")
    return 0


class _Lesson:
    """One person's reading of the card, and what is learned from it."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._said = said_so_far(name)
        self._language = Language()
        self._recogniser = BuiltinRecogniser()
        self._ear = open_ear(self._recogniser, self._language)
        self.reading = CardReading(self._said, self._language.interpret)
        if self._said:
            print(f"{len(self._said)} of {len(CARD)} phrases were said before; going on.")

    def read(self, heard: Iterator[Segment | None], tell: Tell, *, silences: int) -> None:
        """Ask for one phrase after another, until none is left or nobody has answered ``silences`` times."""
        reading, unanswered = self.reading, 0
        while not reading.over and unanswered < silences:
            if reading.phrase:
                print(f'{reading.place:<16} say: "{reading.phrase}"', flush=True)
                tell(f"{reading.phrase}.")
            segment = next(heard, None)
            if segment is None:
                unanswered += reading.state == "reading"
                continue
            unanswered = 0
            answer = reading.hear(segment, self._ear.hear(segment))
            if answer.keep is not None:
                keep_said(self._name, answer.keep, segment)
                self._said[answer.keep] = Said(card_words(CARD[answer.keep]), segment)
            if answer.says:
                print(f"{'':<16} {answer.says}", flush=True)
                tell(answer.says)

    def learn(self, tell: Tell) -> int:
        """Learn from what was said, where the card was gone through; the exit code."""
        name, said = self._name, self._said
        by = shlex.quote(name)
        if self.reading.number is not None:
            print(f"{len(said)} of {len(CARD)} phrases are kept. Go on: handsfree learn-voice --by {by}")
            return 0 if said else 1
        if len(said) < LEAST_PHRASES:
            drop_said(name)
            print(f"Only {len(said)} phrases were usable, and {LEAST_PHRASES} are wanted; nothing is kept.")
            return 1
        print("Learning; it takes two or three minutes of the computer.", flush=True)
        voice = learned(
            name,
            [said[number] for number in sorted(said)],
            recogniser=self._recogniser,
            language=self._language,
            today=datetime.now().astimezone().date(),
            progress=_Quarters(),
        )
        if voice is None:
            drop_said(name)
            print(
                "By what was learned the card would be heard less well; nothing is kept, and you are heard as before."
            )
            return 1
        path = save_voice(voice)
        drop_said(name)
        tell(f"Your voice is learned. {voice.told[0]}")
        print("\n".join(voice.told))
        print(f"Used whenever {name} is at the bench (--by {by}, or said there). It is in {path}")
        print(f"Delete it: handsfree voices --forget {by}")
        return 0


class _Quarters:
    """Prints how far learning is, at each quarter."""

    def __init__(self) -> None:
        self._told = 0

    def __call__(self, share: float) -> None:
        if int(share * 4) > self._told:
            self._told = int(share * 4)
            print(f"{25 * self._told} % learned", flush=True)


def _answers(microphone: Microphone) -> Iterator[Segment | None]:
    while True:
        yield utterance_from(microphone, ANSWER_SECONDS)
