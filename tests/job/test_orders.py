"""Parts to order: wanted, ordered, arrived, taken back, corrected."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from handsfree.job.counter.orders import orders_of, part_text, waited_for
from handsfree.job.events import EntryWithdrawn, Event, JobOpened, PartFollowed, PartWanted
from handsfree.job.log.store import Store
from handsfree.job.state import fold

AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
OPENED = JobOpened(
    at=AT, title="", revision="", procedure_sha256="", procedure_text="", procedure_name="", item="Clock"
)


def _wanted(id_: str, what: str = "gib screw", count: int = 2, **more: str) -> PartWanted:
    return PartWanted(at=AT, id=id_, what=what, count=count, **more)


def test_parts_are_named_by_how_many_and_of_what_size() -> None:
    assert part_text("gib screw", 2, "M2 x 5") == "2 gib screws, M2 × 5"
    assert part_text("bush", 1, None) == "1 bush"
    assert part_text("battery", 3, None) == "3 batteries"


def test_a_corrected_order_replaces_the_one_before_and_one_that_was_taken_back_is_none() -> None:
    state = fold([OPENED, _wanted("e2"), _wanted("e3", count=4, corrects="e2"), _wanted("e4", "spring", 1)])
    assert [order.text for order in orders_of(state)] == ["4 gib screws", "1 spring"]
    state.apply(EntryWithdrawn(at=AT, id="e4"))
    assert [order.text for order in waited_for(state)] == ["4 gib screws"]


@given(st.lists(st.tuples(st.integers(0, 3), st.sampled_from(["ordered", "arrived"])), max_size=12))
def test_a_job_waits_exactly_for_what_was_not_said_to_have_arrived_last(followed: list[tuple[int, str]]) -> None:
    events: list[Event] = [OPENED, *(_wanted(f"e{n}") for n in range(4))]
    events += [PartFollowed(at=AT, id=f"e{n}", stage=stage) for n, stage in followed]  # type: ignore[arg-type]
    last = {f"e{n}": stage for n, stage in followed}
    assert {order.id for order in waited_for(fold(events))} == {f"e{n}" for n in range(4)} - {
        id_ for id_, stage in last.items() if stage == "arrived"
    }


def test_the_list_of_jobs_knows_what_each_waits_for_while_it_is_written_and_after(store: Store) -> None:
    with store.open_job(OPENED, 0) as log:
        log.append(_wanted("e2", size="M2 x 5"))
        assert [order.stage for order in store.jobs()[0].orders] == ["to order"]
        log.append(PartFollowed(at=AT + timedelta(days=1), id="e2", stage="ordered"))
        assert store.jobs()[0].waits
    for path in store.folder.glob("catalogue-*"):
        path.unlink()
    (job,) = store.jobs()
    assert [(order.text, order.stage, order.at) for order in job.orders] == [("2 gib screws, M2 × 5", "ordered", AT)]
