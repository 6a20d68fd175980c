"""A job at the desk: what is told, typed, corrected, taken back, signed and reopened, as events alone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.setting_up import session_of
from handsfree.guide.desk import Desk
from handsfree.guide.errors import DeskError
from handsfree.guide.session import Session
from handsfree.job.events import (
    EntryWithdrawn,
    Event,
    FactNoted,
    FileAttached,
    HandedOver,
    JobFinished,
    NoteKept,
    PartFollowed,
    PartsCounted,
    PartsRemoved,
    PartWanted,
    ProcedureTakenUp,
    ReadingLogged,
    ReadingSettled,
    StepEntered,
    TextTyped,
    WorkerChanged,
)
from handsfree.job.facts import FACTS
from handsfree.job.opening import opened_with
from handsfree.job.state import events_of, fold
from handsfree.job.tally import tally
from handsfree.procedure.file.loader import Loaded
from handsfree.review.source import procedures_of
from tests.support.played import MORNING, Play


def desk_with(*events: Event) -> Desk:
    return Desk(fold(events), MORNING)


TAKEN_IN = opened_with(None, MORNING, item="Bench gauge", serial="114")


def test_a_job_taken_in_without_a_procedure_has_none_and_with_one_it_is_for_what_that_is_for(small: Loaded) -> None:
    assert (TAKEN_IN.procedure_name, TAKEN_IN.title, TAKEN_IN.item) == ("", "", "Bench gauge")
    opened = opened_with(small, MORNING, owner="Mill Lane")
    assert (opened.procedure_name, opened.item, opened.owner) == ("gate-latch", "Bench gauge, pattern C", "Mill Lane")
    assert (opened.procedure_text, opened.procedure_sha256) == (small.text, small.sha256)
    assert opened_with(small, MORNING, item="Bench gauge 7").item == "Bench gauge 7"


@pytest.mark.parametrize("about", ["item", "serial", "owner", "complaint", "signed off"])
def test_of_what_there_is_only_one_of_the_newest_stands(about: str) -> None:
    desk = desk_with(TAKEN_IN)
    desk.note_fact(about, " first ")  # type: ignore[arg-type]
    desk.note_fact(about, "second")  # type: ignore[arg-type]
    assert [entry.text for entry in desk.state.facts(about)] == ["second"]  # type: ignore[arg-type]
    assert [event.corrects for event in desk.events if isinstance(event, FactNoted)] == [None, "e2"]


@pytest.mark.parametrize("about", ["condition", "finding", "part replaced", "material", "for the owner"])
def test_of_what_there_can_be_several_of_all_stand(about: str) -> None:
    desk = desk_with(TAKEN_IN)
    desk.note_fact(about, "first")  # type: ignore[arg-type]
    desk.note_fact(about, "second")  # type: ignore[arg-type]
    assert [entry.text for entry in desk.state.facts(about)] == ["first", "second"]  # type: ignore[arg-type]


WRONG = {
    "promised": ("when it suits", "is no day; write it like 2026-03-02"),
    "agreed": ("a fair price", "is no amount; write it like 80"),
    "approved": ("as much as it takes", "is no amount; write it like 80"),
    "charge": ("gib screws", "is no line of an invoice; write what for, and then how much"),
}
RIGHT = {
    "promised": ("4 december", "2026-12-04", None),
    "agreed": ("80", "80", "80"),
    "approved": ("120.50 by telephone", "120.50, by telephone", "120.50"),
    "charge": ("gib screws 9.00", "gib screws", "9.00"),
}


@pytest.mark.parametrize("about", FACTS)
def test_a_fact_is_kept_as_it_is_typed_or_as_a_day_or_an_amount(about: str) -> None:
    desk = desk_with(TAKEN_IN)
    if about in WRONG:
        typed, told = WRONG[about]
        with pytest.raises(DeskError, match=told):
            desk.note_fact(about, typed)
    for empty in ("", "  "):
        with pytest.raises(DeskError, match="nothing in one of the texts"):
            desk.note_fact(about, empty)
    assert desk.events == []
    typed, text, amount = RIGHT.get(about, (" worn, and bent ", "worn, and bent", None))
    desk.note_fact(about, typed)
    (event,) = desk.events
    assert isinstance(event, FactNoted)
    assert (event.about, event.text, event.amount, event.at) == (about, text, amount, MORNING)


def test_a_finding_keeps_how_severe_it_is() -> None:
    desk = desk_with(TAKEN_IN)
    desk.note_fact("finding", "pivot oval", "unsafe")
    (finding,) = desk.state.facts("finding")
    assert getattr(finding.event, "severity", None) == "unsafe"


def test_a_note_that_is_written_needs_no_typing() -> None:
    desk = desk_with(TAKEN_IN)
    desk.keep_note("The pivot is worn.")
    (entry,) = desk.state.entries.values()
    assert (entry.text, entry.to_type) == ("The pivot is worn.", False)


def test_parts_are_counted_out_back_and_replaced() -> None:
    desk = desk_with(TAKEN_IN)
    desk.count_parts(8, "screw", "out")
    desk.count_parts(6, "screw", "back")
    desk.count_parts(1, "screw", "replaced")
    (screws,) = tally(desk.state)
    assert (screws.part, screws.still_out) == ("screw", 1)


def test_a_spoken_note_is_typed_and_stays_the_same_entry() -> None:
    desk = desk_with(TAKEN_IN, NoteKept(at=MORNING, id="e2", text="the pivot", seconds=3))
    assert desk.state.entries["e2"].to_type
    desk.type_text("e2", "The pivot is worn.")
    assert desk.events == [TextTyped(at=MORNING, id="e2", text="The pivot is worn.")]
    assert not desk.state.entries["e2"].to_type


def test_what_was_taken_back_does_not_stand_and_can_not_be_taken_back_again() -> None:
    desk = desk_with(TAKEN_IN)
    desk.keep_note("The pivot is worn.")
    desk.note_fact("owner", "Mill Lane")
    assert desk.take_back("e2") == "The note: The pivot is worn."
    written = len(desk.events)
    with pytest.raises(DeskError, match=r"no entry e2 stands in this job; the newest that do: e4 "):
        desk.take_back("e2")
    with pytest.raises(DeskError, match="no entry e99 stands"):
        desk.type_text("e99", "x")
    assert len(desk.events) == written


def test_a_job_is_opened_again_only_when_it_is_finished() -> None:
    desk = desk_with(TAKEN_IN)
    with pytest.raises(DeskError, match="not finished"):
        desk.reopen("came back")
    desk = desk_with(TAKEN_IN, JobFinished(at=MORNING))
    desk.reopen("came back")
    assert desk.state.finished is None
    assert [each.reason for each in desk.state.reopened] == ["came back"]


def test_a_text_without_words_is_refused() -> None:
    desk = desk_with(TAKEN_IN, JobFinished(at=MORNING))
    for deed in (desk.sign_off, desk.keep_note, desk.reopen, lambda text: desk.note_fact("complaint", text)):
        with pytest.raises(DeskError, match="nothing in one of the texts"):
            deed(" ")
    assert desk.events == []


def test_a_job_is_signed_off_by_name_and_another_name_replaces_it() -> None:
    desk = desk_with(TAKEN_IN)
    desk.sign_off("T. Gable")
    desk.sign_off("M. Tern")
    assert desk.state.fact("signed off") == "M. Tern"


def test_who_signs_at_the_desk_does_not_stay_the_one_at_work() -> None:
    desk = desk_with(TAKEN_IN)
    desk.sign_off("T. Gable")
    desk.keep_note("Collected by the carrier.")
    assert desk.state.worker is None
    assert [entry.by for entry in desk.state.entries.values() if isinstance(entry.event, NoteKept)] == [None]


DEEDS = st.sampled_from(["complaint", "finding", "note", "count", "sign", "take back", "type"])


@given(st.lists(DEEDS, max_size=20))
def test_the_state_at_the_desk_is_what_its_events_give_and_no_name_comes_twice(deeds: list[str]) -> None:
    desk = desk_with(TAKEN_IN)
    for deed in deeds:
        newest = desk.state.last_entry()
        if deed == "note":
            desk.keep_note(deed)
        elif deed == "count":
            desk.count_parts(2, "nut", "out")
        elif deed == "sign":
            desk.sign_off("T. Gable")
        elif deed in ("complaint", "finding"):
            desk.note_fact(deed, deed)  # type: ignore[arg-type]
        elif newest is not None and deed == "take back":
            desk.take_back(newest.event.id)
        elif newest is not None and isinstance(newest.event, (NoteKept, FactNoted)):
            desk.type_text(newest.event.id, "typed")
    assert fold([TAKEN_IN, *desk.events]) == desk.state
    ids = [event.id for event in desk.events if isinstance(event, (NoteKept, FactNoted, PartsCounted))]
    assert len(ids) == len(set(ids))


# Figures: of the procedure being worked, and of another one of the job.
CLEANING = "title: Cleaning\nitem: x\nrevision: 1\nsteps:\n  - {id: load, do: Brush the latch.}\n"


def figure_desk(events: list[Event]) -> tuple[Desk, str]:
    desk = desk_with(*events)
    reading = next(event for event in events if isinstance(event, ReadingLogged))
    return desk, reading.id


def guides(desk: Desk) -> Session:
    return session_of(procedures_of(desk.state)["gate-latch"], desk.state)


def test_a_corrected_figure_is_judged_anew_read_back_and_stands(play: Play) -> None:
    # Whatever step the job stands at by now.
    desk, wrong = figure_desk(play("next", "log clearance nine thou", "leave open", "next", "yes").events)
    said = desk.correct(wrong, "four and a half thou", lambda _: guides(desk))
    assert said == "Corrected. Latch clearance, four and a half thou. In limits."
    (entry,) = desk.state.readings("set", "latch clearance")
    assert isinstance(entry.event, ReadingLogged)
    assert (entry.event.decision, entry.event.corrects, entry.settled) == ("in limits", wrong, True)
    assert [(type(event), event.step) for event in desk.events] == [(ReadingLogged, "set"), (ReadingSettled, "set")]


@pytest.mark.parametrize(
    ("figure", "told"), [("soon", "is no figure as it would be said"), ("four mils", "can mean two things")]
)
def test_a_figure_that_is_none_or_would_be_asked_back_is_not_written(play: Play, figure: str, told: str) -> None:
    desk, wrong = figure_desk(play("next", "log clearance nine thou", "leave open").events)
    with pytest.raises(DeskError, match=told):
        desk.correct(wrong, figure, lambda _: guides(desk))
    assert desk.events == []


def test_what_is_no_figure_is_not_corrected_and_a_figure_is_not_typed(play: Play) -> None:
    desk, figure = figure_desk(play("next", "log clearance four thou", "note", "worn", "end of note").events)
    note = next(entry for entry in desk.state.entries.values() if isinstance(entry.event, NoteKept))
    with pytest.raises(DeskError, match="is no figure: The note"):
        desk.correct(note.event.id, "four thou", lambda _: guides(desk))
    with pytest.raises(DeskError, match="is no note and no fact"):
        desk.type_text(figure, "four")


def test_a_figure_of_another_procedure_is_corrected_where_it_belongs(play: Play) -> None:
    events = play("next", "log clearance four thou").events
    other = ProcedureTakenUp(
        at=MORNING,
        procedure_name="cleaning",
        title="Cleaning",
        revision="1",
        procedure_sha256="",
        procedure_text=CLEANING,
    )
    desk, wrong = figure_desk([*events, other])
    asked: list[str] = []

    def session_for(name: str) -> Session:
        asked.append(name)
        return guides(desk)

    desk.correct(wrong, "three and a half thou", session_for)
    assert asked == ["gate-latch"]
    assert desk.state.working == "cleaning"
    there = [each for each in desk.state.of("gate-latch").entries.values() if isinstance(each.event, ReadingLogged)]
    assert [(each.withdrawn, each.settled) for each in there] == [("corrected", True), (None, True)]
    its_own = events_of([*events, other, *desk.events], "cleaning").values()
    assert not any(isinstance(event, (ReadingLogged, ReadingSettled)) for event in its_own)


def test_a_part_is_ordered_and_followed_by_the_name_of_its_entry() -> None:
    desk = desk_with(TAKEN_IN)
    wanted = desk.order(" gib screw ", 2, "M2 x 5")
    assert [event.kind for event in desk.events] == ["part wanted"]
    order = desk.events[0]
    assert isinstance(order, PartWanted)
    assert (order.id, order.what, order.count, order.size, order.at) == (wanted, "gib screw", 2, "M2 x 5", MORNING)
    for stage in ("ordered", "arrived"):
        assert "gib screws" in desk.follow_order(wanted, stage)  # type: ignore[arg-type]
    assert [(event.id, event.stage) for event in desk.events if isinstance(event, PartFollowed)] == [
        (wanted, "ordered"), (wanted, "arrived"),
    ]  # fmt: skip
    with pytest.raises(DeskError, match="nothing in one of the texts"):
        desk.order("  ", 1, None)
    desk.keep_note("worn")
    with pytest.raises(DeskError, match="is no part to order"):
        desk.follow_order(desk.state.last_entry().event.id, "ordered")  # type: ignore[union-attr]


def test_a_file_belongs_to_the_job_or_to_an_entry_that_is_there() -> None:
    desk = desk_with(TAKEN_IN)
    told: dict[str, Any] = {"name": "pawl.jpg", "sha256": "e" * 64, "size": 12, "shown_as": None, "text": "the crack"}
    whole = desk.attach(to=None, **told)
    event = desk.events[0]
    assert isinstance(event, FileAttached)
    assert (event.id, event.name, event.sha256, event.bytes, event.to, event.text) == (
        whole, "pawl.jpg", "e" * 64, 12, None, "the crack",
    )  # fmt: skip
    assert desk.attach(to=whole, **told)
    with pytest.raises(DeskError, match="no entry e99 stands"):
        desk.attach(to="e99", **told)
    assert len(desk.events) == 2


DAY = MORNING + timedelta(days=1)
SPOKEN = (
    NoteKept(at=MORNING, id="e2", text="the pivot", seconds=3),
    FactNoted(at=MORNING, id="e3", about="complaint", text="it sticks", to_type=True),
    FactNoted(at=MORNING, id="e4", about="owner", text="ML"),
    FactNoted(at=MORNING, id="e5", about="accessory", text="case"),
    PartsRemoved(at=MORNING, id="e6", sort="part", what="part one", step="strip"),
    NoteKept(at=MORNING, id="e7", text="the little crank", seconds=2, names="part two"),
    PartWanted(at=MORNING, id="e8", what="spring", step="strip"),
)
"""What a job at the bench has left: its next entry is e10, whoever was at the bench."""
DONE: dict[str, tuple[Callable[[Desk], object], list[Event]]] = {
    "a note": (
        lambda desk: desk.keep_note("Worn."),
        [NoteKept(at=DAY, id="e10", text="Worn.", seconds=0.0), TextTyped(at=DAY, id="e10", text="Worn.")],
    ),
    "a fact": (
        lambda desk: desk.note_fact("finding", " bent ", "serious"),
        [FactNoted(at=DAY, id="e10", about="finding", text="bent", severity="serious")],
    ),
    "another owner": (
        lambda desk: desk.note_fact("owner", "Mill Lane"),
        [FactNoted(at=DAY, id="e10", about="owner", text="Mill Lane", corrects="e4")],
    ),
    "an amount": (
        lambda desk: desk.note_fact("agreed", "80 by telephone"),
        [FactNoted(at=DAY, id="e10", about="agreed", text="80, by telephone", amount="80")],
    ),
    "parts counted": (
        lambda desk: desk.count_parts(2, "screw", "back"),
        [PartsCounted(at=DAY, id="e10", part="screw", count=2, way="back")],
    ),
    "a note typed": (lambda desk: desk.type_text("e2", " Worn. "), [TextTyped(at=DAY, id="e2", text=" Worn. ")]),
    "a fact typed": (lambda desk: desk.type_text("e3", "Sticks."), [TextTyped(at=DAY, id="e3", text="Sticks.")]),
    "what is personal, typed: a fact of its own, which can be forgotten": (
        lambda desk: desk.type_text("e4", "Mill Lane"),
        [FactNoted(at=DAY, id="e10", about="owner", text="Mill Lane", corrects="e4")],
    ),
    "what came off, named as a thing is": (
        lambda desk: desk.type_text("e6", "The little crank"), [TextTyped(at=DAY, id="e6", text="little crank")],
    ),
    "a note that names, likewise": (
        lambda desk: desk.type_text("e7", "The crank"), [TextTyped(at=DAY, id="e7", text="crank")],
    ),
    "taken back, at its step": (
        lambda desk: desk.take_back("e6"), [EntryWithdrawn(at=DAY, id="e6", step="strip")],
    ),
    "a part ordered": (
        lambda desk: desk.follow_order("e8", "ordered"), [PartFollowed(at=DAY, id="e8", stage="ordered")],
    ),
    "signed off": (
        lambda desk: desk.sign_off(" Al Gable "),
        [
            WorkerChanged(at=DAY, name="Al Gable"), FactNoted(at=DAY, id="e11", about="signed off", text="Al Gable"),
            WorkerChanged(at=DAY),
        ],
    ),
    "handed over, with all that was left with it": (
        lambda desk: desk.hand_over(), [HandedOver(at=DAY, given_back=("e5",))],
    ),
    "handed over, but for something": (
        lambda desk: desk.hand_over("the case"), [HandedOver(at=DAY, kept="the case")],
    ),
}  # fmt: skip


def desk_on_another_day(worker: str | None) -> Desk:
    return Desk(fold([TAKEN_IN, WorkerChanged(at=MORNING, name=worker), *SPOKEN]), DAY)


@pytest.mark.parametrize("deed", DONE)
def test_what_is_done_at_the_desk_is_written_as_it_is_and_as_nobodys_at_the_bench(deed: str) -> None:
    do, written = DONE[deed]
    desk = desk_on_another_day(None)
    do(desk)
    assert desk.events == written
    # Whoever was left at the bench by a crash has not done it: that is said once.
    left = desk_on_another_day("Jo Tern")
    do(left)
    nobody = [] if isinstance(written[0], WorkerChanged) else [WorkerChanged(at=DAY)]
    assert left.events == [*nobody, *written]


@pytest.mark.parametrize(
    ("do", "told"),
    [
        (lambda desk: desk.take_back("e99"), "no entry e99 stands in this job; the newest that do: "
         "e3, e4, e5, e6, e7, e8, e9, e10 (handsfree review --entries)"),
        (lambda desk: desk.type_text("e8", "x"),
         "entry e8 is no note and no fact; to change a figure use handsfree job correct"),
        (lambda desk: desk.type_text("e2", " "), "there is nothing in one of the texts; nothing was written"),
        (lambda desk: desk.follow_order("e2", "ordered"), "entry e2 is no part to order: The note, the pivot."),
        (lambda desk: desk.correct("e2", "4 thou", lambda _: pytest.fail("asked for")),
         "entry e2 is no figure: The note, the pivot."),
        (lambda desk: desk.reopen("came back"),
         "the job is not finished and not handed over: it needs no opening again"),
        (lambda desk: desk.note_fact("promised", "soon"),
         '"soon" is no day; write it like 2026-03-03, "4 december" or friday'),
        (lambda desk: desk.sign_off("Jo Tern"), "Jo Tern worked on this job, so another has to sign it"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_at_the_desk_is_told_and_writes_nothing(do: Callable[[Desk], object], told: str) -> None:
    desk = desk_on_another_day("Jo Tern")
    desk.by_another = True
    desk.state.apply(StepEntered(at=MORNING, step="strip"))
    for id_ in ("e9", "e10"):
        desk.state.apply(PartsCounted(at=MORNING, id=id_, part="screw", count=1, way="out"))
    with pytest.raises(DeskError) as error:
        do(desk)
    assert str(error.value) == told
    assert desk.events == []


def test_a_job_is_handed_over_once_and_can_be_opened_again() -> None:
    desk = desk_with(TAKEN_IN)
    desk.hand_over()
    with pytest.raises(DeskError, match="the item was handed over on 2026-03-02"):
        desk.hand_over()
    desk.reopen("came back")
    assert [event.kind for event in desk.events] == ["handed over", "job reopened"]
    assert desk.state.handed_over is None


def test_where_nobody_has_to_be_another_whoever_did_the_work_signs() -> None:
    desk = desk_on_another_day("Jo Tern")
    desk.state.apply(StepEntered(at=MORNING, step="strip"))
    desk.sign_off("Jo Tern")
    assert desk.state.fact("signed off") == "Jo Tern"
