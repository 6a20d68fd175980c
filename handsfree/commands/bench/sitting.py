"""One sitting at the bench, however it listens: the job from its beginning to the line that says how to go on."""

from __future__ import annotations

import argparse
import os
import shlex
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from handsfree.bench.bench import LOG_GONE, LOG_LOST, Bench
from handsfree.bench.ears import Following, OpenHearing
from handsfree.bench.loops.clock import SteadyClock
from handsfree.bench.loops.rehearsal import FastClock, only_waiting
from handsfree.bench.printing import Printer
from handsfree.bench.setting_up import ReadyJob
from handsfree.commands.output import steered
from handsfree.guide.guide import Guide
from handsfree.job.errors import LogCorrupt, LogError, LogGone
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.phrases.language import Language
from handsfree.procedure.file.problems import ProcedureError
from handsfree.review.source import procedures_of
from handsfree.review.text.closing import MOST_SHOWN_AT_END, closing_lines
from handsfree.speaking.speaker import AloudSpeaker, Speaker
from handsfree.text.numerals import whole_words


def begin(bench: Bench, job: ReadyJob, now: datetime) -> None:
    """Open the job, or take it up again."""
    if job.opened is not None:
        bench.open(job.opened)
    else:
        bench.resume(now, job.taken_up)


def closing_line(bench: Bench, named: str = "") -> str:
    """What becomes of the job, and how to go on; and which others were left for it. ``named`` is how the user named
    its procedure: a file perhaps."""
    others = f"\nLeft open as well: {', '.join(bench.aside)} (handsfree jobs)." if bench.aside else ""
    return f"{_of_this_job(bench, named)}{others}"


def closing_of(store: Store, job: str, *, figures: bool = True) -> list[str]:
    """What stays on the terminal of a job that is left, from its log; nothing where that can't be read."""
    try:
        state = fold(store.events(job))
        return closing_lines(procedures_of(state), state, job=job, figures=MOST_SHOWN_AT_END if figures else 0)
    except (LogError, ProcedureError):
        return []


def _of_this_job(bench: Bench, named: str) -> str:
    if bench.log is None:
        return "No job was begun."
    job = bench.log.job
    session = bench.guide.session
    opened = session.state.opened
    apart = session.state.takes_apart(working := session.state.working)
    if bench.over == "finished":
        if session.state.purpose == "stripping":
            return f"Job {job} is finished. The procedure to put it back: handsfree draft {job}"
        return f"Job {job} is finished. Its review: handsfree review {job}"
    step = whole_words(session.current + 1)
    if apart:
        item = shlex.quote(session.state.fact("item") or "")
        return f"Job {job} is safe. Take it up again: handsfree strip {item} --job {job}"
    again = "rehearse" if opened is not None and opened.purpose == "rehearsal" else "run"
    name = shlex.quote(_as_given(named, working))
    return f"Job {job} is safe at step {step}. Take it up again: handsfree {again} {name} --job {job}"


def _as_given(named: str, working: str) -> str:
    """How the procedure being worked is named on the command line: as the user named it, or, where it was changed to by
    voice, as the file of this name beside that one, if there is one."""
    given = Path(named)
    if not named:
        return working
    if given.stem == working:
        return named
    beside = given.with_name(f"{working}{given.suffix}")
    return str(beside) if given.suffix and beside.is_file() else working


def printer(clock: Callable[[], datetime], guide: Guide, *, plain: bool = False) -> Printer:
    """Prints what happens at the bench of ``guide``: on a terminal in colour if not ``plain``, with a rule where a
    step begins."""
    colour = not plain and sys.stdout.isatty() and "NO_COLOR" not in os.environ and os.environ.get("TERM") != "dumb"
    stream = steered(sys.stdout)

    def place() -> str:
        session, opened = guide.session, guide.session.state.opened
        steps = len(session.procedure.steps)
        if steps < 2 or (opened is not None and opened.purpose == "stripping"):
            return ""
        return f"step {session.current + 1} of {steps}"

    return Printer(clock, partial(print, file=stream), place=place, colour=colour)


@dataclass(frozen=True)
class Sitting:
    """What one sitting is made of."""

    args: argparse.Namespace
    job: ReadyJob
    store: Store
    open_speaker: Callable[[], Speaker]
    """Gives the same speaker every time."""
    speed: float | None
    """How fast waiting times pass; None for real time."""

    def clock(self) -> Callable[[], datetime]:
        """A clock that runs from now on."""
        steady = SteadyClock()
        return steady if self.speed is None else FastClock(steady(), lambda: only_waiting(self.job.guide), self.speed)

    def bench(self, clock: Callable[[], datetime], relearn: Callable[[Language], None] = lambda _: None) -> Bench:
        """The bench at which the job is worked; ``relearn`` tells an ear what can be said from now on."""
        job = self.job
        bench = Bench(
            job.guide, self.store, self.open_speaker(), printer(clock, job.guide, plain=self.args.plain), job.log,
            changer=job.changer, opener=job.opener, relearn=relearn,
        )  # fmt: skip
        job.at_bench = lambda: bench.guide
        return bench

    def follow(self, bench: Bench, hearing: OpenHearing) -> None:
        """Hear as whoever is at the bench, from now on."""
        following = Following(
            hearing,
            lambda: bench.guide.session.state.worker or bench.guide.session.worker,
            lambda line: print(line, file=sys.stderr),
        )
        following()
        bench.tell(following)

    def work(self, bench: Bench, work: Callable[[], None]) -> int:
        """Run ``work`` and close the bench; the exit code. A lost log or Ctrl-C ends the job here, with everything kept
        that was said to be kept."""
        # How the user named the procedure: a file perhaps. Taking apart has none.
        named = getattr(self.args, "procedure", "")
        code = 0
        try:
            try:
                work()
            except KeyboardInterrupt:
                bench.speaker.stop()
                print("\nStopped. ", end="")
                code = 1
            bench.look_after_log()
            print(closing_line(bench, named))
        except LogError as error:
            self._tell_of_lost_log(bench, error, named)
            code = 1
        bench.close()
        return code

    def _tell_of_lost_log(self, bench: Bench, error: LogError, named: str) -> None:
        """Say that the log can't be written any more, and save what is in memory where its file is gone or broken."""
        lost = isinstance(error, (LogGone, LogCorrupt)) and bench.log is not None
        saved = bench.log.save_elsewhere(datetime.now().astimezone()) if lost and bench.log is not None else None
        said = LOG_LOST if saved is None else LOG_GONE
        _say_to_the_end(bench.speaker, said)
        print(said)
        print(f"handsfree run: {error}", file=sys.stderr)
        if saved is None:
            print(closing_line(bench, named))
        else:
            print(f"{closing_line(bench, named)} --logs {shlex.quote(str(saved))}")


def _say_to_the_end(speaker: Speaker, text: str) -> None:
    """At once, in place of what is being said, and heard to its end before the program ends."""
    ended = threading.Event()
    seconds = speaker.say(text, lambda _: ended.set())
    if isinstance(speaker, AloudSpeaker):
        ended.wait(timeout=seconds + 5)
