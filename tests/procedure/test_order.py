"""Orders that can not work are found in the file, with their place."""

from __future__ import annotations

import pytest

from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.file.problems import ProcedureError

HEAD = "title: t\nitem: i\nrevision: 1\nquestions: {collar: {ask: Is there one?}}\nsteps:\n"


def problems(*steps: str) -> list[str]:
    text = HEAD + "".join(f"  - {{id: s{number}, do: x, {step}}}\n" for number, step in enumerate(steps, 1))
    try:
        parse_procedure(text.encode(), "p.yaml")
    except ProcedureError as error:
        return [str(each).removeprefix("p.yaml:") for each in error.problems]
    return []


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (("needs: s2", "why: y"), '6:28: "needs": "s2" is a later step; put it before this one'),
        (("needs: s9",), '6:28: "needs": there is no step "s9"; steps are s1'),
        (("needs: s1",), '6:28: "needs": "s1" is this step itself; take it out'),
        (
            ("needs: s2", "needs: s1"),
            "6:28: these steps can't be put in any order: step 2 needs step 1; step 1 needs step 2; take one of these out",  # noqa: E501
        ),
        (
            ("traps: pinion", "works on: the pinion"),
            '7:31: "works on": the pinion is shut in by step 1; put this step before that one, or let a step between '
            "them say that it frees the pinion",
        ),
        (
            ("blocks: hole", "gets at: hole"),
            '7:30: "gets at": the hole is blocked by step 1; put this step before that one, or let a step between them '
            "say that it opens the hole",
        ),
        (
            ("works on: pinion, traps: spring", "works on: spring, traps: pinion"),
            "6:46: these steps can't be put in any order: step 2 shuts in the pinion of step 1; step 1 shuts in the "
            "spring of step 2; take one of these out",
        ),
        (
            ("works on: pinion", "frees: pinion"),
            '6:31: "works on": the pinion is out of reach until step 2 frees it; put this step after that one',
        ),
        (
            ("works on: pinion", "traps: pinion, works on: spring", "works on: pinion"),
            '8:31: "works on": the pinion is shut in by step 2; put this step before that one, or let a step between '
            "them say that it frees the pinion",
        ),
        # Shut in twice it is told once, and by the step that did it first.
        (
            ("traps: pinion", "traps: pinion", "works on: pinion"),
            '8:31: "works on": the pinion is shut in by step 1; put this step before that one, or let a step between '
            "them say that it frees the pinion",
        ),
        # Freed and shut in again.
        (
            ("traps: pinion", "frees: pinion", "traps: pinion", "works on: pinion"),
            '9:31: "works on": the pinion is shut in by step 3; put this step before that one, or let a step between '
            "them say that it frees the pinion",
        ),
        (
            ("needs: s3", "needs: s1", "needs: s2"),
            "6:28: these steps can't be put in any order: step 2 needs step 1; step 3 needs step 2; step 1 needs step "
            "3; take one of these out",
        ),
        (
            ("works on: pinion, needs: s2", "traps: pinion"),
            "6:46: these steps can't be put in any order: step 2 shuts in the pinion of step 1; step 1 needs step 2; "
            "take one of these out",
        ),
        (
            ("gets at: hole, blocks: slot", "gets at: slot, blocks: hole"),
            "6:44: these steps can't be put in any order: step 2 blocks the hole of step 1; step 1 blocks the slot of "
            "step 2; take one of these out",
        ),
        (
            ("meets: top",),
            '6:28: "meets": no step makes the mark "top"; put it under "marks" of the step that makes it',
        ),
        (
            ("meets: top", "marks: {name: top, where: across}"),
            '6:28: "meets": the mark "top" is made in step 2 only; make it before',
        ),
    ],
)
def test_an_order_that_can_not_work_is_told_at_its_place(steps: tuple[str, ...], says: str) -> None:
    assert problems(*steps) == [says]


@pytest.mark.parametrize(
    "steps",
    [
        ("works on: pinion", "traps: pinion"),
        ("traps: pinion", "frees: pinion", "works on: pinion"),
        ("traps: pinion, only if: {collar: yes}", "works on: pinion, only if: {collar: no}"),
        ("works on: pinion, traps: pinion",),
        ("why: y", "needs: s1", "needs: [s1, s2]"),
        ("gets at: hole", "blocks: hole", "opens: hole", "gets at: hole"),
        ("frees: pinion", "works on: pinion", "traps: pinion"),
        # Two of which only one comes about, whichever is first.
        ("works on: pinion, only if: {collar: yes}", "traps: pinion, needs: s1, only if: {collar: no}"),
        ("marks: {name: top, where: across}", "meets: top"),
    ],
)
def test_an_order_that_works_is_left_in_peace(steps: tuple[str, ...]) -> None:
    assert problems(*steps) == []
