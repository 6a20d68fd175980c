"""A job in real time: from the microphone, or typed at a terminal."""

from __future__ import annotations

import sys
import threading

from handsfree.bench.ears import open_hearing
from handsfree.bench.loops.last_minute import KeptToHelp
from handsfree.bench.loops.live import LiveBench
from handsfree.bench.loops.sources import lines_of
from handsfree.commands.bench.chosen import manner_of, microphone_of, watch_keys
from handsfree.commands.bench.sitting import Sitting, begin
from handsfree.commands.bench.watching import watched
from handsfree.hearing.listening.listener import Listener
from handsfree.measure.units import prepare_conversions
from handsfree.phrases.continuation import may_go_on


def work_typed(sitting: Sitting) -> int:
    """Work the job by what is typed at the terminal."""
    clock = sitting.clock()
    bench = sitting.bench(clock)
    live = LiveBench(bench, clock=clock)
    print("Type what you would say, one phrase a line; help tells what fits. Ctrl-C leaves the job as it is.")

    def work() -> None:
        with watched(sitting.args, bench, sitting.store, now=clock, source="typed", press=live.press):
            begin(bench, sitting.job, clock())
            _prepare_further()
            live.read_lines(lines_of(sys.stdin))
            live.run()

    return sitting.work(bench, work)


def work_by_microphone(sitting: Sitting) -> int:
    """Work the job by what the microphone hears."""
    args, job = sitting.args, sitting.job
    microphone = microphone_of(args)
    hearing = open_hearing(args.recogniser, args.vosk_model, job.language(), job.expects)
    for line in hearing.notes:
        print(line, file=sys.stderr)
    clock = sitting.clock()
    bench = sitting.bench(clock, hearing.ear.learn)
    sitting.follow(bench, hearing)
    kept = KeptToHelp(sitting.store.folder / "heard") if args.keep_heard else None
    live = LiveBench(bench, manner_of(args), kept, clock)
    live.listener = Listener(
        microphone,
        hearing.ear,
        live.deliver,
        live.trouble,
        gap=live.gap,
        ended=lambda words: not may_go_on(job.language(), words),
    )
    keys = watch_keys(args, live)
    live.listener.start()
    print(f"Listening with the {hearing.name} recogniser. Ctrl-C leaves the job as it is.")

    def work() -> None:
        with watched(args, bench, sitting.store, now=clock, source="mic", press=live.press):
            begin(bench, job, clock())
            _prepare_further()
            live.run()

    try:
        return sitting.work(bench, work)
    finally:
        if keys is not None:
            keys.close()
        live.listener.stop()


def _prepare_further() -> None:
    """Load what is not wanted before the first figure, while the first step is being spoken: the answer to that figure
    began half a second late."""
    threading.Thread(target=prepare_conversions, name="conversions", daemon=True).start()
