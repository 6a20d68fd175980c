"""The display's buttons at a bench in real time: a press counts as saying it, and never falls into free speech."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest

from handsfree.bench.bench import Bench
from handsfree.bench.loops.live import LiveBench
from handsfree.bench.setting_up import ready
from handsfree.job.events import CameBack, JobPaused, NoteKept, StepDone, StoodBy
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.watching import MORNING


@pytest.fixture
def live(small: Loaded, store: Store) -> Iterator[LiveBench]:
    job = ready(small, store, MORNING, new=True)
    bench = Bench(job.guide, store, PrintSpeaker(lambda _: None, guessing=True), lambda line, text: None, job.log)
    made = LiveBench(bench)
    assert job.opened is not None
    bench.open(job.opened)
    yield made
    bench.close()


def _work(live: LiveBench) -> list[object]:
    """Run until the job is paused; its events."""
    running = threading.Timer(20, lambda: live.read_lines(["pause the job"]))
    running.start()
    live.run()
    running.cancel()
    assert live.bench.log is not None
    return list(live.bench.log.events())


def _kinds(events: list[object], *kinds: type) -> list[type]:
    return [type(event) for event in events if isinstance(event, kinds)]


def test_stand_by_back_and_next_do_what_the_words_do(live: LiveBench) -> None:
    for words in ("stand by", "next", "back at the bench", "next"):
        live.press(words)
    live.read_lines(["pause the job"])
    events = _work(live)
    assert _kinds(events, StoodBy, CameBack, StepDone, JobPaused) == [StoodBy, CameBack, StepDone, JobPaused]
    assert [event.recogniser for event in events if isinstance(event, (StoodBy, CameBack, StepDone))] == ["button"] * 3


def test_a_button_does_not_become_part_of_a_note(live: LiveBench) -> None:
    lines = iter(["note", "the pivot is worn", "press", "end of note", "pause the job"])

    def typed() -> Iterator[str]:
        for line in lines:
            if line == "press":
                live.press("next")
            else:
                yield line

    live.read_lines(typed())
    events = _work(live)
    assert [event.text for event in events if isinstance(event, NoteKept)] == ["the pivot is worn"]
    assert _kinds(events, StepDone) == []
