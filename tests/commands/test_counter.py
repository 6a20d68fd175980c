"""The counter on the command line: taking in with all that is arranged, and handing over."""

from __future__ import annotations

import csv
import io
import re
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from handsfree.cli import main
from handsfree.job.events import JobFinished, JobOpened
from handsfree.job.log.numbers import typed_number
from handsfree.job.log.store import Store
from handsfree.job.state import JobState, fold
from handsfree.review.pages.job_sheet import qr_code


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


def test_a_job_of_which_nothing_was_told_says_how_to_tell_more(counter: Counter) -> None:
    assert counter.do("job", "new") == 0
    assert f"Nothing is known of it yet: handsfree job add {counter.store.jobs()[0].id} --item" in counter.out
    counter.take_in()
    assert "Nothing is known" not in counter.out


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


def test_a_hand_over_by_mistake_is_undone_whether_the_work_was_finished_or_not(counter: Counter) -> None:
    job = counter.take_in("--promised", "2026-12-04")
    assert counter.do("job", "reopen", job, "--reason", "x") == 2
    assert "not finished and not handed over" in counter.err
    counter.do("job", "hand-over", job)
    counter.do("jobs")
    assert "PROMISED" not in counter.out
    assert counter.do("job", "reopen", job, "--reason", "the wrong one was fetched") == 0, counter.err
    counter.do("jobs")
    assert "PROMISED (1)" in counter.out


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


def _day(ahead: int) -> str:
    return (datetime.now().astimezone().date() + timedelta(days=ahead)).isoformat()


def _finish(counter: Counter, job: str) -> None:
    with counter.store.resume(job) as log:
        log.append(JobFinished(at=log.events()[-1].at))


def test_in_the_morning_the_overdue_stand_first_and_what_waits_and_what_is_done_have_their_own_lists(
    counter: Counter,
) -> None:
    later = counter.take_in("--promised", _day(3), item="Lathe")
    overdue = counter.take_in("--promised", _day(-2), "--owner", "Mill Lane", item="Clock")
    today = counter.take_in("--promised", _day(0), item="Gauge")
    done = counter.take_in("--promised", _day(-1), "--contact", "0191 498 0143", item="Balance")
    _finish(counter, done)
    assert counter.do("job", "order", later, "gib screw", "--count", "2", "--size", "M2 x 5") == 0
    assert counter.do("jobs") == 0
    promised, waits, not_fetched, rest = counter.out.split("\n\n")
    assert [line.split()[0] for line in promised.splitlines()[1:]] == [overdue, today, later]
    assert [words in promised for words in ("overdue 2 days", "today", "in 3 days")] == [True] * 3
    assert waits.splitlines() == ["WAITS FOR PARTS (1)", f"{later}  2 gib screws, M2 × 5 (to order)  Lathe"]
    assert not_fetched.startswith("DONE, NOT FETCHED (1)") and "Balance, 0191 498 0143" in not_fetched
    assert rest.splitlines()[0].split() == ["job", "state", "steps", "last"]
    assert max(map(len, counter.out.splitlines())) <= 80
    counter.do("job", "hand-over", done)
    counter.do("jobs")
    assert "NOT FETCHED" not in counter.out and "fetched" in counter.out


def test_a_job_that_nobody_took_in_waits_for_nobody_to_fetch_it(counter: Counter) -> None:
    opened = JobOpened(
        at=datetime.now().astimezone(), title="Gauge", revision="1", procedure_sha256="0", procedure_text="x",
        procedure_name="gauge",
    )  # fmt: skip
    with counter.store.open_job(opened, 1) as log:
        log.append(JobFinished(at=opened.at))
    counter.do("jobs")
    assert "NOT FETCHED" not in counter.out


def test_long_names_fit_eighty_columns_and_all_lists_them_whole(counter: Counter) -> None:
    item = "Bench microscope with an uncommonly long description of its stand and its eyepieces"
    counter.take_in("--owner", "Somebody with a long name indeed", "--promised", _day(1), item=item)
    counter.do("jobs")
    assert max(map(len, counter.out.splitlines())) <= 80
    counter.do("jobs", "--all")
    assert item in counter.out


def test_parts_to_order_are_one_list_over_all_jobs_and_as_csv(counter: Counter) -> None:
    one, other = counter.take_in(item="Clock"), counter.take_in("--owner", "Mill Lane", item="Gauge")
    counter.do("job", "order", one, "spring")
    assert "One part to order" in counter.out
    counter.do("job", "order", other, "=SUM(A1)", "--count", "2", "--size", "M2 x 5")
    assert counter.do("job", "ordered", one, "e2") == 0
    assert counter.out == "Ordered: 1 spring\n"
    counter.do("orders")
    first, second = counter.out.splitlines()
    assert first.startswith("ordered") and first.endswith("1 spring (Clock)")
    assert second.endswith("2 =SUM(A1)s, M2 × 5 (Gauge, Mill Lane)")
    counter.do("orders", "--csv")
    rows = list(csv.DictReader(io.StringIO(counter.out)))
    assert [(row["job"], row["what"], row["count"], row["stage"]) for row in rows] == [
        (one, "spring", "1", "ordered"),
        (other, "'=SUM(A1)", "2", "to order"),
    ]
    counter.do("job", "arrived", one, "e2")
    counter.do("orders")
    assert "spring" not in counter.out
    counter.do("orders", "--all")
    assert "arrived" in counter.out
    assert counter.do("job", "arrived", one, "e9") == 2
    assert counter.do("job", "order", one, "screw", "--count", "0") == 2


def test_a_part_to_order_is_in_the_review_and_can_be_taken_back(counter: Counter) -> None:
    job = counter.take_in()
    counter.do("job", "order", job, "gib screw", "--count", "2")
    counter.do("review", job)
    assert "Part to order       [e2] 2 gib screws: to order" in counter.out
    assert counter.do("job", "take-back", job, "e2") == 0
    assert "To order: two gib screws" in counter.out
    counter.do("review", job, "--history")
    assert "taken back" in counter.out
    counter.do("jobs")
    assert "WAITS" not in counter.out


def test_the_sheet_has_what_was_arranged_and_a_code_that_a_scanner_reads_as_the_jobs_number(
    counter: Counter, tmp_path: Path
) -> None:
    job = counter.take_in(
        "--owner", "<b>Mill</b> Lane", "--contact", "0191 498 0143", "--agreed", "80", "--accessory", "case"
    )
    workshop = tmp_path / "workshop.yaml"
    workshop.write_text("terms: {name: 'Tern & Gable, instrument repairers', currency: EUR}", encoding="utf-8")
    to = tmp_path / "sheet.html"
    assert counter.do("sheet", job, "--to", str(to), "--workshop", str(workshop)) == 0
    page = to.read_text(encoding="utf-8")
    for text in ("Tern &amp; Gable", "&lt;b&gt;Mill&lt;/b&gt; Lane", "0191 498 0143", "80 EUR", "case", job):
        assert text in page
    assert "<script" not in page and "http:" not in page.replace("http://www.w3.org/2000/svg", "")


def test_the_code_on_the_label_is_read_by_another_program_as_the_jobs_number() -> None:
    zxingcpp = pytest.importorskip("zxingcpp", reason="zxing-cpp is needed to read a QR code")
    drawn = str(qr_code("2026-11-25-1"))
    (width,), (scaled,) = re.findall(r'width="(\d+)"', drawn), re.findall(r"scale\((\d+)\)", drawn)
    size, scale = int(width), int(scaled)
    modules = re.findall(r' d="([^"]+)"', drawn)[-1]
    picture = np.full((size, size), 255, np.uint8)
    x = y = 0.0
    # The path of the dark modules: moves and horizontal strokes, as SVG 2 has them.
    for command, numbers in re.findall(r"([Mmh])([-0-9. ]+)", modules):
        values = [float(each) for each in re.findall(r"-?[0-9.]+", numbers)]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        else:
            top = round((y - 0.5) * scale)
            picture[top : top + scale, round(x * scale) : round((x + values[0]) * scale)] = 0
            x += values[0]
    assert zxingcpp.read_barcode(picture).text == "2026-11-25-1"


@pytest.mark.parametrize("typed", ["{}\r", " {} ", "2026ß11ß25ß1", "2026'11'25'1"])
def test_a_number_from_a_scanner_is_taken_whatever_its_keyboard_makes_of_the_dashes(typed: str) -> None:
    assert typed_number(typed.format("2026-11-25-1")) == "2026-11-25-1"


@pytest.mark.parametrize("typed", ["2026-11-25", "20261125-1", "2026-11-25-1-2", "the lathe"])
def test_what_is_no_number_stays_what_it_is(typed: str) -> None:
    assert typed_number(typed) == typed


def test_a_job_is_found_by_a_scanners_typing(counter: Counter) -> None:
    job = counter.take_in()
    assert counter.do("job", "add", job.replace("-", "/") + "\n", "--finding", "worn") == 0
    assert counter.state(job).fact("finding") == "worn"


def test_taking_in_an_item_that_was_here_before_says_so_at_once(counter: Counter) -> None:
    first = counter.take_in("--serial", "114", "--owner", "Mill Lane", item="Clock")
    counter.take_in("--serial", "115", item="Clock")
    assert "Here before" not in counter.out
    counter.do("job", "hand-over", first)
    again = counter.take_in("--serial", "114", "--returns", first.replace("-", "/"), item="clock")
    assert counter.out.startswith(f"Here before: job {first}, ")
    assert "(not finished)" in counter.out
    assert counter.state(again).fact("returns") == first
    counter.take_in("--owner", "mill lane", item="clock")
    assert counter.out.startswith(f"Here before: job {first}, ")


def test_a_job_that_is_said_to_come_back_must_be_there(counter: Counter) -> None:
    assert counter.do("job", "new", "--item", "Clock", "--returns", "2020-01-01-1") == 2
    assert "there is no job '2020-01-01-1'" in counter.err
    assert counter.store.jobs() == []


@pytest.fixture
def terms(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "workshop.yaml"
    path.write_text("terms: {currency: EUR, hour: 60, fixed: {Clean and oil: 45}}", encoding="utf-8")
    monkeypatch.setattr("handsfree.bench.workshop.default_file", lambda: path)


@pytest.mark.usefixtures("terms")
def test_the_bill_has_parts_and_fixed_prices_and_says_what_is_beyond_the_agreement(counter: Counter) -> None:
    job = counter.take_in("--agreed", "50")
    assert counter.do("job", "add", job, "--charge", "gib screws 9.00", "--charge", "clean and OIL") == 0
    assert counter.do("job", "add", job, "--charge", "nothing that has a price") == 2
    assert "is no line of an invoice" in counter.err
    assert counter.do("bill", job, "--hours", "1.5") == 0
    *lines, total, warning = counter.out.splitlines()
    assert [line.split()[-1] for line in lines] == ["90.00", "9.00", "45.00"]
    assert total.split() == ["total", "144.00", "EUR"]
    assert warning == "This is more than was agreed: 50 EUR."
    assert max(map(len, counter.out.splitlines())) <= 80
    counter.do("job", "add", job, "--approved", "150 by telephone")
    counter.do("bill", job, "--hours", "1.5", "--csv")
    rows = list(csv.DictReader(io.StringIO(counter.out)))
    assert [(row["what"], row["count"], row["each"], row["total"], row["currency"]) for row in rows] == [
        ("time at the bench", "1.5", "60", "90.00", "EUR"),
        ("gib screws", "1", "9.00", "9.00", "EUR"),
        ("Clean and oil", "1", "45", "45.00", "EUR"),
    ]
    assert counter.do("bill", job, "--hours", "many") == 2


@pytest.mark.usefixtures("terms")
def test_a_charge_can_be_added_to_a_job_that_is_finished_and_a_finding_can_not(counter: Counter) -> None:
    job = counter.take_in()
    _finish(counter, job)
    assert counter.do("job", "add", job, "--charge", "postage 4.20") == 0
    assert counter.do("job", "add", job, "--finding", "worn") == 2
