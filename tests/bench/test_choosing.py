"""Which of several unfinished jobs is meant: what can be said, and what is asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timezone

import pytest

from handsfree.bench.choosing import JobChoice
from handsfree.bench.loops.sources import typed_utterance
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.phrases.utterance import Hearing

AT = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)


def job(number: int, item: str, serial: str | None = None, owner: str | None = None) -> JobSummary:
    return JobSummary(
        id=f"2026-03-02-{number}", title="Cleaning", procedure="cleaning", item=item, serial=serial, owner=owner,
        opened=AT, last=AT, done=1, of=9, status="paused",
    )  # fmt: skip


JOBS = (
    job(4, "Small lathe, long bed", "A12", "Mrs Tarn"),
    job(3, "Bench gauge", "17", "Mill Lane"),
    job(1, "Bench gauge", "18", "Mill Lane"),
)


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("job one", "4"), ("number two", "3"), ("three", "1"), ("the lathe", "4"), ("small lathe", "4"),
        ("mrs tarn", "4"),
    ],
)  # fmt: skip
def test_a_job_is_chosen_by_its_number_or_by_what_only_it_has(said: str, number: str) -> None:
    choice = JobChoice(JOBS)
    assert choice.answered(typed_utterance(said, choice.language, "commands")) == f"2026-03-02-{number}"


@pytest.mark.parametrize("said", ["bench gauge", "mill lane", "job four", "next", "well, the lathe I suppose"])
def test_what_several_have_and_what_is_talk_chooses_nothing(said: str) -> None:
    choice = JobChoice(JOBS)
    assert choice.answered(typed_utterance(said, choice.language, "commands")) is None


def test_what_is_heard_doubtfully_or_asked_for_again_is_asked_again() -> None:
    choice = JobChoice(JOBS)
    doubtful = replace(typed_utterance("job one", choice.language, "commands"), hearing=Hearing.DOUBTFUL)
    assert choice.answered(doubtful) == ""
    assert choice.answered(typed_utterance("say again", choice.language, "commands")) == ""


def test_a_voice_that_always_sounds_strange_chooses_by_saying_it_twice() -> None:
    choice = JobChoice(JOBS)
    one, two = (
        replace(typed_utterance(said, choice.language, "commands"), hearing=Hearing.DOUBTFUL)
        for said in ("job one", "job two")
    )
    assert [choice.answered(heard) for heard in (one, two, one, one)] == ["", "", "", "2026-03-02-4"]


def test_the_question_tells_what_tells_the_jobs_apart() -> None:
    assert JobChoice(JOBS[:2]).prompt == (
        "Two jobs of this procedure are not finished. One, Small lathe, long bed, serial number alpha one two, owner "
        "Mrs Tarn. Two, Bench gauge, serial number one seven, owner Mill Lane. Which? Say job, and its number."
    )
    many = JobChoice([job(number, "Bench gauge", str(number)) for number in range(1, 9)])
    assert "Six, Bench gauge" in many.prompt
    assert "Seven," not in many.prompt
    assert "And two more jobs." in many.prompt
