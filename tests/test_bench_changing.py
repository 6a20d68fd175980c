"""Changing to another procedure by voice, in the middle of a job."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.bench.bench import Bench
from handsfree.bench.changing import at_hand, spoken_names
from handsfree.bench.played import PlayedBench
from handsfree.bench.setting_up import ready
from handsfree.bench.sources import typed
from handsfree.job.events import ProcedureTakenUp, ReadingLogged, TimerRang
from handsfree.job.state import JobState, fold
from handsfree.job.store import Store
from handsfree.job.verify import verify
from handsfree.phrases.language import Language
from handsfree.procedure.loader import Loaded
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.conftest import MORNING
from tests.test_guide_lasting import OTHER


class Worked:
    """Typed lines on one job; ``languages`` are those that an ear would have been given."""

    def __init__(self, loaded: Loaded, store: Store) -> None:
        self.loaded, self.store, self.job = loaded, store, ""
        self.languages: list[Language] = []
        self.troubles: list[str] = []

    def __call__(self, *lines: str) -> list[str]:
        said: list[str] = []

        def show(kind: str, text: str) -> None:
            {"says": said, "trouble": self.troubles}.get(kind, []).append(text)

        made = ready(self.loaded, self.store, MORNING, job=self.job or None, changing_too=True)
        bench = Bench(made.guide, self.store, PrintSpeaker(lambda _: None), show, made.log)
        bench.changer, bench.relearn = made.changer, self.languages.append
        clock = PlayedBench(bench, MORNING)
        if made.opened is not None:
            bench.open(made.opened)
        else:
            bench.resume(MORNING, made.taken_up)
        clock.play(typed(lines, made.language))
        assert bench.log is not None
        self.job = bench.log.job
        bench.close()
        return said

    @property
    def state(self) -> JobState:
        return fold(self.store.events(self.job))


@pytest.fixture
def work(small: Loaded, store: Store, tmp_path: Path) -> Worked:
    (tmp_path / "latch-cleaning.yaml").write_text(OTHER, encoding="utf-8")
    (tmp_path / "workshop.yaml").write_text("tools: []\n", encoding="utf-8")
    return Worked(small, store)


def test_the_procedures_beside_this_one_and_those_shipped_can_be_named(work: Worked, tmp_path: Path) -> None:
    names = spoken_names(at_hand(tmp_path))
    assert names["latch cleaning"] == "latch-cleaning"
    assert names["lathe spindle"] == "lathe-spindle"
    assert "workshop" not in names
    said = work("which procedures")[-1]
    assert said.startswith("Change to: ")
    assert "latch cleaning" in said
    assert "gate latch" not in said


def test_the_job_goes_on_with_the_other_procedure_and_its_words(work: Worked) -> None:
    said = work(
        "next",
        "log four thou",
        "change to latch cleaning",
        "next",
        "log play two thou",
        "log latch clearance four thou",
    )
    assert "Step two. Dry the latch. Log play" in said[-2]
    assert said[-1] == "Play, two thou. In limits."
    events = work.store.events(work.job)
    assert [event.procedure_name for event in events if isinstance(event, ProcedureTakenUp)] == ["latch-cleaning"]
    figures = [event.characteristic for event in events if isinstance(event, ReadingLogged)]
    assert figures == ["latch clearance", "play"]
    assert verify(work.store, work.job).faults == ()
    (language,) = work.languages
    assert language.interpret_text("log play two thou")
    assert not language.interpret_text("log latch clearance four thou")


def test_dangers_and_timers_last_over_the_change(work: Worked) -> None:
    said = work("next", "timer bath ten minutes", "change to latch cleaning", "~ eleven minutes", "got it")
    assert "Danger stands since step one of Adjustment of the gate latch. Spring under load" in said[3]
    assert said.count("Timer bath: time is up.") > 0
    assert any(isinstance(event, TimerRang) for event in work.store.events(work.job))


def test_changing_back_comes_to_the_step_that_was_left(work: Worked) -> None:
    said = work("next", "change to latch cleaning", "change to gate latch", "log four thou", "where am i")
    assert said[-1].startswith("Step two of five")
    figure = next(entry for entry in work.state.entries.values() if isinstance(entry.event, ReadingLogged))
    assert figure.event.step == "set"
    assert figure.settled
    assert said[2].count("Spring under load") == 1


def test_a_figure_that_was_being_read_back_still_stands_after_the_change(work: Worked) -> None:
    work("next", "log four thou", "change to latch cleaning", "pause the job")
    there = work.state.of("gate-latch").entries.values()
    assert [entry.settled for entry in there if isinstance(entry.event, ReadingLogged)] == [True]


def test_finishing_tells_what_every_procedure_lacks_and_the_review_covers_them_all(work: Worked) -> None:
    said = work("change to latch cleaning", "next", "review", "end of review", "finish the job", "yes")
    assert "One of seven steps done" in said[-4]
    assert "In Adjustment of the gate latch, five steps not done" in said[-2]
    assert work.state.finished is not None


def test_one_that_can_not_be_taken_up_leaves_the_job_where_it_is(work: Worked, tmp_path: Path) -> None:
    (tmp_path / "broken.yaml").write_text("title: x\nsteps:\n  - {id: a}\n", encoding="utf-8")
    said = work("next", "change to broken", "where am i")
    assert said[-2] == "Broken can't be taken up. The job goes on here."
    assert said[-1].startswith("Step two of five")
    assert "broken.yaml" in work.troubles[0]


def test_the_job_is_taken_up_again_with_the_procedure_that_is_named(work: Worked) -> None:
    work("next", "change to latch cleaning", "next", "pause the job")
    said = work("yes", "where am i")
    assert said[-1].startswith("Step two of five")
