"""``handsfree run``: a job at the bench, from a microphone, a recording or typed lines."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from datetime import datetime
from functools import cache
from pathlib import Path

from handsfree.audio import files
from handsfree.bench.printing import unwritten
from handsfree.bench.setting_up import NO_WORDS, load_named, ready
from handsfree.bench.workshop import load_workshop
from handsfree.commands.bench import which_job
from handsfree.commands.bench.chosen import loudspeaker_of
from handsfree.commands.bench.live import work_by_microphone, work_typed
from handsfree.commands.bench.replayed import work_replayed
from handsfree.commands.bench.sitting import Sitting
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.output import libraries_bounded
from handsfree.commands.problems import UseError
from handsfree.job.events import Purpose
from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.words import read_words
from handsfree.speaking.speaker import Speaker, open_speaker


def run_job(args: argparse.Namespace) -> int:
    """Work a job until it is paused or finished, or the source ends."""
    return work(args, load_named(args.procedure))


@libraries_bounded()
def work(
    args: argparse.Namespace,
    loaded: Loaded,
    purpose: Purpose = "repair",
    *,
    speed: float | None = None,
    parts: Sequence[str] = (),
) -> int:
    """Work a job of this purpose. ``speed``: how fast waiting times pass, None for real time; ``parts``: names of parts
    that can be said while taking apart, besides the usual ones."""
    if args.listen != "mic" and (args.key or args.pedal):
        raise UseError("--key and --pedal say when the microphone listens; they want --listen mic")
    sound = None if args.listen in ("mic", "typed") else files.load_recording(Path(args.listen))
    workshop = load_workshop(args.workshop, args.english)
    store = store_of(args)
    with ExitStack() as closing:

        @cache
        def speaker() -> Speaker:
            # When it is wanted: until then its voice is being loaded.
            opened, line = open_speaker(
                args.speak,
                unwritten,
                loudspeaker_of(args),
                voice=args.voice,
                two_voices=workshop.two_voices and not args.one_voice,
                pronunciations=workshop.pronunciations,
                typed=args.listen == "typed",
            )
            closing.callback(opened.close)
            if line:
                print(line, file=sys.stderr)
            return opened

        if args.job is None and not args.new:
            unfinished = store.unfinished(loaded.path.stem, args.item, args.serial, purpose)
            jobs = [job for job in unfinished if args.owner in (None, job.owner)]
            if which_job.several(jobs):
                if sound is not None:
                    args.job, sound = which_job.in_recording(args, jobs, speaker(), sound)
                elif args.listen == "mic":
                    args.job = which_job.by_microphone(args, jobs, speaker())
                else:
                    args.job = which_job.by_keyboard(jobs)
        job = ready(
            loaded,
            store,
            datetime.now().astimezone(),
            item=args.item,
            serial=args.serial,
            owner=args.owner,
            new=args.new,
            workshop=workshop,
            job=args.job,
            worker=args.by,
            purpose=purpose,
            parts=parts,
            words=read_words(args.words) if args.words else NO_WORDS,
            changing_too=True,
        )
        if job.log is not None:
            closing.callback(job.log.close)
        if job.note:
            print(job.note, file=sys.stderr)
        sitting = Sitting(args, job, store, speaker, speed)
        if args.listen == "mic":
            return work_by_microphone(sitting)
        if args.listen == "typed" and sys.stdin.isatty():
            return work_typed(sitting)
        return work_replayed(sitting, sound)
