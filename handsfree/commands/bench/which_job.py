"""Which of several unfinished jobs is meant, where they are of several items."""

from __future__ import annotations

import argparse
import queue
import select
import sys
import threading
from collections.abc import Sequence

from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.bench.choosing import JobChoice
from handsfree.bench.ears import open_hearing
from handsfree.bench.loops.live import HALF_DUPLEX_TAIL
from handsfree.bench.loops.sources import recorded
from handsfree.commands.bench.chosen import microphone_of
from handsfree.commands.problems import UseError
from handsfree.hearing.listening.listener import Listener
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.phrases.utterance import Utterance
from handsfree.speaking.speaker import Speaker
from handsfree.text.terminal import printable

LOOK_AT_KEYS = 0.2
"""Seconds after which it is looked whether a number was typed meanwhile."""


def several(jobs: Sequence[JobSummary]) -> bool:
    """Whether unfinished jobs are of several items, so that one has to be chosen; else the newest is meant."""
    return len({(job.item, job.serial, job.owner) for job in jobs}) > 1


def by_keyboard(jobs: Sequence[JobSummary]) -> str:
    """The job that is chosen at a terminal. UseError, which names the jobs, where nobody can be asked."""
    if not sys.stdin.isatty():
        raise UseError(_say_which(jobs))
    _show(jobs)
    while True:
        print("Which? Type its number: ", end="", flush=True)
        line = sys.stdin.readline()
        if not line:
            raise UseError("no job was chosen; say which with --job")
        if chosen := _typed(line, jobs):
            return chosen


def by_microphone(args: argparse.Namespace, jobs: Sequence[JobSummary], speaker: Speaker) -> str:
    """The job that is chosen by voice, or at the terminal. SoundError, HearingError."""
    choice = JobChoice(jobs)
    hearing = open_hearing(args.recogniser, args.vosk_model, choice.language)
    heard: queue.Queue[Utterance] = queue.Queue()
    listener = Listener(microphone_of(args), hearing.ear, heard.put)
    _show(jobs)
    print("Which? Say job and its number, or type it.")
    listener.start()
    try:
        _ask(choice, speaker, listener)
        while True:
            if chosen := _typed_meanwhile(jobs):
                return chosen
            try:
                answer = choice.answered(heard.get(timeout=LOOK_AT_KEYS))
            except queue.Empty:
                continue
            if answer:
                return answer
            if answer is not None:
                _ask(choice, speaker, listener)
    finally:
        listener.stop()


def in_recording(
    args: argparse.Namespace, jobs: Sequence[JobSummary], speaker: Speaker, sound: Samples
) -> tuple[str, Samples]:
    """The job that a recording chooses, and the sound after that. UseError, which names the jobs, where none is."""
    choice = JobChoice(jobs)
    _show(jobs)
    speaker.say(choice.prompt)
    ear = open_hearing(args.recogniser, args.vosk_model, choice.language).ear
    for turn in recorded(sound, ear):
        answer = choice.answered(turn.hear("commands"))
        if answer:
            return answer, sound[round(turn.segment.end * SAMPLE_RATE) :]
        if answer is not None:
            speaker.say(choice.prompt)
    raise UseError(f"in the recording no job is chosen: {_say_which(jobs)}")


def _ask(choice: JobChoice, speaker: Speaker, listener: Listener) -> None:
    """Put the question, with the ear closed: it would hear itself."""
    listener.close_gate()
    ended = threading.Event()
    seconds = speaker.say(choice.prompt, lambda _: ended.set())
    ended.wait(timeout=seconds + 5)
    listener.open_gate(HALF_DUPLEX_TAIL)


def _show(jobs: Sequence[JobSummary]) -> None:
    print("Several items have unfinished jobs of this procedure, the one worked on last first:")
    for number, job in enumerate(jobs, 1):
        print(f"  {number}  {_item(job)}; job {job.id}, {job.done} of {job.of} steps")


def _typed(line: str, jobs: Sequence[JobSummary]) -> str | None:
    said = line.strip()
    if said.isdecimal() and 1 <= int(said) <= len(jobs):
        return jobs[int(said) - 1].id
    print(f"There are 1 to {len(jobs)}.")
    return None


def _typed_meanwhile(jobs: Sequence[JobSummary]) -> str | None:
    """What was typed without being waited for; systems that can't tell have the voice alone."""
    if not sys.stdin.isatty() or sys.platform == "win32":
        return None
    ready, _, _ = select.select([sys.stdin], [], [], 0)
    line = sys.stdin.readline() if ready else ""
    return _typed(line, jobs) if line.strip() else None


def _say_which(jobs: Sequence[JobSummary]) -> str:
    named = "; ".join(f"{job.id} ({_item(job)})" for job in jobs)
    return f"several items have unfinished jobs of this procedure, so say which with --job: {named}"


def _item(job: JobSummary) -> str:
    serial = f"serial number {job.serial}" if job.serial else "no serial number"
    return printable(", ".join(filter(None, (job.item or "item not named", serial, job.owner))))
