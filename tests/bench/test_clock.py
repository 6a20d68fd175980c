"""The clock of a session at the bench: even, whatever is done to the machine's own."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from handsfree.bench.loops import clock as module
from handsfree.bench.loops.clock import SteadyClock


def test_a_clock_set_back_in_the_middle_of_a_job_is_not_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = SteadyClock()
    before = clock()

    class SetBack(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return before - timedelta(hours=5)

    monkeypatch.setattr(module, "datetime", SetBack)
    assert timedelta() <= clock() - before < timedelta(minutes=5)
    assert SteadyClock()() < before - timedelta(hours=4)


def test_the_clock_counts_the_seconds_that_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    seconds = iter((100.0, 100.0, 163.5))
    monkeypatch.setattr(module, "_seconds", lambda: next(seconds))
    clock = SteadyClock()
    first = clock()
    assert clock() - first == timedelta(seconds=63.5)
    assert first.tzinfo is not None
