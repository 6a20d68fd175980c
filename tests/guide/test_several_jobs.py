"""One of several jobs on the bench: what leaving it and coming back to it says, writes and leaves as it was."""

from __future__ import annotations

from datetime import timedelta

import pytest

from handsfree.bench.setting_up import session_of
from handsfree.guide.effects import Say
from handsfree.guide.guide import Guide
from handsfree.guide.session import WorkedProcedure
from handsfree.guide.view.snapshot import other_item
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import JobPaused, JobResumed, ProcedureTakenUp
from handsfree.procedure.file.loader import Loaded
from handsfree.wording.attendance import WaitingCheck
from tests.support.conversation import Conversation, conversation
from tests.support.played import MORNING


def test_a_job_that_is_left_stands_aside_and_can_be_come_back_to(small: Loaded) -> None:
    talk = conversation(small, "next", "timer bath ten minutes", item="Bench gauge")
    (said,) = talk.happens(talk.guide.leave(MORNING))
    assert [type(event) for event in talk.written] == [JobPaused]
    assert said.startswith("Bench gauge.")
    assert "Spring under load" in said and "timer bath runs on" in said.lower()
    said = " ".join(talk.happens(talk.guide.go_on(MORNING + timedelta(minutes=1))))
    assert isinstance(talk.written[0], JobResumed)
    assert said.startswith("Bench gauge.") and "Step two" in said
    assert talk.say("where am i")


def test_a_job_that_is_come_back_to_for_the_first_time_needs_no_yes(small: Loaded) -> None:
    # It was left at another sitting: there it would be asked whether to go on.
    before = conversation(small, "next")
    before.guide.leave(MORNING)
    talk = Conversation(Guide(session_of(small.procedure, before.state)))
    said = " ".join(talk.happens(talk.guide.go_on(MORNING)))
    assert "Step two" in said and "Set the latch clearance." in said
    assert talk.session.question is None
    assert "four thou. In limits." in " ".join(talk.say("log clearance four thou"))


def test_a_job_that_is_left_while_a_question_is_open_has_none_when_it_is_come_back_to(small: Loaded) -> None:
    talk = conversation(small, "next", "log clearance nine thou")
    assert talk.session.question is not None
    talk.guide.leave(MORNING)
    talk.guide.go_on(MORNING)
    assert talk.session.question is None


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (("skip this step because not needed",), ""),
        (
            ("skip this step because not needed", "timer bath ten minutes"),
            "Bench gauge. Timer bath runs on and can't be heard.",
        ),
    ],
)
def test_what_runs_on_in_a_job_that_stands_aside_is_told_with_its_item(
    small: Loaded, lines: tuple[str, ...], told: str
) -> None:
    talk = conversation(small, *lines, item="Bench gauge")
    talk.guide.leave(MORNING)
    assert talk.guide.runs_on(MORNING) == told


@pytest.mark.parametrize(
    ("given", "lines", "item", "where"),
    [
        ({"item": "Bench gauge"}, (), "Bench gauge", "step 1 of 5"),
        ({"item": "Bench gauge", "serial": "A 12"}, ("next",), "Bench gauge, A 12", "step 2 of 5"),
        ({}, (), "Bench gauge, pattern C", "step 1 of 5"),
    ],
)
def test_a_job_that_stands_aside_is_shown_with_its_item_its_place_and_its_timers(
    small: Loaded, given: dict[str, str], lines: tuple[str, ...], item: str, where: str
) -> None:
    talk = conversation(small, *lines, "timer bath ten minutes", "timer lacquer five minutes", **given)
    shown = other_item(talk.guide, MORNING)
    assert (shown.item, shown.where) == (item, where)
    # The one that ends first is at the top.
    assert [(timer.name, timer.left) for timer in shown.timers] == [("lacquer", 300), ("bath", 600)]


def test_the_procedures_of_a_job_stand_in_the_order_in_which_they_were_worked_last(small: Loaded) -> None:
    session = conversation(small).session
    language = session.language
    for name in ("cleaning", "gate-latch", "proving"):
        session.change_to(name, WorkedProcedure(small.procedure, language))
        session.state.apply(
            ProcedureTakenUp(at=MORNING, procedure_name=name, title=name, revision="1", procedure_sha256="0", steps=5)
        )
    assert list(session.others) == ["cleaning", "gate-latch"]
    session.change_to("cleaning", WorkedProcedure(small.procedure, language))
    assert list(session.others) == ["gate-latch", "proving"]


def test_checks_that_other_jobs_wait_for_are_told_with_their_item_and_this_jobs_own_once(small: Loaded) -> None:
    talk = conversation(small)

    def job(number: int, item: str, minutes: int) -> JobSummary:
        opened = MORNING + timedelta(minutes=minutes)
        return JobSummary(
            id=f"2026-03-02-{number}", title="", procedure="gate-latch", item=item, serial=None, owner=None,
            opened=opened, last=opened, done=0, of=5, status="open",
        )  # fmt: skip

    waiting = WaitingCheck("gate-latch", "Adjustment", 5, "Let the spring down", "Jo Tern")
    talk.session.checks_of_open_jobs = lambda now: [
        (job(1, "this very one", 0), waiting), (job(2, "Small lathe", 5), waiting),
    ]  # fmt: skip
    assert talk.say("what waits for a check") == [
        "Waiting for a check. Job two, Small lathe, step five, Let the spring down, by Jo Tern."
    ]
    talk.session.checks_of_open_jobs = lambda now: [(job(n, "Small lathe", n), waiting) for n in range(1, 9)]
    (told,) = talk.say("what waits for a check")
    assert told.endswith(" And four more.") and told.count("Small lathe") == 4


def test_a_procedure_that_is_taken_up_again_says_first_what_still_stands_and_must_be_heard(small: Loaded) -> None:
    talk = conversation(small, "next")
    again = ProcedureTakenUp(
        at=MORNING, procedure_name="gate-latch", title="t", revision="1", procedure_sha256="0", steps=5
    )
    worked = WorkedProcedure(small.procedure, talk.session.language)
    (said,) = talk.happens(talk.guide.change(MORNING, again, worked))
    assert said.startswith("Danger stands since step one.") and "Step two. Set the latch clearance." in said
    assert [effect.must_hear for effect in talk.effects if isinstance(effect, Say)] == [True]
