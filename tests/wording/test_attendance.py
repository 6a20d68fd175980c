"""Why somebody may not check or sign what another has to."""

from __future__ import annotations

from handsfree.job.events import StepEntered, WorkerChanged
from handsfree.job.state import JobState, fold
from handsfree.wording.attendance import check_refused, sign_off_refused
from tests.support.story import OPENED, at, reading


def done_by(began: str | None, *, logged: str | None = "Ada", then: str | None) -> JobState:
    """The step "float", begun by the one, its figure logged by the other, with ``then`` at the bench afterwards."""
    return fold([
        OPENED,
        StepEntered(at=at(0), step="strip"),
        WorkerChanged(at=at(1), name=began),
        StepEntered(at=at(2), step="float"),
        WorkerChanged(at=at(3), name=logged),
        reading(4, "4 thou"),
        WorkerChanged(at=at(5), name=then),
    ])  # fmt: skip


def test_a_check_by_another_wants_a_name_that_did_not_do_the_step() -> None:
    assert check_refused(done_by("Ada", then="Bo"), "float") == ""
    assert check_refused(done_by("Ada", then="Ada"), "float") == "Ada did this step, so another has to check it."
    assert (
        check_refused(done_by("Ada", logged="Bo", then="Bo"), "float")
        == "Bo did this step, so another has to check it."
    )
    assert check_refused(done_by("Ada", then=None), "float") == "Say who checks first: this is, and the name."


def test_a_check_of_what_nobody_was_named_for_is_refused() -> None:
    unnamed = "Nobody was named for this step. Whoever did it: say this is, the name, and redo this step."
    assert check_refused(done_by(None, then="Bo"), "float") == unnamed
    assert check_refused(done_by("Ada", logged=None, then="Bo"), "float") == unnamed


def test_a_job_is_signed_by_somebody_who_did_not_work_on_it() -> None:
    state = done_by("Ada", then=None)
    assert sign_off_refused(state, "Bo") == ""
    assert sign_off_refused(state, "ADA") == "ADA worked on this job, so another has to sign it."
    assert sign_off_refused(state, None) == "Say who signs first: this is, and the name."
