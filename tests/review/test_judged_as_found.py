"""What was measured while taking apart is judged by a procedure of the same job, and the log stays as it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.procedure.file.loader import Loaded
from handsfree.review.judged_as_found import JudgedAsFound, judged_as_found
from handsfree.review.source import procedures_of
from tests.support.played import MORNING, played_out

SET = ("end of taking apart", "next", "log clearance four thou")


@pytest.fixture
def judged(small: Loaded, store: Store) -> Callable[..., list[JudgedAsFound]]:
    """What is made of the lines that were said while taking apart (and after it)."""

    def judge(*lines: str) -> list[JudgedAsFound]:
        made = ready(small, store, MORNING, new=True, changing_too=True)
        played_out(made, store, typed(("begin taking apart", *lines, "pause the job"), made.language), MORNING)
        state = fold(store.events(store.jobs()[0].id))
        return list(judged_as_found(procedures_of(state), state).values())

    return judge


@pytest.mark.parametrize(
    ("found", "decision", "beyond"),
    [
        ("latch clearance nine thou", "out of limits", "4 thou"),
        ("latch clearance four thou", "in limits", None),
        # The blades' U is a quarter of a thou: half their step.
        ("latch clearance five thou", "undecided", "0.0 thou"),
        ("stop gap nought point six millimetres", "out of limits", "0.1 mm"),
    ],
)
def test_a_figure_as_found_is_judged_by_the_limits_of_the_procedure(
    judged: Callable[..., list[JudgedAsFound]], found: str, decision: str, beyond: str | None
) -> None:
    (one,) = judged(found, *SET)
    assert (one.procedure, one.decision) == ("gate-latch", decision)
    assert one.beyond is None or one.beyond.split()[1] == str(beyond).split()[1]
    assert one.decision != "out of limits" or one.beyond == beyond


def test_what_no_procedure_measures_stays_without_a_verdict(judged: Callable[..., list[JudgedAsFound]]) -> None:
    assert [one.decision for one in judged("end play nine thou", "latch clearance four thou", *SET)] == ["in limits"]


def test_the_log_itself_keeps_the_figure_without_limits(
    judged: Callable[..., list[JudgedAsFound]], store: Store
) -> None:
    judged("latch clearance nine thou", *SET)
    events = store.events(store.jobs()[0].id)
    assert [e.decision for e in events if e.kind == "reading logged"] == ["no limits", "in limits"]
