"""The record of a job, from which pages and exports are made: signature, materials, what became of each entry."""

from __future__ import annotations

import pytest

from handsfree.job.events import Event, FactNoted, JobFinished, StepDone, StepRedone
from handsfree.job.state import JobState, fold
from handsfree.review.record import record_of
from handsfree.review.record_lines import JobRecord
from handsfree.review.source import procedure_of
from tests.support.story import OPENED, STORY, TEXT, at, reading

OILED = TEXT.replace(
    "    do: Put the cover on.\n",
    "    do: Put the cover on.\n    lubricant: {which: thin oil, where: the screws, how much: one drop}\n",
)


def record(*events: Event, text: str = TEXT) -> JobRecord:
    opened = OPENED.model_copy(update={"procedure_text": text})
    story = [opened, *events]
    return record_of({OPENED.procedure_name: procedure_of(opened)}, fold(story), story, job="2026-11-25-1")


def test_a_signature_is_recorded_with_the_state_that_was_signed() -> None:
    signed = [StepDone(at=at(5), step="strip"), FactNoted(at=at(6), id="f1", about="signed off", text="Bo")]
    of_it = record(*signed).head.signed
    assert of_it is not None
    # The opening is event 1, the step 2, the signature 3.
    assert (of_it.name, of_it.at, of_it.event, of_it.stands) == ("Bo", at(6).isoformat(), 2, True)
    later = record(*signed, reading(7, "4 thou")).head.signed
    assert later is not None and not later.stands
    assert record().head.signed is None


def test_the_lubricants_of_finished_steps_are_the_materials_that_were_used() -> None:
    assert record(StepDone(at=at(5), step="strip"), text=OILED).materials == ()
    (line,) = record(StepDone(at=at(5), step="cover"), text=OILED).materials
    assert (line.step_number, line.step, line.what, line.where, line.how_much) == (
        3, "cover", "thin oil", "the screws", "one drop",
    )  # fmt: skip


def test_a_figure_that_its_redone_step_made_stale_no_longer_stands() -> None:
    redone = StepRedone(at=at(30), step="float", stale_steps=("float",))
    states = {line.id: line.state for line in record(reading(10, "4 thou"), redone).figures}
    assert states == {"r10": "no longer standing"}


def test_a_job_is_finished_paused_or_neither() -> None:
    assert record().head.state == "not finished"
    assert record(JobFinished(at=at(9))).head.state == "finished"
    assert record(*STORY).head.finished == at(160).isoformat()


def test_a_log_without_a_beginning_has_no_record() -> None:
    with pytest.raises(ValueError, match="job 2026-11-25-1 has no beginning"):
        record_of({}, JobState(), [], job="2026-11-25-1")
