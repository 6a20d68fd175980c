"""What the counter and several items want by voice: a synthetic voice, the real ends of utterances and recogniser."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.job.counter.orders import orders_of
from handsfree.job.events import JobPaused
from handsfree.job.state import JobState, fold
from tests.support.spoken_lines import recording
from tests.support.workshop_day import Day

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("the spoken job")]

SAID = (
    "order two gib screws", "approved up to eighty pounds fifty by telephone", "go to the microscope",
    "left with it an eyepiece", "what waits for a check", "go to the gauge", "what is on order", "pause the job",
)  # fmt: skip


def test_orders_money_and_the_change_of_items_are_heard(tmp_path: Path) -> None:
    day = Day(tmp_path)
    gauge, _ = day.take_in("--item", "Bench gauge", "--serial", "114", "--owner", "Mill Lane")
    microscope, _ = day.take_in("--item", "Microscope", "--owner", "Harbour School", "--procedure", day.file("stage"))
    sound = recording(tmp_path / "day.wav", *SAID, pause=4.0)
    printed = day.do(
        "run", day.file("bench-gauge"), "--job", gauge, "--listen", str(sound), "--recogniser", "builtin",
        "--speak", "print", "--plain",
    )  # fmt: skip

    def state(job: str) -> JobState:
        return fold(day.store.events(job))

    # A phrase may be asked back, and nobody answers here: of three entries one may be missing, and none may be another.
    orders = [order.text for order in orders_of(state(gauge))]
    approved = [entry.text for entry in state(gauge).facts("approved")]
    left = [entry.text for entry in state(microscope).facts("accessory")]
    assert set(orders) <= {"2 gib screws"}, printed
    assert set(approved) <= {"80.50, by telephone"}, printed
    assert set(left) <= {"eyepiece"}, printed
    assert len(orders) + len(approved) + len(left) >= 2, printed
    assert orders_of(state(microscope)) == [] == state(gauge).facts("accessory")
    assert "heard go to the microscope" in " ".join(printed.split()), printed
    assert any(isinstance(event, JobPaused) for event in day.store.events(microscope))
