"""One of several jobs on the bench: what leaving it and coming back to it says, writes and leaves as it was."""

from __future__ import annotations

from datetime import timedelta

import pytest

from handsfree.bench.setting_up import session_of
from handsfree.guide.effects import Record, Say
from handsfree.guide.guide import Guide
from handsfree.job.events import Event, JobPaused, JobResumed
from handsfree.job.opening import opened_with
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded
from tests.support.played import MORNING


def guide_of(small: Loaded, *lines: str) -> Guide:
    guide = Guide(session_of(small.procedure))
    guide.open(opened_with(small, MORNING, item="Bench gauge"))
    for line in lines:
        say(guide, line)
    return guide


def say(guide: Guide, line: str) -> list[str]:
    words = tuple(line.split())
    meant = guide.session.language.interpret(words)
    assert meant, line
    effects = guide.hear(Utterance(words, Hearing.CLEAR, meant), MORNING)
    return [effect.text for effect in effects if isinstance(effect, Say)]


def recorded(effects: list[object]) -> list[type[Event]]:
    return [type(effect.event) for effect in effects if isinstance(effect, Record)]


def test_a_job_that_is_left_stands_aside_and_can_be_come_back_to(small: Loaded) -> None:
    guide = guide_of(small, "next", "timer bath ten minutes")
    left = guide.leave(MORNING)
    assert recorded([*left]) == [JobPaused]
    (said,) = [effect.text for effect in left if isinstance(effect, Say)]
    assert said.startswith("Bench gauge.")
    assert "Spring under load" in said and "timer bath runs on" in said.lower()
    back = guide.go_on(MORNING + timedelta(minutes=1))
    assert recorded([*back])[:1] == [JobResumed]
    said = " ".join(effect.text for effect in back if isinstance(effect, Say))
    assert said.startswith("Bench gauge.") and "Step two" in said
    assert say(guide, "where am i")


def test_a_job_that_is_come_back_to_for_the_first_time_needs_no_yes(small: Loaded) -> None:
    # It was left at another sitting: there it would be asked whether to go on.
    before = guide_of(small, "next")
    before.leave(MORNING)
    guide = Guide(session_of(small.procedure, before.session.state))
    said = " ".join(effect.text for effect in guide.go_on(MORNING) if isinstance(effect, Say))
    assert "Step two" in said and "Set the latch clearance." in said
    assert guide.session.question is None
    assert "four thou. In limits." in " ".join(say(guide, "log clearance four thou"))


def test_a_job_that_is_left_while_a_question_is_open_has_none_when_it_is_come_back_to(small: Loaded) -> None:
    guide = guide_of(small, "next", "log clearance nine thou")
    assert guide.session.question is not None
    guide.leave(MORNING)
    guide.go_on(MORNING)
    assert guide.session.question is None


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ((), ""),
        (("timer bath ten minutes",), "Bench gauge. Timer bath runs on and can't be heard."),
    ],
)
def test_what_runs_on_in_a_job_that_stands_aside_is_told_with_its_item(
    small: Loaded, lines: tuple[str, ...], told: str
) -> None:
    guide = guide_of(small, "go to step three", *lines)
    guide.leave(MORNING)
    assert guide.runs_on(MORNING) == told
