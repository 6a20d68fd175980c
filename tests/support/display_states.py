"""For whatever looks at the display: every state in which it can be seen, and how to bring a bench into it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handsfree.bench.setting_up import load_named
from handsfree.bench.watching import job_review
from handsfree.display.address import ListeningAddress
from handsfree.display.server import PageServer
from handsfree.guide.view.shown import View
from handsfree.job.log.store import Store
from handsfree.job.opening import opened_with
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.procedure.file.loader import load_procedure
from tests.support.played import MORNING, SMALL
from tests.support.procedures import OTHER
from tests.support.watching import Watched, watched

DENSE = """
title: Setting the traverse of the comparator stand
item: Comparator stand, pattern K
revision: 7
steps:
  - id: load
    do: Wind the spring up and set the pawl.
    dangers: [{say: Spring under load. Keep your fingers clear of the drum., until: prove}]
  - id: set
    do: Bring the carriage to the left stop and set the end float of the lead screw with both lock nuts slack.
    fasteners:
      - {count: 4, size: M3 x 8, head: cheese head, finish: blued, where: the lower bracket}
      - {count: 2, size: M2 x 5, head: countersunk, where: the cover of the drum, left-hand thread: true}
      - {count: 1, size: M6, head: lock nut, where: the end of the lead screw}
      - {count: 3, size: 2 BA x 1/4, head: round head, where: the guide strip}
    lubricant: {which: spindle oil, where: the thread of the lead screw, how much: two drops}
    cautions: [The glass scale is loose on this side., Never turn the drum backwards., Do not let oil reach the cork.]
    measure:
      name: end float
      unit: thou
      limits: [2, 5]
      target: 3
      tool: {name: dial indicator, resolution: 0.5 thou, uncertainty: 0.6 thou}
  - id: prove
    do: Run the carriage over its whole way.
    check: Does it run without a catch?
  - group: assemble
    stop: Let it stand.
    for each: [left, middle, right]
    steps:
      - id: tighten
        do: Tighten the screw of the {place} post.
        measure: {name: post gap, unit: mm, at most: 0.2, tool: {name: feeler blades, resolution: 0.05 mm}}
"""


@dataclass(frozen=True)
class State:
    """What was said until the display looks so, and of which job: "small", "dense", "strip", or a procedure that comes
    with the program."""

    lines: tuple[str, ...] = ()
    job: str = "small"
    purpose: str = "repair"
    over: bool = False
    """Whether the job and its server are gone."""
    buttons: bool = False
    lost: bool = False
    """Whether the server is gone without a farewell."""
    beside: bool = False
    """Whether the job of a sewing head is open as well."""


_OUT = ("next", "log clearance seven thou")
_FOUND_OUT = ("log clearance four and a half thou", "leave open")
"""At the first step of the focusing slide."""
_TIMERS = ("timer bath ten minutes", "timer lacquer twenty minutes")

STATES: dict[str, State] = {
    "at a step with a danger": State(),
    "a figure is asked for": State(("next",)),
    "in limits": State(("next", "log clearance four thou")),
    "a question is asked": State(_OUT, buttons=True),
    "out of limits": State((*_OUT, "accept within wear")),
    "two figures are asked for": State(("go to step four", "log latch clearance four thou")),
    "a timer runs": State(("go to step three", "start the timer")),
    "a check is asked for": State(("go to step five", "yes")),
    "a note is taken": State(("next", "note", "the pivot is worn on the side of the pawl and was bent before")),
    "standing by": State(("next", "stand by"), buttons=True),
    "looking ahead": State(("what comes after",)),
    "dense": State(("next", *_TIMERS, "log six thou"), "dense", buttons=True),
    "dense, undecided": State(("next", *_TIMERS, "log five thou"), "dense"),
    "a repeated group with its stage": State(("go to step five", "log nought point one millimetres"), "dense"),
    "a wait after a figure": State((*_FOUND_OUT, "next", "next"), "focusing-slide"),
    "a check after a figure": State((*_FOUND_OUT, "go to step four"), "focusing-slide"),
    "the last check, after a figure": State((*_FOUND_OUT, "go to step seventeen"), "focusing-slide"),
    "the review so far": State(
        (*_OUT, "leave open", "note", "the pivot is worn", "end of note", "review the job", "next")
    ),
    "strip-down": State(
        ("removed four screws, M three by eight, cheese head, from the lower bracket", "tray three"),
        "strip",
        "stripping",
    ),
    "rehearsal": State(("next", "log clearance four thou"), purpose="rehearsal"),
    "another item on the bench": State(
        ("next", *_TIMERS, "go to the sewing head", "next", "log play two thou"), beside=True
    ),
    "finished": State((*_OUT, "leave open", "finish the job", "yes"), over=True),
    "connection lost": State(_OUT, lost=True),
}


@contextmanager
def in_state(
    state: State, folder: Path, looking: Callable[[PageServer], Any] = lambda server: None
) -> Iterator[tuple[Watched, PageServer]]:
    """A served job in ``state``, with its log in ``folder``; ``looking`` opens the page before anything is said."""
    store = Store(folder / "logs")
    if state.job == "strip":
        loaded = stripping_procedure("Comparator stand, pattern K")
    elif state.job not in ("small", "dense"):
        loaded = load_named(state.job)
    else:
        path = folder / f"{state.job}.yaml"
        path.write_text(DENSE if state.job == "dense" else SMALL, encoding="utf-8")
        loaded = load_procedure(path)
    servers: list[PageServer] = []

    def show(view: View) -> None:
        for each in servers:
            each.show(view)

    if state.beside:
        (folder / "latch-cleaning.yaml").write_text(OTHER, encoding="utf-8")
        cleaning = load_procedure(folder / "latch-cleaning.yaml")
        opened = opened_with(cleaning, MORNING, item="Sewing head", owner="Mrs Finch")
        store.open_job(opened, len(cleaning.procedure.steps)).close()
    with watched(loaded, store, show, serial="A 12", purpose=state.purpose, changing_too=state.beside) as job:
        assert job.bench.log is not None
        number = job.bench.log.job
        server = PageServer(
            ListeningAddress("127.0.0.1", 0),
            review=lambda: job_review(store, number),
            report=lambda: "<!doctype html><title>Report</title>",
            press=(lambda words: None) if state.buttons else None,
        )
        server.start()
        try:
            servers.append(server)
            server.show(job.view)
            looking(server)
            job.say(*state.lines)
            if state.over:
                server.close()
            elif state.lost:
                server._server.should_exit = server._server.force_exit = True
                server._thread.join(timeout=5)
            yield job, server
        finally:
            server.close()
