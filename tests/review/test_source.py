"""The procedures of a job from its log alone; of one whose words are lost, what was done and measured by it."""

from __future__ import annotations

from typing import Any

import pytest

from handsfree.job.events import Event, FactNoted, JobOpened, StepDone, StepEntered
from handsfree.job.state import fold
from handsfree.procedure.model import Procedure
from handsfree.review.source import procedures_of
from tests.support.story import OPENED, at, reading

LOST = OPENED.model_copy(update={"procedure_text": "title: [broken"})
NAME = OPENED.procedure_name


def of(*events: Event, opened: JobOpened = LOST) -> Procedure | None:
    return procedures_of(fold([opened, *events])).get(NAME)


def test_a_procedure_whose_words_are_there_is_as_it_was_written() -> None:
    found = of(opened=OPENED)
    assert found is not None
    assert found.title == OPENED.title
    assert all("can't be read" not in step.act for step in found.steps)


def test_of_a_procedure_whose_words_are_lost_the_steps_and_what_was_measured_are_told() -> None:
    measured = reading(7, "4 thou")
    found = of(StepEntered(at=at(1), step="strip"), StepDone(at=at(5), step="strip"), measured)
    assert found is not None
    assert [step.id for step in found.steps] == ["strip", measured.step]
    assert found.steps[0].act == "strip (the words of this step can't be read)"
    assert [each.name for each in found.steps[1].characteristics] == [measured.characteristic]
    assert [each.unit for each in found.steps[1].characteristics] == [measured.unit]
    assert found.steps[0].characteristics == ()


def test_where_nothing_was_done_by_a_procedure_whose_words_are_lost_there_is_none() -> None:
    assert of() is None


@pytest.mark.parametrize(
    ("given", "title", "revision"),
    [
        ({}, OPENED.title, OPENED.revision),
        ({"title": ""}, NAME, OPENED.revision),
        ({"revision": ""}, OPENED.title, "not known"),
    ],
)
def test_it_is_called_by_what_the_log_has_of_its_head(given: dict[str, Any], title: str, revision: str) -> None:
    found = of(StepDone(at=at(5), step="strip"), opened=LOST.model_copy(update=given))
    assert found is not None
    assert (found.title, found.revision) == (f"{title} (its text can't be read)", revision)


def test_its_item_is_the_newest_that_is_known() -> None:
    done = StepDone(at=at(5), step="strip")
    other = FactNoted(at=at(6), id="f1", about="item", text="small micrometer")
    first, second = of(done), of(done, other)
    assert first is not None and second is not None
    assert (first.item, second.item) == (OPENED.item, "small micrometer")
    unknown = of(done, opened=LOST.model_copy(update={"item": None}))
    assert unknown is not None and unknown.item == "not known"


def test_what_can_not_have_been_asked_for_is_left_out_and_the_steps_stay() -> None:
    one = reading(7, "4 thou")
    # A spoken name is made of words only: such a one stands in a log that was damaged.
    found = of(one, one.model_copy(update={"id": "r9", "characteristic": "gap 2"}))
    assert found is not None
    assert [step.id for step in found.steps] == [one.step]
    assert [each.name for each in found.steps[0].characteristics] == [one.characteristic]


def test_where_what_was_measured_does_not_go_together_the_steps_are_told_without_it() -> None:
    # One name in two units at two steps: no procedure has that.
    one = reading(7, "4 thou")
    found = of(StepDone(at=at(5), step="strip"), one, one.model_copy(update={"id": "r9", "step": "cover", "unit": "V"}))
    assert found is not None
    assert [step.id for step in found.steps] == ["strip", one.step, "cover"]
    assert [step.characteristics for step in found.steps] == [(), (), ()]
