"""The counter on the command line: taking in with all that is arranged, and handing over."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.log.store import Store
from handsfree.job.state import JobState, fold


class Counter:
    """Commands on one log; ``out`` and ``err`` are what the last one printed."""

    def __init__(self, store: Store, capsys: pytest.CaptureFixture[str]) -> None:
        self.store, self._capsys = store, capsys
        self.out = self.err = ""

    def do(self, *words: str) -> int:
        code = main([*words, "--logs", str(self.store.folder)])
        self.out, self.err = self._capsys.readouterr()
        return code

    def take_in(self, *options: str, item: str = "Bench gauge") -> str:
        assert self.do("job", "new", "--item", item, *options) == 0, self.err
        return self.store.jobs()[0].id

    def state(self, job: str) -> JobState:
        return fold(self.store.events(job))


@pytest.fixture
def counter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Counter:
    return Counter(Store(tmp_path / "logs"), capsys)


def test_everything_that_is_arranged_at_the_counter_is_given_in_one_command(counter: Counter) -> None:
    job = counter.take_in(
        "--owner", "Mill Lane", "--contact", "0191 498 0143", "--accessory", "case", "--accessory", "two leads",
        "--promised", "2026-12-04", "--agreed", "80", "--condition", "scratched", "--complaint", "sticks",
    )  # fmt: skip
    state = counter.state(job)
    assert [entry.text for entry in state.facts("accessory")] == ["case", "two leads"]
    assert [state.fact(name) for name in ("contact", "promised", "agreed")] == ["0191 498 0143", "2026-12-04", "80"]
    counter.do("review", job)
    for line in ("Promised day        ", "Friday 2026-12-04", "Price limit", "two leads", "0191 498 0143"):
        assert line in counter.out


def test_a_day_or_an_amount_that_is_none_is_refused_and_nothing_is_written(counter: Counter) -> None:
    assert counter.do("job", "new", "--item", "Clock", "--promised", "soonish") == 2
    assert '"soonish" is no day; write it like' in counter.err
    assert counter.do("job", "new", "--item", "Clock", "--agreed", "eighty-ish") == 2
    assert '"eighty-ish" is no amount' in counter.err
    assert counter.store.jobs() == []


def test_an_approval_is_kept_with_how_and_when_it_came(counter: Counter) -> None:
    job = counter.take_in("--agreed", "80")
    assert counter.do("job", "add", job, "--approved", "120.50 by telephone") == 0
    (approved,) = counter.state(job).facts("approved")
    assert (approved.text, getattr(approved.event, "amount", None)) == ("120.50, by telephone", "120.50")
    assert counter.state(job).fact("agreed") == "80"


def test_handing_over_asks_for_what_was_left_with_it(counter: Counter) -> None:
    job = counter.take_in("--accessory", "case", "--accessory", "key")
    assert counter.do("job", "hand-over", job) == 2
    assert "left with it: case, key; say --all-back, or --kept" in counter.err
    assert counter.do("job", "hand-over", job, "--kept", "key, owner forgot it") == 0
    assert "Its work is not finished" in counter.out and "Not given back: key" in counter.out
    handed = counter.state(job).handed_over
    assert handed is not None and handed.kept == "key, owner forgot it"
    assert counter.do("job", "hand-over", job, "--all-back") == 2
    assert "was handed over on" in counter.err


def test_a_job_that_is_opened_again_is_in_the_workshop_again(counter: Counter) -> None:
    job = counter.take_in()
    counter.do("job", "hand-over", job)
    with counter.store.resume(job) as log:
        from handsfree.job.events import JobFinished, JobReopened

        log.append(JobFinished(at=log.events()[-1].at))
        log.append(JobReopened(at=log.events()[-1].at, reason="sticks again"))
    assert counter.state(job).handed_over is None
