"""A small share of the faults, in every run of the tests: nothing silent, no traceback, nothing hangs."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.__main__ import run
from tests.faults.outcomes import Tally

SHARES = {
    "bytes": 0.005, "damages": 0.003, "archives": 0.01, "sounds": 0.05, "procedures": 0.02, "requests": 0.05,
    "vanished": 0.02, "disks": 0.05,
}  # fmt: skip


@pytest.mark.parametrize("part", SHARES)
def test_no_fault_is_silent_ends_in_a_traceback_or_hangs(tmp_path: Path, part: str) -> None:
    table = run((part,), tmp_path, SHARES[part], seed=7)
    if not any(tally.counts for tally in table.rows.values()):
        pytest.skip(table.remarks[0])
    assert table.bad == []


def test_what_is_silent_breaks_or_hangs_is_counted_as_that() -> None:
    tally = Tally("kind")

    def breaks() -> None:
        raise KeyError("x")

    tally.judged("a", lambda: "silent")
    tally.judged("b", breaks)  # type: ignore[arg-type]
    tally.judged("c", lambda: "told")
    assert [each.split(":")[0] for each in tally.bad] == ["silent", "traceback"]
    assert tally.counts["told"] == 1
