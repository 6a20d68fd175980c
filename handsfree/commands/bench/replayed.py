"""A job from a recording, or from typed lines that are not typed at a terminal: as fast as it can be worked."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import datetime

from handsfree.audio.samples import Samples
from handsfree.bench.ears import open_hearing
from handsfree.bench.loops.rehearsal import hurried
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import HeardLater, lines_of, recorded, typed
from handsfree.bench.watching import InputSource
from handsfree.commands.bench.sitting import Sitting, begin
from handsfree.commands.bench.watching import watched
from handsfree.speaking.recorder import FileSpeaker


def work_replayed(sitting: Sitting, sound: Samples | None) -> int:
    """Work the job by a recording; where there is none, by the lines of standard input."""
    args, job = sitting.args, sitting.job
    start = datetime.now().astimezone()
    played: PlayedBench
    turns: Iterable[HeardLater]
    if sound is None:
        bench = sitting.bench(lambda: played.now)
        turns = typed(lines_of(sys.stdin), job.language)
        turns = turns if sitting.speed is None else hurried(turns, lambda: job.guide, sitting.speed)
    else:
        hearing = open_hearing(args.recogniser, args.vosk_model, job.language(), job.expects)
        bench = sitting.bench(lambda: played.now, hearing.ear.learn)
        sitting.follow(bench, hearing)
        turns = recorded(sound, hearing.ear)
    played = PlayedBench(bench, start)
    source: InputSource = "typed" if sound is None else "recording"

    def work() -> None:
        with watched(args, bench, sitting.store, now=lambda: played.now, source=source):
            begin(bench, job, start)
            played.play(turns)

    try:
        return sitting.work(bench, work)
    finally:
        if isinstance(bench.speaker, FileSpeaker):
            bench.speaker.finish()
