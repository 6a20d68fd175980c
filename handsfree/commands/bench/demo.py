"""``handsfree demo``: a whole job from one recording, through the real recogniser."""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from contextlib import ExitStack
from datetime import datetime, timedelta
from pathlib import Path

from handsfree.audio import files
from handsfree.bench.bench import Bench
from handsfree.bench.ears import open_hearing
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import HeardLater, TimeLeftOut, recorded
from handsfree.bench.printing import Printer, unwritten
from handsfree.bench.setting_up import load_named, ready
from handsfree.commands.bench.sitting import begin, closing_line
from handsfree.commands.jobs.review import print_review
from handsfree.commands.problems import UseError
from handsfree.job.log.store import Store
from handsfree.speaking.recorder import RoomRecorder
from handsfree.speaking.speaker import open_speaker

PROCEDURE = "focusing-slide"


def recording_path() -> Path:
    """The technician's recording, in an installed package or in a checkout."""
    package = Path(__file__).resolve().parents[2]
    installed = package / "shipped" / "demo"
    folder = installed if installed.is_dir() else package.parent / "audio_fixtures" / "demo"
    return folder / "technician.flac"


def waits_left_out(script: Path) -> list[TimeLeftOut]:
    """The waits that the recording leaves out, from the list of what is heard in it that stands beside it."""
    lines = (line.split(maxsplit=2) for line in script.read_text(encoding="utf-8").splitlines())
    return [
        TimeLeftOut(float(second), timedelta(minutes=int(words.split()[0])))
        for second, who, words in lines
        if who == "pause"
    ]


def run_demo(args: argparse.Namespace) -> int:
    """Play the job, then print its review and how quickly it was answered."""
    began = time.perf_counter()
    if args.to and Path(args.to).suffix.lower() != ".wav":
        raise UseError(f"--to writes a WAV file, so name one that ends in .wav, not {args.to}")
    with ExitStack() as stack:
        folder = args.logs or Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="handsfree-demo-")))
        store = Store(folder)
        speaker, line = open_speaker("print" if args.quiet else "aloud", unwritten, voice=args.voice)
        stack.callback(speaker.close)
        loaded = load_named(PROCEDURE)
        start = datetime.now().astimezone()
        job = ready(loaded, store, start, item=None, serial="B 2207", owner="Demonstration", new=True)
        hearing = open_hearing(args.recogniser, args.vosk_model, job.language(), job.expects)
        to_start = time.perf_counter() - began
        heard = recorded(files.load_recording(recording_path()), hearing.ear)
        waits = waits_left_out(recording_path().with_name("script.txt"))
        both: list[HeardLater] = [*heard, *waits]
        turns = sorted(both, key=lambda turn: turn.start)
        print(f"One recording of a technician at a bench, heard by the {hearing.name} recogniser.")
        print("heard: taken for a command; ignored: talk and noises; the rest is what is spoken in answer.")
        if waits:
            print(f"{len(waits)} waits are left out of the recording: the clock goes on, and the sound at once.")
        if line:
            print(line)
        print()
        started = time.perf_counter()
        room = RoomRecorder(voice=args.voice) if args.to else None
        played: PlayedBench
        bench = Bench(job.guide, store, speaker, Printer(lambda: played.now), job.log)
        stack.callback(bench.close)
        played = PlayedBench(bench, start, room)
        begin(bench, job, start)
        played.play(turns)
        print(f"\n{closing_line(bench)}\n" if args.logs else "")
        if bench.log is not None:
            print_review(store, bench.log.job)
        print()
        print(_figures(played.timing.answers, len(heard), to_start, time.perf_counter() - started))
        if room is not None:
            room.write(args.to)
            print(f"Both voices: {args.to}")
    return 0


def _figures(answers: list[float], heard: int, to_start: float, took: float) -> str:
    """The measured times in one sentence."""
    if not answers:
        return "Nothing was answered."
    return (
        f"{heard} stretches of sound, {len(answers)} answered. From the end of speech to the answer: median "
        f"{statistics.median(answers):.2f} s, worst {max(answers):.2f} s, the closing silence of 0.5 s included. "
        f"Ready to listen after {to_start:.1f} s; the job played in {took:.0f} s."
    )
