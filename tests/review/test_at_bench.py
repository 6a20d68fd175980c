"""The review by voice, point by point: what wants attention, then what else was logged."""

from __future__ import annotations

from handsfree.job.events import FactNoted, NoteKept, ProcedureTakenUp, StepDone
from handsfree.job.state import fold
from handsfree.procedure.model import Procedure
from handsfree.review.source import procedure_of
from handsfree.review.text.at_bench import grouped_points, review_at_bench
from tests.support.story import OPENED, at

STEPS = "".join(f"  - {{id: s{number}, do: Press it.}}\n" for number in range(1, 7))
TEXT = f"title: Latch\nitem: i\nrevision: 1\nsteps:\n{STEPS}"
LATCH = OPENED.model_copy(update={"procedure_text": TEXT, "procedure_name": "latch", "title": "Latch"})
CLEANING = ProcedureTakenUp(
    at=at(9), procedure_name="cleaning", title="Cleaning", revision="1", procedure_sha256="1",
    procedure_text=TEXT.replace("Latch", "Cleaning"),
)  # fmt: skip


def procedures() -> dict[str, Procedure]:
    cleaning = LATCH.model_copy(update={"procedure_text": CLEANING.procedure_text})
    return {"latch": procedure_of(LATCH), "cleaning": procedure_of(cleaning)}


def done(*numbers: int) -> list[StepDone]:
    return [StepDone(at=at(5), step=f"s{number}") for number in numbers]


def said(*events: object, of: tuple[str, ...] = ("latch",)) -> list[tuple[str, str]]:
    known = procedures()
    review = review_at_bench({name: known[name] for name in of}, fold([LATCH, *events]))  # type: ignore[list-item]
    return [(point.text, point.say) for point in review.points if "ot done" in point.say]


def test_a_few_steps_that_were_not_done_are_points_of_their_own() -> None:
    assert [text for text, _ in said(*done(1, 2, 3))] == [
        f"step {number}: not done: Press it." for number in ("four", "five", "six")
    ]
    assert said(*done(1, 2, 3))[0][1] == "Not done. Step four: Press it."


def test_many_steps_that_were_not_done_are_one_point() -> None:
    assert said(*done(1, 3)) == [("not done: steps 2, 4, 5, 6", "Not done. Four steps, the first is step two.")]


def test_the_one_point_of_many_steps_leads_to_the_first_of_them() -> None:
    found = [finding for finding, _ in grouped_points({"latch": procedures()["latch"]}, fold([LATCH, *done(1)]))]
    assert [(finding.number, finding.step) for finding in found if finding] == [(2, "s2")]


def test_in_a_job_of_several_procedures_the_point_says_of_which_they_are() -> None:
    points = said(*done(1), CLEANING, *done(1, 2), of=("latch", "cleaning"))
    assert points == [
        ("not done of Latch: steps 2, 3, 4, 5, 6", "Not done. Five steps of Latch, the first is step two."),
        ("not done of Cleaning: steps 3, 4, 5, 6", "Not done. Four steps of Cleaning, the first is step three."),
    ]


def test_what_wants_no_attention_is_gone_through_last() -> None:
    note = NoteKept(at=at(6), id="n1", step="s1", text="dull", seconds=1.0)
    told = FactNoted(at=at(6), id="f1", about="complaint", text="it sticks")
    points = review_at_bench({"latch": procedures()["latch"]}, fold([LATCH, told, *done(1), note])).points
    assert [(point.entry, point.logged) for point in points] == [(None, False), ("n1", False), ("f1", True)]


def test_the_steps_of_taking_apart_are_not_counted_as_work() -> None:
    # How much there is to take apart nobody knows.
    apart = CLEANING.model_copy(update={"apart": True})
    both = review_at_bench(procedures(), fold([LATCH, *done(1), apart, *done(1, 2)])).summary
    assert both == (
        "No figure and no check needs attention.",
        "One of six steps done, five not done.",
        "No figures logged.",
    )
    only = LATCH.model_copy(update={"purpose": "stripping"})
    alone = review_at_bench({"latch": procedures()["latch"]}, fold([only, *done(1)])).summary
    assert alone == ("Nothing is open.", "No figures logged.")
