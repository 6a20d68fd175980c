"""What outlasts a restart: timers until they are acknowledged, dangers, other procedures, and a clock set back."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

from handsfree.bench.bench import Bench
from handsfree.bench.changing import taken_up_anew
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import typed, typed_utterance
from handsfree.bench.setting_up import language_of, ready, session_of
from handsfree.guide.effects import Effect, Say
from handsfree.guide.guide import Guide
from handsfree.guide.session import WorkedProcedure
from handsfree.guide.view.snapshot import view_of
from handsfree.job.events import ClockSetBack, JobOpened, TimerAcknowledged, TimerRang
from handsfree.job.log.store import Store
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState, fold
from handsfree.procedure.file.loader import Loaded, load_procedure
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.conversation import conversation
from tests.support.played import MORNING, Play
from tests.support.procedures import OTHER


def test_a_timer_is_told_again_until_it_is_acknowledged(play: Play) -> None:
    played = play("timer bath ten minutes", "~ twelve minutes", "got it", "~ ten minutes")
    told = [said for said in played.said if said.startswith("Timer bath: time is up")]
    assert told[0] == "Timer bath: time is up."
    assert told[1] == "Timer bath: time is up, thirty seconds ago. Say got it."
    assert 2 <= len(told) <= 4
    assert played.last == "Good."
    assert sum(isinstance(event, TimerRang) for event in played.events) == 1
    assert isinstance(played.events[-1], TimerAcknowledged)


def test_a_timer_that_nobody_hears_is_told_at_growing_intervals(play: Play) -> None:
    played = play("timer bath ten minutes", "~ seventy minutes")
    told = [said for said in played.said if said.startswith("Timer bath: time is up")]
    assert told[1:] == [
        "Timer bath: time is up, thirty seconds ago. Say got it.",
        "Timer bath: time is up, two minutes and thirty seconds ago. Say got it.",
        "Timer bath: time is up, eight minutes ago. Say got it.",
        "Timer bath: time is up, twenty two minutes ago. Say got it.",
        "Timer bath: time is up, fifty two minutes ago. Say got it.",
    ]


def test_a_danger_of_a_step_that_is_left_open_is_told_on_leaving_it_and_stands(small: Loaded) -> None:
    danger = "Danger stands since step one. Spring under load. Keep your face clear."
    talk = conversation(small, "go to step three")
    assert talk.said[0].startswith(f"{danger} Two steps passed over, still open. Step three.")
    assert talk.say("where am i")[0].endswith(danger)
    # Told once on leaving, and not on every way from there.
    assert danger not in talk.say("go to step two")[0]
    assert "One danger still present" in talk.say("finish the job")[0]


def test_a_danger_that_is_over_is_named(play: Play) -> None:
    play("next", "log clearance four thou", "next", "next", "yes", "next", "yes")
    assert play("yes", "yes", "next").answers("next")[0].startswith("Danger over. No longer: spring under load.")


def test_a_timer_that_ran_out_while_nobody_was_there_rings_when_the_job_is_taken_up(play: Play) -> None:
    play("timer bath ten minutes", "pause the job")
    played = play("yes", "~ one minute", "stop the timer", at=MORNING + timedelta(minutes=30))
    told = [said for said in played.said if said.startswith("Timer bath: time is up")]
    assert "ago" in told[0]
    assert len(told) >= 2
    assert not played.state.ringing


def test_a_bell_that_nobody_acknowledged_before_a_restart_rings_on(play: Play) -> None:
    play("timer bath ten minutes", "~ eleven minutes", "pause the job")
    played = play("yes", "~ one minute", "got it", at=MORNING + timedelta(hours=1))
    assert any(said.startswith("Timer bath: time is up, fifty minutes ago") for said in played.said)
    assert sum(isinstance(event, TimerRang) for event in played.events) == 1
    assert not played.state.ringing


def test_a_timer_that_is_started_anew_has_stopped_ringing(play: Play) -> None:
    played = play("timer bath ten minutes", "~ eleven minutes", "timer bath ten minutes", "~ eight minutes", "why")
    assert played.answers("timer bath ten minutes") == ["Timer bath, ten minutes."]
    assert not played.state.ringing
    assert list(played.state.timers) == ["bath"]


def test_a_running_timer_is_named_when_the_job_is_paused(play: Play) -> None:
    assert "Timer bath runs on, ten minutes" in play("timer bath ten minutes", "pause the job").last


def test_doing_the_step_that_waited_acknowledges_its_timer(play: Play) -> None:
    played = play("go to step three", "start the timer", "~ eleven minutes", "next", "~ ten minutes")
    assert not played.state.ringing


def test_a_clock_that_was_set_back_is_noted_and_no_timer_is_late(play: Play) -> None:
    play("timer bath ten minutes", "~ four minutes", "pause the job")
    played = play("yes", "how long is left on bath", "~ eight minutes", "got it", at=MORNING - timedelta(hours=5))
    noted = [event for event in played.events if isinstance(event, ClockSetBack)]
    assert len(noted) == 1
    assert timedelta(hours=5) < timedelta(seconds=noted[0].seconds) < timedelta(hours=5, minutes=10)
    assert played.answers("how long is left on bath")[0] in ("Timer bath: five minutes.", "Timer bath: six minutes.")
    assert any(said == "Timer bath: time is up." for said in played.said)


@contextmanager
def _worked(
    loaded: Loaded, store: Store, job: str | None, at: datetime, *lines: str
) -> Iterator[tuple[list[str], str]]:
    said: list[str] = []

    def show(kind: str, text: str) -> None:
        if kind == "says":
            said.append(text)

    made = ready(loaded, store, at, job=job)
    bench = Bench(made.guide, store, PrintSpeaker(lambda _: None, guessing=True), show, made.log)
    clock = PlayedBench(bench, at)
    if made.opened is not None:
        bench.open(made.opened)
    else:
        bench.resume(at, made.taken_up)
    clock.play(typed(lines, language_of(loaded.procedure)))
    assert bench.log is not None
    yield said, bench.log.job
    bench.close()


def _state(store: Store, job: str) -> JobState:
    return fold(store.events(job))


def test_one_job_may_be_worked_by_several_procedures_in_any_order(small: Loaded, store: Store, tmp_path: Path) -> None:
    path = tmp_path / "cleaning.yaml"
    path.write_text(OTHER, encoding="utf-8")
    other = load_procedure(path)
    with _worked(small, store, None, MORNING, "next", "log clearance four thou", "pause the job") as (_, job):
        pass
    later = MORNING + timedelta(hours=1)
    with _worked(other, store, job, later, "next", "log play two thou", "take back", "pause the job") as (said, _):
        assert said[0].startswith("Danger stands since step one of Adjustment of the gate latch. Spring under load.")
        assert "Cleaning of the latch. Two steps. Step one. Brush the latch." in said[0]
        assert "Danger stands since step one of Adjustment" in said[-1]
    state = _state(store, job)
    assert list(state.procedures) == ["gate-latch", "cleaning"]
    assert state.working == "cleaning"
    assert (state.status("load"), state.status("set")) == ("done", "open")
    first = state.of("gate-latch")
    assert (first.status("load"), first.status("set"), first.step) == ("done", "open", "set")
    assert len(first.readings("set", "latch clearance")) == 1
    assert state.readings("set", "latch clearance") == []
    # Steps of one name in two procedures are two steps.
    with _worked(small, store, job, later, "yes", "read back", "pause the job") as (said, _):
        assert "Last done: step one, Press the spring down" in said[0]
        assert "Step two: Latch clearance" in said[2]
    assert store.unfinished("cleaning")[0].id == job
    assert store.jobs()[0].of == 7


STAGES = """
title: Two stages
item: Bench gauge
revision: 1
steps:
  - group: First
    stop: Leave the spring hooked.
    steps:
      - id: load
        do: Hook the spring.
        dangers: {say: Spring under load, until: release}
  - group: Second
    steps:
      - {id: release, do: Let the spring down.}
"""


def _cut_off(guide: Guide, effects: list[Effect]) -> str:
    """What was said, cut off, and said again with the next answer."""
    (say,) = (effect for effect in effects if isinstance(effect, Say))
    guide.spoken(say.token, False, MORNING)
    (again,) = (effect for effect in _hear(guide, "why") if isinstance(effect, Say))
    return again.text


def _hear(guide: Guide, words: str) -> list[Effect]:
    return guide.hear(typed_utterance(words, guide.session.language, "commands"), MORNING)


def _opened(loaded: Loaded) -> JobOpened:
    return opened_with(loaded, MORNING)


def test_a_danger_that_stands_over_the_end_of_a_stage_is_said_again_when_it_was_cut_off(tmp_path: Path) -> None:
    path = tmp_path / "stages.yaml"
    path.write_text(STAGES, encoding="utf-8")
    loaded = load_procedure(path)
    guide = Guide(session_of(loaded.procedure))
    guide.open(_opened(loaded))
    assert "Danger stands since step one. Spring under load." in _cut_off(guide, _hear(guide, "next"))


def _changed_to_another(first: Loaded, folder: Path) -> tuple[Guide, list[Effect]]:
    """In the second step of the first procedure another is changed to."""
    path = folder / "cleaning.yaml"
    path.write_text(OTHER, encoding="utf-8")
    other = load_procedure(path)
    guide = Guide(session_of(first.procedure))
    guide.open(_opened(first))
    _hear(guide, "next")
    worked = WorkedProcedure(other.procedure, language_of(other.procedure))
    return guide, guide.change(MORNING, taken_up_anew(other, MORNING), worked)


def test_a_danger_of_another_procedure_is_said_again_when_it_was_cut_off(small: Loaded, tmp_path: Path) -> None:
    guide, effects = _changed_to_another(small, tmp_path)
    assert "since step one of Adjustment of the gate latch. Spring under load" in _cut_off(guide, effects)


def test_a_danger_of_another_procedure_is_seen_with_its_title(small: Loaded, tmp_path: Path) -> None:
    guide, _ = _changed_to_another(small, tmp_path)
    (danger,) = view_of(guide, MORNING, microphone="").dangers
    assert danger.say == "Spring under load. Keep your face clear."
    assert danger.lasting == "since step 1 of Adjustment of the gate latch, until step 5 is done"


def test_a_job_taken_in_without_a_procedure_is_worked_later(small: Loaded, store: Store) -> None:
    opened = JobOpened(
        at=MORNING, title="", revision="", procedure_sha256="", procedure_text="", procedure_name="", serial="114"
    )
    with store.open_job(opened, 0) as log:
        pass
    with _worked(small, store, log.job, MORNING + timedelta(hours=1), "next") as (said, job):
        assert job == log.job
        assert said[0].startswith("Adjustment of the gate latch. Five steps.")
    state = _state(store, log.job)
    assert state.fact("serial") == "114"
    assert state.status("load") == "done"


def test_finishing_asks_about_the_other_procedures_of_the_job_too(small: Loaded, store: Store, tmp_path: Path) -> None:
    path = tmp_path / "cleaning.yaml"
    path.write_text(OTHER, encoding="utf-8")
    with _worked(small, store, None, MORNING, "next", "pause the job") as (_, job):
        pass
    lines = ("next", "log play two thou", "next", "finish the job", "yes")
    with _worked(load_procedure(path), store, job, MORNING + timedelta(hours=1), *lines) as (said, _):
        pass
    (asked,) = (words for words in said if "Finish anyway" in words)
    lacking = "In Adjustment of the gate latch, one danger still present and four steps not done."
    assert asked == f"{lacking} Not signed off. Finish anyway? Yes or no."
    assert "Adjustment of the gate latch: four steps not done" in store.events(job)[-1].open_points  # type: ignore[union-attr]


def test_a_timer_is_not_late_by_what_passed_before_the_clock_was_set_back_and_the_job_taken_up_again(
    play: Play,
) -> None:
    # Nothing was written between the timer's start and the end: only the time at the bench tells of the four minutes.
    play("yes", "next", "timer bath ten minutes", "~ four minutes")
    again = play("yes", "how long is left", at=MORNING - timedelta(hours=1))
    assert again.answers("how long is left") == ["Timer bath: six minutes."]
    assert [event.kind for event in again.events].count("clock set back") == 1


def test_a_timer_that_rang_is_told_again_at_once_after_the_clock_was_set_back_by_a_day(play: Play) -> None:
    # It was silent for a day.
    play("yes", "next", "timer bath one minute", "~ two minutes")
    again = play("yes", "~ one minute", at=MORNING - timedelta(days=1))
    assert "Timer bath: time is up. Say got it." in again.said or any(
        said.startswith("Timer bath: time is up, ") for said in again.said
    )


def test_a_wait_that_runs_is_told_as_what_is_left_and_one_that_is_over_not_at_all(play: Play) -> None:
    lacquer = "Step three. Put one drop of lacquer on the screw."
    played = play("go to step three", "start the timer", "stand by", "back at the bench", "~ ten minutes", "got it")
    assert played.answers("go to step three")[0].endswith(f"{lacquer} Wait ten minutes; say start the timer.")
    assert played.answers("back at the bench")[0].startswith(f"Back. {lacquer} Timer lacquer runs, ")
    assert play("yes", "go to step three").last == lacquer
