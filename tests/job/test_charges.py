"""Time at the bench by person and procedure, and what is charged for it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.job.counter.bench_time import at_the_bench, by_person_and_procedure
from handsfree.job.counter.charges import agreed_amount, charges_of, in_hours, total_of
from handsfree.job.events import (
    Event,
    FactNoted,
    HandedOver,
    JobFinished,
    JobOpened,
    JobPaused,
    JobResumed,
    ProcedureTakenUp,
    StepEntered,
    WorkerChanged,
)
from handsfree.job.state import fold

AT = datetime(2026, 3, 2, 9, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return AT + timedelta(minutes=minutes)


def _opened(procedure: str = "") -> JobOpened:
    return JobOpened(
        at=AT, title=procedure, revision="1", procedure_sha256="0", procedure_text="x", procedure_name=procedure
    )


def _taken_up(minutes: float, name: str) -> ProcedureTakenUp:
    return ProcedureTakenUp(at=at(minutes), procedure_name=name, title=name, revision="1", procedure_sha256="0")


def _charge(text: str, amount: str, about: str = "charge") -> FactNoted:
    return FactNoted(at=at(1), id=f"c-{text}-{amount}", about=about, text=text, amount=amount)


DAY: list[Event] = [
    _opened(),
    FactNoted(at=at(5), id="e2", about="complaint", text="sticks"),
    JobResumed(at=at(1440)),
    WorkerChanged(at=at(1440), name="Jo Tern"),
    _taken_up(1440, "slide"),
    StepEntered(at=at(1440), step="a"),
    StepEntered(at=at(1470), step="b"),
    JobPaused(at=at(1500)),
    JobResumed(at=at(1600)),
    WorkerChanged(at=at(1600), name="T. Gable"),
    _taken_up(1610, "spindle"),
    StepEntered(at=at(1640), step="c"),
    JobFinished(at=at(1660)),
    HandedOver(at=at(5000)),
]


def test_time_is_that_of_each_person_with_each_procedure_without_counter_pauses_and_what_follows_the_end() -> None:
    minutes = {key: took / timedelta(minutes=1) for key, took in by_person_and_procedure(DAY).items()}
    assert minutes == {("Jo Tern", "slide"): 60, ("T. Gable", "slide"): 10, ("T. Gable", "spindle"): 50}
    assert at_the_bench(DAY) == timedelta(minutes=120)


def test_the_gap_of_a_crash_is_no_work() -> None:
    crashed = [
        _opened("slide"),
        StepEntered(at=at(0), step="a"),
        StepEntered(at=at(10), step="b"),
        JobResumed(at=at(600)),
    ]
    assert at_the_bench(crashed) == timedelta(minutes=10)


@given(
    st.lists(
        st.tuples(st.integers(-30, 600), st.sampled_from(["step", "pause", "resume", "worker", "end"])), max_size=30
    )
)
def test_all_stretches_together_are_never_more_than_the_time_that_went_by(told: list[tuple[int, str]]) -> None:
    events: list[Event] = [_opened("slide")]
    now, forward = 0, 0
    for minutes, kind in told:
        now, forward = now + minutes, forward + max(minutes, 0)
        events.append(
            {
                "step": StepEntered(at=at(now), step="a"),
                "pause": JobPaused(at=at(now)),
                "resume": JobResumed(at=at(now)),
                "worker": WorkerChanged(at=at(now), name="Jo"),
                "end": JobFinished(at=at(now)),
            }[kind]  # type: ignore[arg-type]
        )
    parts = by_person_and_procedure(events).values()
    assert timedelta() <= sum(parts, timedelta()) == at_the_bench(events) <= timedelta(minutes=forward)


def test_time_parts_and_fixed_prices_make_the_invoice_exactly() -> None:
    events = [*DAY, _charge("gib screws", "9.00"), _charge("clean and oil", "45")]
    lines = charges_of(fold(events), events, Decimal("59.50"), titles={"slide": "Focusing slide"})
    assert [(line.what, line.by, str(line.count), str(line.total)) for line in lines] == [
        ("time at the bench, Focusing slide", "Jo Tern", "1.00", "59.50"),
        ("time at the bench, Focusing slide", "T. Gable", "0.17", "10.12"),  # 0.17 x 59.50 = 10.115
        ("time at the bench, spindle", "T. Gable", "0.83", "49.39"),  # 0.83 x 59.50 = 49.385
        ("gib screws", None, "1", "9.00"),
        ("clean and oil", None, "1", "45.00"),
    ]
    assert total_of(lines) == Decimal("173.01")


def test_hours_may_be_given_and_time_without_a_price_has_no_total() -> None:
    state = fold(DAY)
    assert charges_of(state, DAY, Decimal(60), hours=Decimal(0)) == []
    (line,) = charges_of(state, DAY, None, hours=Decimal("1.5"))
    assert (line.count, line.total) == (Decimal("1.5"), None)
    assert total_of([line]) == 0


@pytest.mark.parametrize(
    ("seconds", "hours"), [(0, "0.00"), (17, "0.00"), (18, "0.01"), (3600, "1.00"), (5400, "1.50")]
)
def test_time_is_told_in_hundredths_of_an_hour(seconds: int, hours: str) -> None:
    # A hundredth of an hour is 36 seconds; half of one is rounded up.
    assert str(in_hours(timedelta(seconds=seconds))) == hours


def test_what_was_agreed_last_counts() -> None:
    assert agreed_amount(fold(DAY)) is None
    events = [*DAY, _charge("80", "80", "agreed"), _charge("120, by telephone", "120", "approved")]
    assert agreed_amount(fold(events)) == 120
    assert agreed_amount(fold([*events, _charge("100", "100", "agreed")])) == 100
