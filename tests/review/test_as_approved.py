"""What is told of a job in which everything happens: word for word as it was read and found right."""

from __future__ import annotations

import time
from collections.abc import Iterator
from decimal import Decimal
from html.parser import HTMLParser

import pytest

from handsfree.job import events as kinds
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.counter.charges import Charge
from handsfree.job.disassembly import taken_apart
from handsfree.job.events import Event, OutcomeGiven, ProcedureTakenUp, StepDone
from handsfree.job.state import fold
from handsfree.review.exports import record_json, to_csv
from handsfree.review.history import past, past_jobs_text
from handsfree.review.pages.history import history_page
from handsfree.review.pages.job_sheet import job_sheet
from handsfree.review.pages.report import Integrity, report_page
from handsfree.review.record import record_of
from handsfree.review.source import procedures_of
from handsfree.review.text.at_bench import review_at_bench
from handsfree.review.text.closing import closing_lines
from handsfree.review.text.job_facts import corrections_text, entries_text, taken_in_text
from handsfree.review.text.spoken import spoken_review
from handsfree.review.text.taken_apart import stripping_text
from handsfree.review.text.whole import review_text
from handsfree.review.timeline import time_line
from handsfree.text.columns import WIDTH
from tests.support.approved import assert_approved
from tests.support.everything import EVERYTHING, OPENED, logged
from tests.support.put_back import PUT_BACK
from tests.support.story import at

JOB = "2026-11-25-1"
STATE = fold(EVERYTHING)
PROCEDURES = procedures_of(STATE)
RECORD = record_of(PROCEDURES, STATE, EVERYTHING, job=JOB)
BACK = fold(PUT_BACK)
BACK_PROCEDURES = procedures_of(BACK)


@pytest.fixture(autouse=True)
def greenwich(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Times are told as the clock on the wall has them: here that of Greenwich."""
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


class _Text(HTMLParser):
    """What can be read on a page, and the numbers and forms of its charts; a line for each piece."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []
        self._hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._hidden += tag in ("style", "script")
        # How the code is drawn is for its library, and that it can be read is tried elsewhere.
        if dict(attrs).get("class") != "qrline" and tag in (
            "rect",
            "line",
            "path",
            "circle",
            "text",
            "svg",
            "img",
            "audio",
            "source",
        ):
            told = " ".join(f"{name}={(value or '')[:60]}" for name, value in attrs)
            self.lines.append(f"<{tag} {told}>")

    def handle_endtag(self, tag: str) -> None:
        self._hidden -= tag in ("style", "script")

    def handle_data(self, data: str) -> None:
        words = " ".join(data.split())
        if words and not self._hidden:
            self.lines.append(words)


def readable(page: str) -> str:
    parser = _Text()
    parser.feed(page)
    return "\n".join(parser.lines) + "\n"


def test_every_kind_of_event_happens() -> None:
    every = {each for each in vars(kinds).values() if isinstance(each, type) and issubclass(each, kinds._Event)}
    told = {type(event) for event in EVERYTHING}
    assert every - told == {kinds._Event, kinds.PersonalForgotten}


def test_the_review() -> None:
    assert_approved("review.txt", review_text(PROCEDURES, STATE, EVERYTHING, job=JOB))


def test_the_last_lines_about_a_job() -> None:
    told = [closing_lines(PROCEDURES, STATE, job=JOB, figures=most) for most in (0, 1, 9)]
    assert_approved("closing.txt", "\n\n".join("\n".join(lines) for lines in told))


def test_the_review_by_voice() -> None:
    assert_approved("spoken.txt", "\n".join(spoken_review(PROCEDURES, STATE)))


def test_the_time_line() -> None:
    lines = [f"{each.seq} {each.procedure} {each.step} {each.kind}: {each.text}" for each in
             time_line(PROCEDURES, EVERYTHING)]  # fmt: skip
    assert_approved("time-line.txt", "\n".join(lines))


def test_what_was_corrected_the_entries_and_what_was_taken_in() -> None:
    texts = (corrections_text(STATE), entries_text(PROCEDURES, STATE), taken_in_text(STATE, JOB))
    assert_approved("entries.txt", "\n\n".join(texts))


def test_the_record_as_data() -> None:
    # The events themselves stand in it as they were written: that is looked at elsewhere.
    assert_approved("record.json", record_json(RECORD, []))
    assert_approved("record.csv", to_csv([RECORD]))


def test_the_report() -> None:
    page = report_page(
        RECORD,
        PROCEDURES,
        integrity=Integrity(("The log is whole.",), (("the log", "0" * 64),)),
        written_at=at(200),
        version="1",
        charges=[
            Charge(what="gib screws", each=Decimal("9.00")),
            Charge(what="work", by="Jo Tern", count=Decimal("1.5"), unit="h"),
        ],
        currency="pounds",
        say="Keep it dry.",
        sound=lambda clip: b"fLaC" if clip.startswith("1a2b") else None,
    )
    assert_approved("report.txt", readable(page))


@pytest.mark.parametrize(("left", "apart"), [(3, False), (4, False), (4, True)])
def test_the_report_of_a_job_that_was_hardly_begun(left: int, apart: bool) -> None:
    steps = "".join(f"  - {{id: s{number}, do: Do number {number}.}}\n" for number in range(left))
    text = f"title: Fitting\nitem: Bench gauge\nrevision: 1\nsteps:\n  - {{id: set, do: Set it.}}\n{steps}"
    out = {"decision": "out of limits", "beyond": "4 thou", "side": "high"}
    events: list[Event] = [
        OPENED.model_copy(update={"procedure_text": text, "title": "Fitting"}),
        StepDone(at=at(2), step="set"),
        logged(3, "9 thou", place="bore, front", **out),
        OutcomeGiven(at=at(3), id="r3", outcome="accepted", reason="within wear"),
        logged(4, "9 thou", step="s0", place="bore, back", **out),
        OutcomeGiven(at=at(4), id="r4", outcome="accepted", reason="within wear"),
        logged(5, "9 thou", characteristic="play", **out),
        OutcomeGiven(at=at(5), id="r5", outcome="left open"),
    ]
    if apart:
        events.append(
            ProcedureTakenUp(
                at=at(6), procedure_name="apart", title="Taking apart", revision="1", procedure_sha256="c" * 64,
                procedure_text="title: Taking apart\nitem: x\nrevision: 1\nsteps: [{id: strip, do: Take it.}]",
                steps=1, apart=True,
            )
        )  # fmt: skip
    state = fold(events)
    procedures = procedures_of(state)
    record = record_of(procedures, state, events, job=JOB)
    page = report_page(record, procedures, integrity=Integrity(), written_at=at(200), version="1")
    assert_approved(f"report-begun-{left}{'-apart' if apart else ''}.txt", readable(page))


def test_the_review_the_list_and_the_points_of_a_job_that_was_taken_apart_and_is_put_back() -> None:
    review = review_text(BACK_PROCEDURES, BACK, PUT_BACK, job=JOB)
    assert max(map(len, review.splitlines())) <= WIDTH
    assert_approved("put-back-review.txt", review)
    apart = taken_apart(BACK)
    assert apart is not None
    assert_approved("put-back-list.txt", stripping_text(apart, JOB))
    at_bench = review_at_bench(BACK_PROCEDURES, BACK)
    points = [f"{'logged' if each.logged else 'to look at'} ({each.entry}): {each.text} / {each.say}" for each in
              at_bench.points]  # fmt: skip
    assert_approved("put-back-points.txt", "\n".join([*at_bench.summary, "", *points]))
    texts = (corrections_text(BACK), entries_text(BACK_PROCEDURES, BACK))
    assert_approved("put-back-entries.txt", "\n\n".join(texts))


def test_the_record_and_the_report_of_a_job_that_was_taken_apart_and_is_put_back() -> None:
    record = record_of(BACK_PROCEDURES, BACK, PUT_BACK, job=JOB)
    assert_approved("put-back-record.json", record_json(record, []))
    page = report_page(
        record,
        BACK_PROCEDURES,
        integrity=Integrity(),
        written_at=at(200),
        version="1",
        picture=lambda sha256: b"\xff\xd8\xff\xe0",
    )
    assert_approved("put-back-report.txt", readable(page))


def test_the_sheet_at_the_counter() -> None:
    page = job_sheet(STATE, JOB, workshop="Tern & Gable", currency="pounds", written_at=at(200), version="1")
    assert_approved("sheet.txt", readable(page))


def summary(job: str, events: list[Event], *, finished: bool = True, serial: str | None = "A 12") -> JobSummary:
    return JobSummary(
        id=job, title="Setting of the gate latch", procedure="gate-latch", item="Bench gauge no. 7", serial=serial,
        owner="Mill Lane", opened=events[0].at, last=events[-1].at, done=4, of=5,
        status="finished" if finished else "open",
    )  # fmt: skip


def test_looking_back() -> None:
    jobs = [
        past(summary("2026-11-25-2", EVERYTHING, finished=False, serial=None), EVERYTHING[:40]),
        past(summary(JOB, EVERYTHING), EVERYTHING),
    ]
    assert_approved("history.txt", past_jobs_text("Earlier jobs", jobs))
    assert_approved(
        "history-page.txt", readable(history_page("Earlier jobs", jobs, 3, written_at=at(200), version="1"))
    )
