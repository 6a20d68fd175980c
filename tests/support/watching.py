"""For the tests of what can be seen: a bench that is watched while typed lines or recordings are played."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timezone
from typing import Any

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ReadyJob, ready
from handsfree.bench.watching import watch
from handsfree.display.server import PageServer
from handsfree.guide.view.shown import View
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded
from handsfree.speaking.print_speaker import PrintSpeaker

MORNING = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)


@dataclass
class Watched:
    """A job that is being worked and everything that was to be seen of it."""

    job: ReadyJob
    bench: Bench
    clock: PlayedBench
    views: list[View] = field(default_factory=list)

    @property
    def view(self) -> View:
        return self.views[-1]

    def say(self, *lines: str) -> View:
        """Play typed lines; what can be seen after them."""
        self.clock.play(typed(lines, self.job.guide.session.language))
        return self.view


def serving(server: PageServer) -> Iterator[PageServer]:
    """For a fixture: a server that has started, and ends with it."""
    with closing(server):
        server.start()
        yield server


@contextmanager
def watched(loaded: Loaded, store: Store, *receivers: Callable[[View], None], **details: Any) -> Iterator[Watched]:
    """A new job, watched by ``receivers`` too."""
    job = ready(loaded, store, MORNING, new=True, **details)
    bench = Bench(
        job.guide,
        store,
        PrintSpeaker(lambda _: None, guessing=True),
        lambda line, text: None,
        job.log,
        changer=job.changer,
        opener=job.opener,
    )
    job.at_bench = lambda: bench.guide
    found = Watched(job, bench, PlayedBench(bench, MORNING))
    watch(bench, lambda: found.clock.now, "mic", [found.views.append, *receivers])
    assert job.opened is not None
    bench.open(job.opened)
    try:
        yield found
    finally:
        bench.close()
