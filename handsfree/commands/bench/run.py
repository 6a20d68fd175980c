"""``handsfree run``: a job at the bench, from a microphone, a recording or typed lines."""

from __future__ import annotations

import argparse
import shlex
import sys
import threading
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path

from handsfree.audio import files
from handsfree.audio.devices.library import sound_library
from handsfree.audio.devices.naming import NoSuchDevice, choose, devices_of
from handsfree.audio.devices.remembered import recall
from handsfree.audio.errors import SoundError
from handsfree.audio.samples import Samples
from handsfree.bench.bench import LOG_LOST, Bench
from handsfree.bench.loops.clock import SteadyClock
from handsfree.bench.loops.keys import InputDevice, TerminalKey
from handsfree.bench.loops.last_minute import KeptToHelp
from handsfree.bench.loops.live import LiveBench, Manner
from handsfree.bench.loops.rehearsal import FastClock, hurried, only_waiting
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import Turn, recorded, typed
from handsfree.bench.printing import Printer, unwritten
from handsfree.bench.setting_up import ReadyJob, load_named, open_hearing, ready
from handsfree.bench.workshop import load_workshop
from handsfree.commands.bench.watching import watched
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.hearing.listening.listener import Listener
from handsfree.hearing.listening.microphone import Microphone, chosen_microphone
from handsfree.job.errors import LogError
from handsfree.job.events import Purpose
from handsfree.job.log.store import Store
from handsfree.phrases.continuation import may_go_on
from handsfree.phrases.language import Language
from handsfree.procedure.file.loader import Loaded
from handsfree.speaking.recorder import FileSpeaker
from handsfree.speaking.speaker import AloudSpeaker, Speaker, open_speaker
from handsfree.text.numerals import whole_words


def run_job(args: argparse.Namespace) -> int:
    """Work a job until it is paused or finished, or the source ends."""
    return work(args, load_named(args.procedure))


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
    sound = None if args.listen in ("mic", "typed") else files.load(Path(args.listen))
    speaker, line = open_speaker(args.speak, unwritten, loudspeaker_of(args))
    if line:
        print(line, file=sys.stderr)
    store = store_of(args)
    job = ready(
        loaded,
        store,
        datetime.now().astimezone(),
        item=args.item,
        serial=args.serial,
        owner=args.owner,
        new=args.new,
        workshop=load_workshop(args.workshop, args.english),
        job=args.job,
        worker=args.by,
        purpose=purpose,
        parts=parts,
        changing_too=True,
    )
    if job.note:
        print(job.note, file=sys.stderr)
    try:
        if args.listen == "mic":
            return _live(args, job, store, speaker, speed)
        if args.listen == "typed" and sys.stdin.isatty():
            return _typed_live(args, job, store, speaker, speed)
        return _played(args, job, store, speaker, sound=sound, speed=speed)
    finally:
        speaker.close()
        if job.log is not None:
            job.log.close()


def begin(bench: Bench, job: ReadyJob, now: datetime) -> None:
    """Open the job, or take it up again."""
    if job.opened is not None:
        bench.open(job.opened)
    else:
        bench.resume(now, job.taken_up)


def closing_line(bench: Bench, named: str = "") -> str:
    """What becomes of the job, and how to go on. ``named`` is how the user named its procedure: a file perhaps."""
    if bench.log is None:
        return "No job was begun."
    job = bench.log.job
    session = bench.guide.session
    opened = session.state.opened
    if bench.over == "finished":
        if opened is not None and opened.purpose == "stripping":
            return f"Job {job} is finished. The procedure to put it back: handsfree draft {job}"
        return f"Job {job} is finished. Its review: handsfree review {job}"
    working = session.state.working
    name = shlex.quote(named) if Path(named).stem == working else working
    step = whole_words(session.current + 1)
    if opened is not None and opened.purpose == "stripping":
        return f"Job {job} is safe. Take it up again: handsfree strip {shlex.quote(session.state.fact('item') or '')}"
    again = "rehearse" if opened is not None and opened.purpose == "rehearsal" else "run"
    return f"Job {job} is safe at step {step}. Take it up again: handsfree {again} {name}"


def _clock(job: ReadyJob, speed: float | None) -> Callable[[], datetime]:
    steady = SteadyClock()
    return steady if speed is None else FastClock(steady(), lambda: only_waiting(job.guide), speed)


def _bench(
    job: ReadyJob,
    store: Store,
    speaker: Speaker,
    clock: Callable[[], datetime],
    relearn: Callable[[Language], None] = lambda _: None,
) -> Bench:
    return Bench(job.guide, store, speaker, Printer(clock), job.log, changer=job.changer, relearn=relearn)


def _guarded(bench: Bench, work: Callable[[], None], named: str) -> int:
    """Run ``work``; a lost log or Ctrl-C ends the job here with everything kept that was said to be kept."""
    try:
        work()
    except KeyboardInterrupt:
        bench.speaker.stop()
        print(f"\nStopped. {closing_line(bench, named)}")
        return 1
    except LogError as error:
        _say_to_the_end(bench.speaker, LOG_LOST)
        print(LOG_LOST)
        print(f"handsfree run: {error}", file=sys.stderr)
        print(closing_line(bench, named))
        return 1
    print(closing_line(bench, named))
    return 0


def _say_to_the_end(speaker: Speaker, text: str) -> None:
    """At once, in place of what is being said, and heard to its end before the program ends."""
    ended = threading.Event()
    seconds = speaker.say(text, lambda _: ended.set())
    if isinstance(speaker, AloudSpeaker):
        ended.wait(timeout=seconds + 5)


def _typed_live(args: argparse.Namespace, job: ReadyJob, store: Store, speaker: Speaker, speed: float | None) -> int:
    clock = _clock(job, speed)
    bench = _bench(job, store, speaker, clock)
    live = LiveBench(bench, clock=clock)
    print("Type what you would say, one phrase a line; help tells what fits. Ctrl-C leaves the job as it is.")

    def work() -> None:
        with watched(args, bench, store, now=clock, source="typed", press=live.press):
            begin(bench, job, clock())
            live.read_lines(sys.stdin)
            live.run()

    return _finish(bench, _guarded(bench, work, getattr(args, "procedure", "")))


def _live(args: argparse.Namespace, job: ReadyJob, store: Store, speaker: Speaker, speed: float | None) -> int:
    microphone = microphone_of(args)
    hearing = open_hearing(args.recogniser, args.vosk_model, job.language(), job.expects)
    for line in hearing.notes:
        print(line, file=sys.stderr)
    clock = _clock(job, speed)
    bench = _bench(job, store, speaker, clock, hearing.ear.learn)
    kept = KeptToHelp(store.folder / "heard") if args.keep_heard else None
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
        with watched(args, bench, store, now=clock, source="mic", press=live.press):
            begin(bench, job, clock())
            live.run()

    try:
        return _finish(bench, _guarded(bench, work, getattr(args, "procedure", "")))
    finally:
        if keys is not None:
            keys.close()
        live.listener.stop()


def microphone_of(args: argparse.Namespace) -> Microphone:
    """The microphone that was named, else the remembered one if it is there, else the default. SoundError."""
    wanted = args.microphone
    if wanted is None and (remembered := recall().microphone) is not None:
        try:
            wanted = chosen_microphone(remembered).name
        except SoundError:
            print(f'The microphone "{remembered}" is not there; the default one is used.', file=sys.stderr)
    return Microphone(wanted)


def loudspeaker_of(args: argparse.Namespace) -> str | None:
    """The name of the loudspeaker that was named, else of the remembered one if it is there, else None."""
    if args.loudspeaker is not None or (remembered := recall().loudspeaker) is None:
        named: str | None = args.loudspeaker
        return named
    try:
        return choose(devices_of(sound_library(), "loudspeaker"), remembered, "loudspeaker").name
    except (NoSuchDevice, SoundError):
        print(f'The loudspeaker "{remembered}" is not there; the default one is used.', file=sys.stderr)
        return None


def manner_of(args: argparse.Namespace) -> Manner:
    """When to listen, from the options."""
    if (args.key or args.pedal) and args.key_does == "talk":
        return Manner.PUSH_TO_TALK
    return Manner.BARGE_IN if args.barge_in else Manner.HALF_DUPLEX


def watch_keys(args: argparse.Namespace, live: LiveBench) -> TerminalKey | None:
    """Watch the key or the pedal that was chosen; KeyNameError."""
    stand_by = args.key_does == "stand-by"
    if args.pedal is not None:
        InputDevice(
            args.pedal,
            lambda pressed: live.key(pressed, held=True, stand_by=stand_by),
            lambda sentence: live.bench.show("trouble", sentence),
        )
    if args.key is None:
        return None
    return TerminalKey(args.key, lambda: live.key(True, stand_by=stand_by))


def _played(
    args: argparse.Namespace,
    job: ReadyJob,
    store: Store,
    speaker: Speaker,
    *,
    sound: Samples | None,
    speed: float | None,
) -> int:
    start = datetime.now().astimezone()
    played: PlayedBench
    turns: Iterable[Turn]
    if sound is None:
        bench = _bench(job, store, speaker, lambda: played.now)
        turns = typed(sys.stdin, job.language)
        turns = turns if speed is None else hurried(turns, lambda: job.guide, speed)
    else:
        ear = open_hearing(args.recogniser, args.vosk_model, job.language(), job.expects).ear
        bench = _bench(job, store, speaker, lambda: played.now, ear.learn)
        turns = recorded(sound, ear)
    played = PlayedBench(bench, start)

    def work() -> None:
        with watched(args, bench, store, now=lambda: played.now, source="typed" if sound is None else "recording"):
            begin(bench, job, start)
            try:
                played.play(turns)
            except ValueError as error:
                raise UseError(str(error)) from None

    try:
        return _finish(bench, _guarded(bench, work, getattr(args, "procedure", "")))
    finally:
        if isinstance(speaker, FileSpeaker):
            speaker.finish()


def _finish(bench: Bench, code: int) -> int:
    bench.close()
    return code
