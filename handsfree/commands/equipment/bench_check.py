"""``handsfree bench-check``: is everything at the bench as it should be?"""

from __future__ import annotations

import argparse
import shutil
import threading
import time
from collections.abc import Callable

import numpy as np

from handsfree.audio.errors import SoundError
from handsfree.audio.levels import of_the_noise, of_the_voice, sounding
from handsfree.audio.samples import Samples
from handsfree.bench.ears import open_hearing
from handsfree.bench.printing import unwritten
from handsfree.commands.bench.chosen import loudspeaker_of, microphone_of
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.output import libraries_bounded
from handsfree.hearing.listening.endpoints import Endpointer, Segment
from handsfree.hearing.listening.listener import Hears
from handsfree.hearing.listening.microphone import Microphone
from handsfree.job.errors import LogError, LogFolderError
from handsfree.job.log.store import Store
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.speaker import AloudSpeaker, Speaker, open_speaker

PHRASES_TO_SAY = ("where am I", "go to step nine", "log four and a half thou")
QUIET_SECONDS = 2.0
ANSWER_SECONDS = 10.0
TAIL = 0.4
LEAST_SPACE = 200 << 20
"""Bytes: some days of clips."""


class Findings:
    """Prints a line for each check, and counts what is wrong."""

    def __init__(self) -> None:
        self.wrong = 0

    def __call__(self, what: str, found: str, problems: list[str]) -> None:
        print(f"{what + ':':<14} {found}", flush=True)
        for problem in problems:
            print(f"{'':<14} ! {problem}", flush=True)
        self.wrong += len(problems)


@libraries_bounded()
def run_bench_check(args: argparse.Namespace) -> int:
    """Check one thing after another; 0 where nothing is wrong, else 1."""
    tell = Findings()
    _disk(store_of(args), tell)
    language = Language()
    began = time.monotonic()
    hearing = open_hearing(args.recogniser, args.vosk_model, language)
    tell("recogniser", f"{hearing.name}, ready in {time.monotonic() - began:.1f} s", hearing.notes)
    speaker = _loudspeaker(loudspeaker_of(args), tell)
    try:
        microphone = microphone_of(args)
        try:
            microphone.start()
        except SoundError as error:
            tell("microphone", "not to be had", [str(error)])
        else:
            try:
                _hear(microphone, hearing.ear, speaker, tell, 0 if args.no_phrases else len(PHRASES_TO_SAY))
            except SoundError as error:
                tell("microphone", "lost", [str(error)])
            finally:
                microphone.close()
    finally:
        speaker.close()
    print("All is well." if not tell.wrong else f"{tell.wrong} thing{'s' * (tell.wrong > 1)} to look at.")
    return 1 if tell.wrong else 0


def _disk(store: Store, tell: Findings) -> None:
    try:
        store.prepare()
        free = shutil.disk_usage(store.folder).free
    except (LogError, LogFolderError, OSError) as error:
        tell("disk", f"{store.folder}", [str(error)])
        return
    full = ["the disk is nearly full: make room before a long job"] if free < LEAST_SPACE else []
    tell("disk", f"{store.folder}, {free / 1e9:.1f} GB free, can be written", full)


def _loudspeaker(name: str | None, tell: Findings) -> Speaker:
    try:
        speaker, line = open_speaker("aloud", unwritten, name)
    except SpeakingError as error:
        speaker, line = open_speaker("print", unwritten)[0], str(error)
    if not isinstance(speaker, AloudSpeaker):
        tell("loudspeaker", "not to be had", [line or "nothing can be played"])
        return speaker
    if line:
        tell("voice", "another speaks", [line])
    say(speaker, "This is the loudspeaker. Please be quiet for a moment.")
    problem = speaker.problem
    tell("loudspeaker", f"{speaker.output}: did you hear it?", [problem] if problem else [])
    return speaker


def say(speaker: Speaker, text: str) -> None:
    """Say ``text`` and wait for its end."""
    over = threading.Event()
    seconds = speaker.say(text, lambda completed: over.set())
    over.wait(seconds + 5)


def _hear(microphone: Microphone, ear: Hears, speaker: Speaker, tell: Findings, phrases: int) -> None:
    quiet = _listen(microphone, QUIET_SECONDS, lambda sound: None)
    noise = sounding(quiet)
    tell("microphone", microphone.name, [])
    tell("noise", f"{noise.level:.0f} dB below full scale, hum {noise.hum:.0%} of it", of_the_noise(noise))
    for phrase in PHRASES_TO_SAY[:phrases]:
        print(f'say:          "{phrase}"', flush=True)
        say(speaker, f"Say: {phrase}.")
        segment = utterance_from(microphone, ANSWER_SECONDS)
        if segment is None:
            tell("heard", "nothing", ["no speech came in: is the microphone near, and turned up?"])
            continue
        utterance = ear.hear(segment)
        voice = sounding(segment.samples)
        usable = utterance.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL)
        heard = f"“{utterance.text if usable else utterance.free_text.strip()}”"
        wrong = of_the_voice(voice)
        if utterance.hearing is not Hearing.CLEAR:
            wrong.append(f"it was {'doubtful' if usable else 'not taken for a command'}")
        elif utterance.words != tuple(phrase.lower().split()):
            wrong.append("these are other words than were asked for")
        tell("heard", f"{heard}, voice {voice.level:.0f} dB, {voice.level - noise.level:.0f} dB above the noise", wrong)


def utterance_from(microphone: Microphone, seconds: float) -> Segment | None:
    """The next thing that is said within ``seconds``, after the room has gone quiet."""
    endpointer = Endpointer()
    _listen(microphone, TAIL, lambda sound: None)
    utterances: list[Segment] = []

    def take(sound: Samples) -> bool:
        utterances.extend(endpointer.feed(sound))
        return bool(utterances)

    _listen(microphone, seconds, take)
    return utterances[0] if utterances else None


def _listen(microphone: Microphone, seconds: float, take: Callable[[Samples], bool | None]) -> Samples:
    """Sound that is caught from now on for ``seconds``, or until ``take`` has had enough."""
    from_now, blocks = time.monotonic(), []
    while True:
        block = microphone.read(0.2)
        if block is not None and block.caught >= from_now:
            blocks.append(block.samples)
            if take(block.samples):
                break
        if time.monotonic() - from_now >= seconds:
            break
    return np.concatenate(blocks) if blocks else np.empty(0, np.float32)
