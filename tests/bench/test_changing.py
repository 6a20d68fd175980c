"""Changing to another procedure by voice, in the middle of a job."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.bench.bench import Bench
from handsfree.bench.changing import procedures_at_hand, spoken_names
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.job.events import ProcedureTakenUp, ReadingLogged, TimerRang
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState, fold
from handsfree.phrases.language import Language
from handsfree.procedure.file.loader import Loaded
from handsfree.review.source import procedures_of
from handsfree.review.timeline import step_times, time_line
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.played import MORNING, played_out
from tests.support.procedures import OTHER


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
        speaker, learn = PrintSpeaker(lambda _: None, guessing=True), self.languages.append
        bench = Bench(made.guide, self.store, speaker, show, made.log, changer=made.changer, relearn=learn)
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
    names = spoken_names(procedures_at_hand(tmp_path))
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


def test_the_entries_of_a_job_taken_up_with_its_first_procedure_are_in_the_order_of_their_times(
    small: Loaded, store: Store
) -> None:
    with store.open_job(opened_with(None, MORNING, item="Gate"), steps=0) as log:
        job = log.job
    # It is made ready some seconds before the bench is: the ear has to be loaded.
    made = ready(small, store, MORNING + timedelta(minutes=1), job=job)
    played = played_out(made, store, typed(["next"], made.language), MORNING + timedelta(minutes=2))
    assert any(isinstance(event, ProcedureTakenUp) for event in played.events)
    times = [event.at for event in played.events]
    assert times == sorted(times)


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
    said = work("change to latch cleaning", "next", "review the job", "end of review", "finish the job", "yes")
    assert "One of seven steps done" in said[-4]
    assert "In Adjustment of the gate latch, one danger still present and five steps not done" in said[-2]
    assert work.state.finished is not None


def test_what_was_measured_in_this_very_job_is_not_that_of_last_time(work: Worked) -> None:
    said = work("next", "log four thou", "change to latch cleaning", "change to gate latch", "last time")
    assert said[-1] == "No earlier figure for latch clearance."


def _readings(state: JobState, name: str) -> list[ReadingLogged]:
    return [
        entry.event
        for entry in state.of(name).entries.values()
        if isinstance(entry.event, ReadingLogged) and entry.stands
    ]


def test_a_figure_of_the_procedure_that_is_not_in_hand_is_corrected_in_the_review(work: Worked) -> None:
    said = work(
        *("next", "log nine thou", "leave open", "change to latch cleaning", "next", "log two thou"),
        *("review the job", "next", "next", "wrong it is four and a half thou", "history", "end of review"),
        *("where am i", "wrong it is one thou"),
    )
    assert "Corrected. Latch clearance, four and a half thou. In limits." in said
    assert "Corrected from nine thou" in said[-4]
    assert said[-2].startswith("Step two of two")
    assert said[-1] == "Corrected. Play, one thou. In limits."
    state = work.state
    assert state.working == "latch-cleaning"
    (corrected,) = _readings(state, "gate-latch")
    # Limits and tool are those of the procedure that it belongs to.
    assert (corrected.as_said, corrected.step, corrected.limits) == ("4 1/2 thou", "set", "3 to 5 thou")
    assert (corrected.tool, corrected.uncertainty) == ("feeler blades", "0.25 thou")
    entry = state.entry(corrected.id)
    assert entry is not None and entry.settled
    assert [event.as_said for event in _readings(state, "latch-cleaning")] == ["1 thou"]
    assert verify(work.store, work.job).faults == ()


def test_what_is_decided_about_a_figure_elsewhere_stands_where_the_figure_does(work: Worked) -> None:
    said = work(
        *("next", "log nine thou", "leave open", "change to latch cleaning", "next"),
        *("review the job", "next", "next", "wrong it is eight thou", "set again", "log two thou"),
    )
    assert said[-2] == "Set it again, then log it in Adjustment of the gate latch."
    assert said[-1] == "Review left. Play, two thou. In limits."
    assert _readings(work.state, "gate-latch") == []
    procedures = procedures_of(work.state)
    events = work.store.events(work.job)
    decided = [line for line in time_line(procedures, events) if line.kind == "outcome given"]
    assert [(line.procedure, line.step) for line in decided] == [("gate-latch", 2), ("gate-latch", 2)]


def test_a_doubtful_correction_of_a_figure_elsewhere_is_asked_back(work: Worked) -> None:
    said = work(
        *("next", "log nine thou", "leave open", "change to latch cleaning", "next"),
        *("review the job", "next", "next", "wrong it is four point one thou", "four point one thou"),
    )
    assert said[-2].startswith("The feeler blades can't show")
    assert said[-1] == "Corrected. Latch clearance, four point one thou. In limits."
    assert [event.as_said for event in _readings(work.state, "gate-latch")] == ["4.1 thou"]


def test_the_time_at_the_step_in_hand_goes_on_after_a_correction_elsewhere(work: Worked) -> None:
    work(
        *("next", "log nine thou", "leave open", "change to latch cleaning", "next"),
        *(
            "review the job",
            "next",
            "next",
            "wrong it is four thou",
            "end of review",
            "~ twenty minutes",
            "log two thou",
        ),
    )
    times = step_times(work.store.events(work.job))
    assert timedelta(minutes=20) <= times["latch-cleaning", "set"] < timedelta(minutes=25)


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
