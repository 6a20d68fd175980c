"""What can become of a fault, and how it is seen."""

from __future__ import annotations

import contextlib
import io
import signal
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from types import FrameType
from typing import Literal

from handsfree.cli import main

Outcome = Literal["told", "harmless", "silent", "traceback", "hang"]
OUTCOMES: tuple[Outcome, ...] = ("told", "harmless", "silent", "traceback", "hang")
BAD = ("silent", "traceback", "hang")
PATIENCE = 20
"""Seconds after which a command hangs."""


class Hang(BaseException):
    """It took too long. No Exception, so that nothing takes it for one of its own."""


@dataclass
class Tally:
    """How often what became of a kind of fault, and what the bad ones were."""

    kind: str
    counts: Counter[Outcome] = field(default_factory=Counter)
    bad: list[str] = field(default_factory=list)

    def add(self, outcome: Outcome, what: str = "") -> None:
        self.counts[outcome] += 1
        if outcome in BAD:
            self.bad.append(f"{outcome}: {what}")

    def judged(self, what: str, act: Callable[[], Outcome]) -> None:
        """Do it, and count what becomes of it."""
        try:
            with in_time():
                outcome = act()
        except Hang:
            self.add("hang", what)
        except Exception as error:
            self.add("traceback", f"{what}: {type(error).__name__}: {error}"[:300])
        else:
            self.add(outcome, what)

    def row(self) -> str:
        total = sum(self.counts.values())
        return f"{self.kind:44} {total:7} " + " ".join(f"{self.counts[each]:9}" for each in OUTCOMES)


def heading() -> str:
    return f"{'':44} {'faults':>7} " + " ".join(f"{each:>9}" for each in OUTCOMES)


@contextmanager
def in_time(seconds: int = PATIENCE) -> Iterator[None]:
    """Hang where it takes longer; without that where the system has no alarm."""
    if not hasattr(signal, "SIGALRM"):
        yield
        return

    def ring(number: int, frame: FrameType | None) -> None:
        raise Hang

    before = signal.signal(signal.SIGALRM, ring)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def said_by(*words: str, typed: str | Iterator[str] = "") -> tuple[int, str, str]:
    """The exit code of a command and what it printed; any exception it ends with."""
    out, err = io.StringIO(), io.StringIO()
    stdin = sys.stdin
    sys.stdin = io.StringIO(typed) if isinstance(typed, str) else _Lines(typed)  # type: ignore[assignment]
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                code = main(list(words))
            except SystemExit as ended:
                code = int(ended.code or 0)
    finally:
        sys.stdin = stdin
    return code, out.getvalue(), err.getvalue()


class _Lines:
    """Lines that are typed while things happen."""

    def __init__(self, lines: Iterator[str]) -> None:
        self._lines = lines

    def __iter__(self) -> Iterator[str]:
        return self._lines

    def isatty(self) -> bool:
        return False
