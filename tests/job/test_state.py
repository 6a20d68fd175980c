"""What stands of a job after its events, one kind after the other."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

import pytest

from handsfree.job.disassembly import figures_as_found, removals, taken_apart
from handsfree.job.events import (
    CheckAnswered,
    ClipsDeleted,
    ClockSetBack,
    EntryConfirmed,
    EntryWithdrawn,
    Event,
    FactNoted,
    JobFinished,
    JobOpened,
    JobPaused,
    JobReopened,
    JobResumed,
    MarkMade,
    NoteKept,
    OutcomeGiven,
    PartsCounted,
    PartsRemoved,
    ProcedureTakenUp,
    PutInTray,
    QuestionAnswered,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    TextTyped,
    TimerAcknowledged,
    TimerRang,
    TimerStarted,
    TimerStopped,
    WorkerChanged,
)
from handsfree.job.state import JobState, events_of, every_entry, fold
from handsfree.job.tally import Tally, tally, unreconciled

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
OPENED = JobOpened(
    at=AT, title="t", revision="1", procedure_sha256="0", procedure_text="title: t", procedure_name="first",
    item="micrometer", serial="0417",
)  # fmt: skip
SECOND = ProcedureTakenUp(
    at=AT, procedure_name="second", title="s", revision="2", procedure_sha256="1", procedure_text="title: s"
)
FIRST_AGAIN = SECOND.model_copy(update={"procedure_name": "first", "title": "t", "procedure_text": None})


def after(*events: Event) -> JobState:
    return fold([OPENED, *events])


def reading(id_: str, step: str = "a", characteristic: str = "end float", **slots: Any) -> ReadingLogged:
    usual = {"at": AT, "occasion": "as set", "value": "4", "unit": "thou", "as_said": "4 thou"}
    judged = {"decision": "in limits", "limits": "2 to 5 thou"}
    names = {"id": id_, "step": step, "characteristic": characteristic}
    return ReadingLogged.model_validate({**usual, **judged, **names, **slots})


def check(id_: str, step: str = "a", passed: bool = True) -> CheckAnswered:
    return CheckAnswered(at=AT, step=step, id=id_, question="Is it free?", passed=passed)


def note(id_: str, text: str = "worn", step: str = "a") -> NoteKept:
    return NoteKept(at=AT, step=step, id=id_, text=text, seconds=1.0)


def fact(id_: str, about: str, text: str, **slots: Any) -> FactNoted:
    return FactNoted.model_validate({"at": AT, "id": id_, "about": about, "text": text, **slots})


def parts(id_: str, count: int, way: str, part: str = "screw", **slots: Any) -> PartsCounted:
    return PartsCounted.model_validate({"at": AT, "id": id_, "part": part, "count": count, "way": way, **slots})


# Steps


def test_a_step_is_open_until_it_is_done_or_skipped() -> None:
    state = after(StepDone(at=AT, step="a"), StepSkipped(at=AT, step="b", reason="no gauge"))
    assert [state.status(step) for step in "abc"] == ["done", "skipped", "open"]
    assert state.reasons == {"b": "no gauge"}
    assert state.last_done == "a"


def test_a_skipped_step_that_is_done_later_has_no_reason_any_more() -> None:
    state = after(StepSkipped(at=AT, step="a", reason="no gauge"), StepDone(at=AT, step="a", missing=("no figure",)))
    assert (state.status("a"), state.reasons, state.missing) == ("done", {}, {"a": ("no figure",)})


def test_a_step_done_again_loses_what_was_missing_and_why_it_was_skipped() -> None:
    state = after(
        StepDone(at=AT, step="a", missing=("no figure",)),
        StepSkipped(at=AT, step="b", reason="no gauge"),
        StepRedone(at=AT, step="a", stale_steps=("a", "b")),
    )
    assert [state.status(step) for step in "ab"] == ["open", "open"]
    assert (state.missing, state.reasons) == ({}, {})


def test_only_figures_and_answers_of_the_steps_done_again_no_longer_stand() -> None:
    redone = StepRedone(at=AT, step="a", stale_steps=("a",))
    entries = (reading("r1"), check("c1"), note("n1"), reading("r2", "b"), check("c2", "b"))
    state = after(*entries, redone)
    assert {id_ for id_, entry in state.entries.items() if not entry.stands} == {"r1", "c1"}


def test_the_job_stands_at_the_step_that_was_entered_last() -> None:
    assert after(StepEntered(at=AT, step="a"), StepEntered(at=AT, step="b")).step == "b"


def test_what_an_answer_leaves_out_is_not_needed_unless_it_is_done_already() -> None:
    no = QuestionAnswered(at=AT, name="collar", question="Is there one?", answer="no", left_out=("a", "b"))
    state = after(StepDone(at=AT, step="a"), no)
    assert [state.status(step) for step in "abc"] == ["done", "not needed", "open"]
    yes = no.model_copy(update={"answer": "yes", "left_out": ()})
    state.apply(yes)
    assert state.status("b") == "open"
    assert state.answers == {"collar": "yes"}


def test_the_newest_answer_stands_last() -> None:
    def answered(name: str, answer: str) -> QuestionAnswered:
        return QuestionAnswered(at=AT, name=name, question="?", answer=answer)

    state = after(answered("collar", "no"), answered("pattern", "late"), answered("collar", "yes"))
    assert list(state.answers.items()) == [("pattern", "late"), ("collar", "yes")]


# Entries


def test_readings_of_a_step_are_those_of_its_characteristic_that_stand_oldest_first() -> None:
    state = after(reading("r1"), reading("r2"), reading("r3", "b"), reading("r4", "a", "play"), check("c1"))
    assert [entry.event.id for entry in state.readings("a", "end float")] == ["r1", "r2"]
    state.apply(EntryWithdrawn(at=AT, id="r1", why="taken back"))
    assert [entry.event.id for entry in state.readings("a", "end float")] == ["r2"]
    assert state.entries["r1"].withdrawn == "taken back"


def test_the_newest_answer_to_a_check_counts() -> None:
    state = after(check("c1"), check("c2", passed=False), check("c3", "b"))
    entry = state.check("a")
    assert entry is not None and entry.event.id == "c2"
    assert state.check("c") is None


def test_a_corrected_figure_gives_way_to_the_new_one() -> None:
    state = after(reading("r1"), reading("r2", corrects="r1"))
    assert state.entries["r1"].withdrawn == "corrected"
    assert [entry.event.id for entry in state.readings("a", "end float")] == ["r2"]


def test_a_figure_set_again_no_longer_stands_and_one_accepted_does() -> None:
    state = after(
        reading("r1"), reading("r2"), reading("r3"),
        OutcomeGiven(at=AT, id="r1", outcome="set again"),
        OutcomeGiven(at=AT, id="r2", outcome="accepted", reason="for show"),
        OutcomeGiven(at=AT, id="r3", outcome="left open"),
    )  # fmt: skip
    kept = {id_: (entry.stands, entry.outcome, entry.reason) for id_, entry in state.entries.items()}
    assert kept == {
        "r1": (False, "set again", None), "r2": (True, "accepted", "for show"), "r3": (True, "left open", None),
    }  # fmt: skip
    assert state.entries["r1"].withdrawn == "set again"


def test_only_figures_are_provisional_until_their_read_back_has_ended() -> None:
    state = after(reading("r1"), check("c1"), note("n1"), fact("f1", "owner", "Mrs Wren"))
    assert [entry.settled for entry in state.entries.values()] == [False, True, True, True]
    state.apply(ReadingSettled(at=AT, id="r1"))
    assert state.entries["r1"].settled


@pytest.mark.parametrize(
    "event",
    [
        ReadingSettled(at=AT, id="gone"),
        EntryWithdrawn(at=AT, id="gone", why="taken back"),
        OutcomeGiven(at=AT, id="gone", outcome="accepted"),
        TextTyped(at=AT, id="gone", text="x"),
        EntryConfirmed(at=AT, id="gone", point="x"),
        reading("r2", corrects="gone"),
        TimerStopped(at=AT, name="gone"),
        TimerAcknowledged(at=AT, name="gone"),
    ],
)
def test_an_event_about_what_is_not_there_does_no_harm(event: Event) -> None:
    state = after(reading("r1"), event)
    assert state.entries["r1"].stands
    assert state.count == 3


def test_what_somebody_typed_takes_the_place_of_what_was_understood() -> None:
    state = after(note("n1", "shim is bend"))
    assert (state.entries["n1"].text, state.entries["n1"].to_type) == ("shim is bend", True)
    state.apply(TextTyped(at=AT, id="n1", text="shim is bent"))
    assert (state.entries["n1"].text, state.entries["n1"].to_type) == ("shim is bent", False)


def test_only_notes_and_free_facts_that_stand_are_to_be_typed() -> None:
    state = after(
        note("n1"), note("n2"), fact("f1", "complaint", "sticks", to_type=True), fact("f2", "serial", "7"),
        reading("r1"), EntryWithdrawn(at=AT, id="n2", why="taken back"),
    )  # fmt: skip
    assert [id_ for id_, entry in state.entries.items() if entry.to_type] == ["n1", "f1"]


def test_what_was_let_stand_in_a_review_is_known_by_its_entry_and_by_its_words() -> None:
    later = AT + timedelta(minutes=5)
    state = after(reading("r1"), EntryConfirmed(at=later, id="r1", point="end float"),
                  EntryConfirmed(at=AT, point="not signed off"))  # fmt: skip
    assert state.entries["r1"].confirmed == later
    assert state.confirmed == {"end float": later, "not signed off": AT}


def test_the_last_entry_is_the_newest_that_stands() -> None:
    state = after(reading("r1"), reading("r2"), EntryWithdrawn(at=AT, id="r2", why="taken back"))
    last = state.last_entry()
    assert last is not None and last.event.id == "r1"
    assert after().last_entry() is None


def test_every_identifier_is_new() -> None:
    state = after()
    first = state.next_id
    state.apply(reading(first))
    assert state.next_id != first
    assert first == fold([OPENED]).next_id


# Facts and parts


def test_what_is_known_of_the_item_is_the_newest_fact_or_what_was_given_at_the_opening() -> None:
    state = after()
    assert (state.fact("item"), state.fact("serial"), state.fact("owner")) == ("micrometer", "0417", None)
    state.apply(fact("f1", "serial", "0471"))
    state.apply(fact("f2", "serial", "0474", corrects="f1"))
    assert state.fact("serial") == "0474"
    assert [entry.event.id for entry in state.facts("serial")] == ["f2"]
    state.apply(EntryWithdrawn(at=AT, id="f2", why="taken back"))
    assert state.fact("serial") == "0417"
    assert state.fact("complaint") is None


def test_parts_are_counted_by_kind_and_by_what_became_of_them() -> None:
    state = after(
        parts("p1", 8, "out"), parts("p2", 2, "out", "shim"), parts("p3", 5, "back"), parts("p4", 2, "back"),
        parts("p5", 1, "replaced"), parts("p6", 9, "out"), EntryWithdrawn(at=AT, id="p6", why="taken back"),
    )  # fmt: skip
    assert tally(state) == [Tally("screw", 8, 7, 1), Tally("shim", 2)]
    assert [each.still_out for each in tally(state)] == [0, 2]
    assert [each.part for each in unreconciled(state)] == ["shim"]


def test_more_parts_in_than_came_out_are_not_accounted_for_either() -> None:
    state = after(parts("p1", 2, "out"), parts("p2", 3, "back"))
    assert [each.still_out for each in unreconciled(state)] == [-1]


def test_parts_and_facts_stay_when_a_step_is_done_again() -> None:
    state = after(
        parts("p1", 2, "out", step="a"), fact("f1", "finding", "worn", step="a", severity="serious"),
        StepRedone(at=AT, step="a", stale_steps=("a",)),
    )  # fmt: skip
    assert all(entry.stands for entry in state.entries.values())


def test_what_came_off_and_the_figures_as_found_are_told_in_their_order() -> None:
    def off(id_: str, what: str) -> PartsRemoved:
        return PartsRemoved(at=AT, id=id_, sort="part", what=what)

    state = after(off("o1", "cover"), reading("r1"), off("o2", "spring"), off("o3", "collar"), reading("r2"),
                  EntryWithdrawn(at=AT, id="o2", why="taken back"),
                  EntryWithdrawn(at=AT, id="r1", why="taken back"))  # fmt: skip
    assert [event.what for event in removals(state)] == ["cover", "collar"]
    assert [event.id for event in figures_as_found(state)] == ["r2"]


def test_trays_are_known_by_what_lies_in_them() -> None:
    state = after(PutInTray(at=AT, tray=1, ids=("o1", "o2")), PutInTray(at=AT, tray=3, ids=("o2",)))
    assert state.trays == {"o1": 1, "o2": 3}
    assert state.last_trayed == ("o2",)


# Timers


STARTED = TimerStarted(at=AT, name="bath", seconds=600, step="a")


def test_a_timer_runs_to_its_end_unless_it_is_stopped() -> None:
    state = after(STARTED)
    assert (state.timers["bath"].ends, state.timers["bath"].step) == (AT + timedelta(minutes=10), "a")
    state.apply(TimerStopped(at=AT, name="bath"))
    assert (state.timers, state.ringing, state.waited) == ({}, {}, {})


def test_a_timer_rings_until_somebody_acknowledges_it() -> None:
    rang = AT + timedelta(minutes=10)
    state = after(STARTED, TimerRang(at=rang, name="bath"))
    assert state.timers == {}
    assert state.waited == {"bath": {"a": 600}}
    assert (state.ringing["bath"].since, state.ringing["bath"].step) == (rang, "a")
    state.apply(TimerAcknowledged(at=rang, name="bath"))
    assert (state.ringing, state.waited) == ({}, {"bath": {"a": 600}})


@pytest.mark.parametrize(
    "event",
    [STARTED, TimerStopped(at=AT, name="bath"), StepDone(at=AT, step="a"), JobFinished(at=AT)],
    ids=lambda event: event.kind,
)
def test_what_ends_the_ringing_of_a_timer(event: Event) -> None:
    assert "bath" not in after(STARTED, TimerRang(at=AT, name="bath"), event).ringing


@pytest.mark.parametrize(
    "event",
    [StepDone(at=AT, step="b"), TimerStopped(at=AT, name="other"), StepEntered(at=AT, step="b")],
    ids=lambda event: event.kind,
)
def test_what_does_not_end_it(event: Event) -> None:
    assert "bath" in after(STARTED, TimerRang(at=AT, name="bath"), event).ringing


def test_acknowledging_stops_no_timer_that_is_running() -> None:
    assert "bath" in after(STARTED, TimerAcknowledged(at=AT, name="bath")).timers


def test_a_step_done_again_waits_again() -> None:
    state = after(STARTED, TimerRang(at=AT, name="bath"), StepRedone(at=AT, step="b", stale_steps=("b",)))
    assert state.waited == {"bath": {"a": 600}}
    state.apply(StepRedone(at=AT, step="a", stale_steps=("a",)))
    assert state.waited == {}


def test_a_clock_set_back_leaves_a_timer_as_long_as_it_had() -> None:
    state = after(STARTED, ClockSetBack(at=AT, seconds=90))
    assert state.timers["bath"].ends == AT + timedelta(seconds=510)


# The job as a whole


def test_a_job_is_paused_and_resumed_finished_and_opened_again() -> None:
    state = after(JobPaused(at=AT))
    assert state.paused
    state.apply(JobResumed(at=AT))
    assert not state.paused
    end = AT + timedelta(hours=1)
    state.apply(JobFinished(at=end))
    assert state.finished == end == state.last
    again = JobReopened(at=end, reason="came back")
    state.apply(again)
    assert (state.finished, state.reopened) == (None, [again])


def test_sounds_that_were_deleted_are_remembered() -> None:
    assert after(ClipsDeleted(at=AT, clips=("ab" * 32, "cd" * 32), why="asked")).deleted_clips == {"ab" * 32, "cd" * 32}


def test_a_job_taken_in_works_no_procedure_yet() -> None:
    state = fold([OPENED.model_copy(update={"procedure_name": ""})])
    assert (state.working, state.procedures) == ("", {})
    state.apply(SECOND)
    assert (state.working, list(state.procedures)) == ("second", ["second"])


# Several procedures


def test_what_belongs_to_a_procedure_is_put_aside_with_it_and_taken_up_again() -> None:
    story = (StepEntered(at=AT, step="a"), StepDone(at=AT, step="a", missing=("no figure",)), reading("r1"),
             StepSkipped(at=AT, step="b", reason="later"),
             QuestionAnswered(at=AT, name="collar", question="?", answer="no", left_out=("c",)))  # fmt: skip
    alone = after(*story)
    away = after(*story, SECOND)
    assert (away.working, away.status("a"), away.status("c"), away.step) == ("second", "open", "open", None)
    assert (away.entries, away.answers, away.reasons, away.missing, away.last_done) == ({}, {}, {}, {}, None)
    back = after(*story, SECOND, StepDone(at=AT, step="x"), FIRST_AGAIN)
    for state in (back, away.of("first")):
        assert (state.working, state.step, state.last_done) == ("first", "a", "a")
        assert [state.status(step) for step in "abcx"] == ["done", "skipped", "not needed", "open"]
        assert (state.reasons, state.missing, state.answers) == (alone.reasons, alone.missing, alone.answers)
        assert list(state.entries) == ["r1"]
    assert back.of("second").status("x") == "done"
    # Asking for the one changes nothing of the other.
    assert (away.working, away.status("a")) == ("second", "open")
    assert back.of("first") is back


def test_facts_and_parts_belong_to_the_job_whichever_procedure_is_worked() -> None:
    state = after(fact("f1", "owner", "Mrs Wren"), note("n1"), parts("p1", 2, "out"), SECOND, note("n2"))
    assert list(state.entries) == ["f1", "p1", "n2"]
    assert list(state.of("first").entries) == ["f1", "n1", "p1"]
    assert [entry.event.id for entry in every_entry(state)] == ["f1", "n1", "p1", "n2"]
    assert (state.home_of("n1"), state.home_of("n2"), state.home_of("f1")) == ("first", "second", "second")
    entry = state.entry("n1")
    assert entry is not None and entry.text == "worn"
    assert state.entry("gone") is None
    assert state.entry(None) is None


def test_an_entry_of_another_procedure_can_be_taken_back() -> None:
    state = after(note("n1"), SECOND, EntryWithdrawn(at=AT, id="n1", why="taken back"))
    assert not state.of("first").entries["n1"].stands


def test_a_timer_that_rings_later_counts_where_it_was_started() -> None:
    state = after(STARTED, SECOND, TimerRang(at=AT, name="bath"))
    assert state.waited == {}
    assert state.of("first").waited == {"bath": {"a": 600}}


def test_the_text_of_a_procedure_is_that_with_which_it_came_first() -> None:
    state = after(SECOND, FIRST_AGAIN, SECOND.model_copy(update={"title": "other"}))
    assert [(name, each.title) for name, each in state.procedures.items()] == [("first", "t"), ("second", "s")]


def test_the_events_of_a_procedure_are_its_own_and_those_of_the_job() -> None:
    story: list[Event] = [
        OPENED, StepDone(at=AT, step="a"), note("n1"), fact("f1", "owner", "Mrs Wren", step="a"), SECOND,
        StepDone(at=AT, step="x"), parts("p1", 2, "out", step="x"), JobPaused(at=AT), FIRST_AGAIN, note("n2"),
    ]  # fmt: skip
    assert list(events_of(story, "first")) == [1, 2, 3, 4, 5, 7, 8, 9, 10]
    assert list(events_of(story, "second")) == [1, 4, 5, 6, 7, 8, 9]
    taken_in = [OPENED.model_copy(update={"procedure_name": ""}), note("n1"), *story[4:]]
    assert list(events_of(taken_in, "second"))[:3] == [1, 2, 3]


def test_a_procedure_that_is_taken_up_again_is_the_one_that_it_was() -> None:
    again = ProcedureTakenUp.again(SECOND, AT)
    said = {
        field: getattr(SECOND, field) for field in ("procedure_name", "title", "revision", "procedure_sha256", "apart")
    }
    assert {field: getattr(again, field) for field in said} == said
    assert again.procedure_text is None
    assert after(SECOND, FIRST_AGAIN, again).procedures["second"].procedure_text == SECOND.procedure_text


def test_each_entry_has_the_number_of_its_event_in_its_name() -> None:
    assert after().next_id == "e2"
    assert after(StepEntered(at=AT, step="a"), reading("e3")).next_id == "e4"


def _by(name: str | None) -> WorkerChanged:
    return WorkerChanged(at=AT, name=name)


def test_the_work_is_that_of_whoever_began_the_step_and_whoever_logged_what_stands_of_it() -> None:
    state = after(
        _by("Jo"), StepEntered(at=AT, step="a"), _by("Sam"), reading("r1"), reading("r2", "b"), _by(None),
        StepEntered(at=AT, step="c"), _by("Alex"), reading("r3", "c"), EntryWithdrawn(at=AT, id="r3", why="taken back"),
    )  # fmt: skip
    assert state.hands_at("a") == {"Jo", "Sam"}
    assert state.hands_at("b") == {"Sam"}
    assert state.hands_at("c") == {None}
    assert state.hands_at("d") == set()
    assert state.hands == {"Jo", "Sam", None}


def test_the_hands_of_a_job_are_those_of_all_its_procedures() -> None:
    state = after(
        _by("Jo"), StepEntered(at=AT, step="a"), SECOND, _by("Sam"), StepEntered(at=AT, step="a"),
        _by("Alex"), reading("r1"),
    )  # fmt: skip
    assert state.hands == {"Jo", "Sam", "Alex"}
    assert state.hands_at("a") == {"Sam", "Alex"}


def test_what_came_off_by_a_number_has_its_name_wherever_it_was_named_once_that_is_typed() -> None:
    off = [
        PartsRemoved(at=AT, id="p1", sort="part", what="part one"),
        PartsRemoved(at=AT, id="p2", sort="fastener", what="screw", count=2, place="part one"),
        PartsRemoved(at=AT, id="p3", sort="part", what="part one hundred", place="part one and part two"),
        MarkMade(at=AT, id="m1", what="mark", parts=("part one", "cover"), place="the left of part one"),
    ]
    state = after(*off, TextTyped(at=AT, id="p1", text="rocker"))
    named = {entry.event.id: entry.event for entry in state.every_entry.values()}
    assert (named["p1"].what, named["p2"].place) == ("rocker", "the rocker")
    assert (named["p3"].what, named["p3"].place) == ("part one hundred", "the rocker and part two")
    assert (named["m1"].parts, named["m1"].place) == (("rocker", "cover"), "the left of the rocker")
    assert named["p2"].what == "screw"
    later = PartsRemoved(at=AT, id="p4", sort="fastener", what="pin", place="part one")
    state = after(*off, TextTyped(at=AT, id="p1", text="rocker"), later)
    (told,) = [entry.event for entry in state.every_entry.values() if entry.event.id == "p4"]
    assert told.place == "the rocker"


def test_taking_apart_is_found_among_the_procedures_of_a_job() -> None:
    assert taken_apart(after(SECOND)) is None
    apart = SECOND.model_copy(update={"procedure_name": "apart", "apart": True})
    state = taken_apart(after(apart, reading("r1"), FIRST_AGAIN, reading("r2")))
    assert state is not None and state.working == "apart"
    assert [event.id for event in figures_as_found(state)] == ["r1"]
