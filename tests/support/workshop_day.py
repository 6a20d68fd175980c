"""A day of a workshop: three items of two owners, one of them back under warranty, by the commands that a user types.

``python -m tests.support.workshop_day`` prints all of it, to be read. Workshop, people and owners are
invented.
"""

from __future__ import annotations

import contextlib
import io
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta, tzinfo
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest import mock

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.cli import main
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import load_procedure
from handsfree.procedure.workshop import read_workshop
from handsfree.speaking.errors import SpeakingError
from tests.support.played import played_out

AGO = timedelta(days=21)
"""When the gauge was here before."""

GAUGE = """
title: Slide of the bench gauge
item: Bench gauge, pattern C
revision: 1
workshop: Tern & Gable, instrument repairers
tools:
  blades: {name: feeler blades}
  mike: {name: micrometer three}
fasteners:
  gib screw: {size: M2 x 5, head: grub screw}
steps:
  - id: spring
    do: Let the return spring down.
    dangers: {kind: spring, until: spring}
  - id: pin
    do: Measure the pin of the slide.
    measure: {name: pin diameter, also: pin, unit: mm, limits: [5.98, 6.00], tool: mike}
  - id: gib
    do: Set the gib and lock its screws.
    fasteners: {use: gib screw, count: 2, where: the side of the slide}
    measure: {name: gib clearance, also: clearance, unit: thou, limits: [1.5, 4], tool: blades}
    check: Does the slide run free over its whole travel?
    check by another: true
  - id: cover
    do: Put the cover on.
    fasteners: {size: M3 x 8, head: cheese head, count: 4, where: the cover}
"""
STAGE = """
title: Stage of the microscope
item: Microscope
revision: 1
workshop: Tern & Gable, instrument repairers
steps:
  - id: soak
    do: Lay the rack in the bath.
    wait: {for: 10 minutes, name: bath}
  - id: grease
    do: Grease the rack.
    lubricant: {which: damping grease, where: the rack, how much: a thin film}
  - id: backlash
    do: Measure the backlash of the stage.
    measure: {name: backlash, unit: thou, at most: 3, when: as left}
"""
WORKSHOP = """
people: [Jo Tern, T. Gable]
tools:
  - {{name: micrometer three, also: micrometer, resolution: 0.01 mm, uncertainty: 0.004 mm, range: 0 to 25 mm,
     identity: M-3, calibrated on: {calibrated}, due: {due}}}
  - {{name: feeler blades, also: feelers, resolution: 0.5 thou, blades: "1, 1.5, 2, 3, 4, 5, 6, 8, 10 thou"}}
terms: {{name: "Tern & Gable, instrument repairers", currency: GBP, hour: 60, warranty: 6 months,
        fixed: {{clean and oil: 45}}}}
words: {{accessories: [dust cover]}}
"""
BEFORE = (
    "this is jo", "next", "log pin five point nine nine", "next", "log clearance three and a half thou", "next",
    "this is gable", "go to step three", "yes", "next", "next",
    "serious finding", "the pin is worn", "end of note", "sign off", "hand it over", "finish the job",
)  # fmt: skip
"""What was said three weeks ago."""


_WITH_A_CLOCK = (
    "bench.loops.clock", "commands.bench.run", "commands.bench.replayed", "commands.jobs.job", "commands.jobs.listing",
)  # fmt: skip


def _clock(now: Callable[[], datetime]) -> type[datetime]:
    """The class of times, by another clock than the machine's."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
            return now()

    return Clock


@dataclass
class Day:
    """The commands of a day on one log, and all that they printed."""

    folder: Path
    shown: list[str] = field(default_factory=list)
    """What was typed and what was answered, act by act."""

    def __post_init__(self) -> None:
        self.store = Store(self.folder / "logs")
        self._ahead = datetime.now().replace(hour=8, minute=30, second=0, microsecond=0) - datetime.now()
        for name, text in (("bench-gauge", GAUGE), ("stage", STAGE)):
            (self.folder / f"{name}.yaml").write_text(text, encoding="utf-8")
        due = (self.now - timedelta(days=40)).date()
        workshop = WORKSHOP.format(calibrated=due.replace(year=due.year - 1, day=1), due=due)
        self.workshop = self.folder / "workshop.yaml"
        self.workshop.write_text(workshop, encoding="utf-8")

    @property
    def now(self) -> datetime:
        return (datetime.now() + self._ahead).astimezone()

    def later(self, wait: timedelta) -> None:
        """So much time passes, from the newest entry on where that is ahead of the clock."""
        newest = max(job.last for job in self.store.jobs())
        self._ahead += max(newest - self.now, timedelta()) + wait

    def file(self, name: str) -> str:
        return str(self.folder / f"{name}.yaml")

    def before(self) -> str:
        """The job on the gauge that was done three weeks ago, and handed over; its number."""
        loaded = load_procedure(Path(self.file("bench-gauge")))
        made = ready(
            loaded, self.store, self.now - AGO, serial="114", owner="Mill Lane", new=True,
            workshop=read_workshop(self.workshop),
        )  # fmt: skip
        played_out(made, self.store, typed(BEFORE, made.language), self.now - AGO)
        return self.store.jobs()[0].id

    def do(self, *words: str, lines: Sequence[str] = (), code: int = 0) -> str:
        """Type a command, and ``lines`` to it; what it printed."""
        out = io.StringIO()
        with contextlib.ExitStack() as then:
            for module in _WITH_A_CLOCK:
                then.enter_context(mock.patch(f"handsfree.{module}.datetime", _clock(lambda: self.now)))
            then.enter_context(mock.patch("handsfree.bench.workshop.default_file", lambda: self.workshop))
            then.enter_context(mock.patch("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines))))
            # How long a sentence takes is guessed: no voice is needed, and every run takes the same time.
            no_voice = SpeakingError("none is wanted")
            then.enter_context(mock.patch("handsfree.speaking.print_speaker.Synthesiser", side_effect=no_voice))
            then.enter_context(contextlib.redirect_stdout(out))
            then.enter_context(contextlib.redirect_stderr(out))
            given = main([*words, "--logs", str(self.store.folder)])
        printed = out.getvalue().replace(str(self.folder), "…")
        self.shown += [f"$ handsfree {' '.join(words)}".replace(str(self.folder), "…"), printed]
        assert given == code, printed
        return printed

    def take_in(self, *words: str) -> tuple[str, str]:
        """Take an item in; its job's number, and what was printed."""
        printed = self.do("job", "new", *words)
        found = re.search(r"Job (\S+) is taken in", printed)
        assert found is not None, printed
        return found[1], printed

    def at_the_bench(self, procedure: str, job: str, by: str, *lines: str) -> str:
        """Work a job, typed; what was printed, without the clock and the line breaks."""
        printed = self.do(
            "run", self.file(procedure), "--job", job, "--by", by, "--listen", "typed", "--speak", "print", "--plain",
            lines=lines,
        )  # fmt: skip
        self.later(timedelta(minutes=40))
        return " ".join(" ".join(_unclocked(printed)).split())


def _unclocked(printed: str) -> Iterator[str]:
    for line in printed.splitlines():
        yield re.sub(r"^\d\d:\d\d:\d\d\s+(heard\s+|ignored\s+)?", lambda m: f"| {m[1]}" if m[1] else "", line).strip()


@dataclass
class Played:
    """A day that was played to its end: the numbers of its jobs, and what each act printed."""

    day: Day
    before: str
    gauge: str = ""
    lathe: str = ""
    microscope: str = ""
    printed: dict[str, str] = field(default_factory=dict)


def play(folder: Path) -> Played:
    """The whole day, from the counter in to the counter out."""
    day = Day(folder)
    played = Played(day, day.before())
    printed = played.printed
    # The counter, in the morning.
    played.gauge, printed["gauge in"] = day.take_in(
        "--item", "Bench gauge", "--serial", "114", "--owner", "Mill Lane", "--contact", "0191 498 0143",
        "--accessory", "wooden case", "--complaint", "The slide sticks again", "--returns", played.before,
        "--promised", (day.now + timedelta(days=1)).date().isoformat(), "--agreed", "80",
    )  # fmt: skip
    played.lathe, printed["lathe in"] = day.take_in(
        "--item", "Bench lathe, three inch", "--owner", "Mill Lane", "--complaint", "It chatters",
        "--promised", (day.now + timedelta(days=14)).date().isoformat(),
    )  # fmt: skip
    played.microscope, printed["microscope in"] = day.take_in(
        "--item", "Microscope", "--serial", "9", "--owner", "Harbour School", "--contact", "office@harbour.invalid",
        "--accessory", "eyepiece", "--complaint", "The stage creeps", "--agreed", "80.50",
    )  # fmt: skip
    printed["sheet"] = day.do("sheet", played.gauge, "--to", "-")
    day.shown[-1] = "(the page)\n"
    printed["morning"] = day.do("jobs")
    # The apprentice takes the gauge apart, orders its screws, and goes to and fro.
    printed["apprentice"] = day.at_the_bench(
        "bench-gauge", played.gauge, "Jo Tern",
        "what is the complaint",
        "begin taking apart",
        "removed four screws, M three by eight, cheese head, from the cover", "tray one",
        "removed the cover", "tray two",
        "gib clearance as found five thou",
        "removed two grub screws", "tray three",
        "end of taking apart",
        "next",
        "log pin five point nine nine", "next",
        "order two gib screws m two by five",
        "which jobs are open",
        "go to the microscope",
        "change to stage", "start the timer", "left with it a dust cover",
        "stand by", "~ five minutes", "back at the bench", "how long is left",
        "go to the gauge",
        "log clearance five thou", "set again", "log clearance three thou",
        "~ five minutes", "got it",
        "next",
        "what waits for a check",
        "pause the job",
    )  # fmt: skip
    # The counter again: the parts, and a telephone call.
    printed["noon"] = day.do("jobs")
    orders = day.do("orders")
    printed["orders"] = orders
    entry = orders.split()[4]
    day.do("job", "ordered", played.gauge, entry)
    printed["arrived"] = day.do("job", "arrived", played.gauge, entry)
    printed["nothing on order"] = day.do("orders")
    day.do("job", "add", played.gauge, "--approved", "120 by telephone", "--charge", "gib screws 9.00")
    day.do("job", "add", played.microscope, "--charge", "clean and oil")
    # The master checks what waits for it, signs, and goes on with the microscope.
    printed["master"] = day.at_the_bench(
        "bench-gauge", played.gauge, "T. Gable",
        "what waits for a check", "go to step three", "yes", "next", "next",
        "parts tally", "sign off", "finish the job",
    )  # fmt: skip
    printed["microscope"] = day.at_the_bench(
        "stage", played.microscope, "T. Gable",
        "yes", "next", "next", "log backlash two thou", "next", "sign off", "finish the job",
    )  # fmt: skip
    printed["evening"] = day.do("jobs")
    # Two are fetched.
    day.later(timedelta(hours=3))
    printed["asked for"] = day.do("job", "hand-over", played.gauge, code=2)
    printed["gauge out"] = day.do("job", "hand-over", played.gauge, "--all-back")
    printed["microscope out"] = day.do("job", "hand-over", played.microscope, "--kept", "dust cover")
    printed["bill"] = day.do("bill", played.gauge)
    printed["bill as csv"] = day.do("bill", played.gauge, "--csv")
    printed["bill at a fixed price"] = day.do("bill", played.microscope, "--hours", "0")
    printed["review"] = day.do("review", played.gauge)
    printed["report"] = day.do("report", played.gauge, "--format", "json", "--charges", "--to", "-")
    day.shown[-1] = "(the record)\n"
    printed["night"] = day.do("jobs")
    printed["verify"] = day.do("verify")
    return played


if __name__ == "__main__":
    with TemporaryDirectory() as temporary:
        sys.stdout.write("\n".join(play(Path(temporary)).day.shown))
