"""Looking back over jobs: by command, as a page, and by voice at the bench."""

from __future__ import annotations

import io
import re
import sys
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import html5lib
import pytest

from handsfree.cli import main
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import (
    EntryWithdrawn,
    FactNoted,
    JobFinished,
    JobOpened,
    NoteKept,
    OutcomeGiven,
    ProcedureTakenUp,
    ReadingLogged,
)
from handsfree.job.log.store import Store
from handsfree.job.readings import LoggedReading
from handsfree.job.state import Entry
from handsfree.review.history import Past, bounds_of, bounds_shown, job_heading, limits_shown, past, trends
from handsfree.review.pages.charts import Bounds
from tests.support.played import MORNING, SMALL, Play
from tests.support.story import OPENED, reading

AT = datetime(2026, 2, 1, 9, 0, tzinfo=timezone.utc)


def keep(
    store: Store, figure: str, *, days: int = 0, name: str = "latch clearance", note: str = "", **opened: str
) -> str:
    """A finished job with one figure as left."""
    at = AT + timedelta(days=days)
    usual = {"procedure_name": "gate-latch", "item": "Bench gauge, pattern C", "procedure_text": SMALL}
    beginning = OPENED.model_copy(update={"at": at, "serial": None, "owner": None, **usual, **opened})
    with store.open_job(beginning, steps=5) as log:
        slots = {"at": at, "step": "prove", "characteristic": name, "occasion": "as left", "limits": "3 to 5 thou"}
        log.append(reading(1, f"{figure} thou", value=figure, **slots))
        if note:
            log.append(NoteKept(at=at, id="n1", step="prove", text=note, seconds=3.0))
        log.append(JobFinished(at=at))
        return log.job


def test_what_was_arranged_with_the_owner_is_no_part_of_a_history(store: Store) -> None:
    told = {"contact": "0191 498 0143", "agreed": "80", "promised": "2026-12-04", "accessory": "key"}
    keep(store, "3.5")
    (job,) = store.jobs()
    with store.resume(job.id) as log:
        for number, (about, text) in enumerate({**told, "complaint": "it sticks"}.items()):
            log.append(FactNoted(at=AT, id=f"f{number}", about=about, text=text))
    assert past(job, store.events(job.id)).notes == ("complaint: it sticks",)


# by voice


def test_what_was_set_last_time_is_told_at_the_bench(play: Play, store: Store) -> None:
    keep(store, "3.5")
    keep(store, "4.5", days=8)
    assert MORNING.date() - (AT + timedelta(days=8)).date() == timedelta(days=21)
    played = play("next", "what did i set last time")
    (said,) = played.answers("what did i set last time")
    assert said == (
        "Three weeks ago, the same kind of item: latch clearance, as left, four point five thou. In limits."
    )


def test_it_changes_nothing_and_may_be_asked_for_by_name_from_anywhere(play: Play, store: Store) -> None:
    keep(store, "4")
    played = play("what was clearance last time", "last time stop gap", "last time")
    assert "latch clearance, as left, four thou" in played.answers("what was clearance last time")[0]
    assert played.answers("last time stop gap") == ["No earlier figure for stop gap."]
    assert "Nothing is measured at this step" in played.answers("last time")[0]
    assert [event.kind for event in played.events] == ["job opened", "step entered"]


def test_another_item_worked_by_the_same_procedure_is_called_so(play: Play, store: Store) -> None:
    keep(store, "4", item="Great gauge")
    assert "the same work on another item" in play("next", "last time").last


def test_what_was_taken_back_was_not_set(play: Play, store: Store) -> None:
    with store.resume(keep(store, "4")) as log:
        log.append(EntryWithdrawn(at=AT, id="r1"))
    assert play("next", "last time").last == "No earlier figure for latch clearance."


def test_this_very_item_comes_before_a_newer_one_of_its_kind(
    store: Store, procedure: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    keep(store, "3.5", serial="A 12")
    keep(store, "4.5", days=3, serial="B 7")
    monkeypatch.setattr(sys, "stdin", io.StringIO("next\nlast time\n"))
    options = ["--listen", "typed", "--speak", "print", "--logs", str(store.folder), "--serial", "A 12"]
    assert main(["run", str(procedure), *options]) == 0
    out = re.sub(r"\s+", " ", capsys.readouterr().out)
    assert "this one: latch clearance, as left, three point five thou" in out


# by command


def history(store: Store, *more: str) -> int:
    return main(["history", *more, "--logs", str(store.folder)])


@pytest.mark.parametrize("what", ["Bench gauge, pattern c", "A 12", "latch clearance"])
def test_an_item_a_serial_number_or_a_characteristic_is_found_by_its_name(
    store: Store, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    mine = keep(store, "4.25", serial="A 12", note="pivot worn")
    keep(store, "9", name="stop gap", item="Great gauge", serial="B 7")
    assert history(store, what) == 0
    out = capsys.readouterr().out
    assert mine in out
    assert re.search(r"latch clearance +as left +4\.25 thou +3 to 5 thou +in limits", out)
    assert "Great gauge" not in out
    assert ("pivot worn" in out) == (what != "latch clearance")


def test_every_procedure_of_a_job_is_named_and_every_note_says_what_it_is(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    beginning = OPENED.model_copy(update={"procedure_name": "gate-latch", "serial": "A 12", "procedure_text": SMALL})
    with store.open_job(beginning, steps=5) as log:
        log.append(FactNoted(at=AT, id="f1", about="finding", severity="serious", text="pivot worn"))
        taken_up = {"title": "Cleaning of the latch", "revision": "1", "procedure_sha256": "0" * 64}
        log.append(ProcedureTakenUp(at=AT, procedure_name="latch-cleaning", procedure_text=SMALL, steps=5, **taken_up))
        log.append(NoteKept(at=AT, id="n1", step="prove", text="all dry", seconds=3.0))
    assert history(store, "A 12") == 0
    out = " ".join(capsys.readouterr().out.split())
    assert f"{beginning.title}, Cleaning of the latch (not finished)" in out
    assert "serious finding: pivot worn note: all dry" in out


def test_a_name_that_nothing_has_is_told(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    keep(store, "4")
    assert history(store, "zork") == 2
    assert 'is called "zork"' in capsys.readouterr().err


def test_the_newest_jobs_come_first_and_how_many_are_left_out_is_said(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    jobs = [keep(store, "4", days=day) for day in range(4)]
    assert history(store, "--most", "2") == 0
    out = capsys.readouterr().out
    assert out.index(jobs[3]) < out.index(jobs[2])
    assert jobs[1] not in out
    assert "2 older jobs are not shown" in out


def test_the_page_has_a_chart_over_the_jobs_and_is_whole(store: Store, tmp_path: Path) -> None:
    for day, figure in enumerate(("4", "4.5", "5.5")):
        keep(store, figure, days=day, note="<b>worn</b>", serial="<7>")
    out = tmp_path / "h.html"
    assert history(store, "latch clearance", "--to", str(out)) == 0
    text = out.read_text(encoding="utf-8")
    _, chart = text.split('role="img"')
    assert len(re.findall("<title>2026-02-[^<]*, as left: [^<]*</title>", chart)) == 3
    assert "<h3>Latch clearance, 3 to 5 thou</h3>" in text
    assert re.search(r'<title id="trend-1-title">Latch clearance, 3 to 5 thou, over jobs</title>', text)
    assert "5.5 thou" in chart
    assert "<b>worn" not in text
    assert not re.search(r"https?:", text)
    html5lib.HTMLParser(strict=True).parse(text)


def test_a_trend_is_drawn_in_one_unit_with_the_limits_of_the_newest() -> None:
    def job(number: int, value: str, unit: str, limits: str) -> object:
        opened = JobOpened.model_validate({**OPENED.model_dump(), "at": AT + timedelta(days=number)})
        event = ReadingLogged.model_validate(
            {**reading(1, f"{value} {unit}", value=value, unit=unit, limits=limits).model_dump(), "at": opened.at}
        )
        from handsfree.job.state import fold

        events = [opened, event, OutcomeGiven(at=opened.at, id="r1", outcome="left open")]
        state = fold(events)
        assert state.last is not None
        return past(
            JobSummary(
                id=f"j{number}",
                title="t",
                procedure="p",
                item=None,
                serial=None,
                owner=None,
                opened=opened.at,
                last=state.last,
                done=0,
                of=1,
                status="open",
            ),
            events,
        )

    newest_first = [job(2, "4", "thou", "3 to 5 thou"), job(1, "0.127", "mm", "none")]
    (trend,) = trends(newest_first)  # type: ignore[arg-type]
    # 0.127 mm is five thou: an inch is 25.4 mm exactly (international agreement of 1959).
    assert [float(mark.value) for mark in trend.marks] == [5.0, 4.0]
    assert [mark.when for mark in trend.marks] == ["j1", "j2"]
    assert (trend.bounds.limits.low, trend.bounds.limits.high) == (3, 5)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("1.5 to 3 thou", "1.5", "3"), ("at most 2 mm", None, "2"), ("at least -1", "-1", None), ("none", None, None),
     ("about so", None, None)],
)  # fmt: skip
def test_limits_are_read_back_from_how_they_were_shown(text: str, low: str | None, high: str | None) -> None:
    found = limits_shown(text)
    assert tuple(figure.text if figure else None for figure in found) == (low, high)


def test_what_was_told_of_the_item_is_part_of_its_history(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    from handsfree.job.events import FactNoted

    with store.resume(keep(store, "4", serial="A 12")) as log:
        log.append(FactNoted(at=AT, id="f1", about="finding", text="gib cracked", severity="serious"))
    assert history(store, "A 12") == 0
    assert "serious finding: gib cracked" in capsys.readouterr().out


def test_limits_in_hundredths_are_drawn_where_readings_in_hundredths_are() -> None:
    event = reading(1, "0.03 mm", value="3", unit="hundredth mm", limits="0.02 to 0.05 mm", uncertainty="0.005 mm")
    shown = bounds_shown(LoggedReading(event, Entry(event, "micrometer", number=2)))
    assert (shown.limits.low, shown.limits.high, shown.limits.uncertainty) == (2, 5, Fraction(1, 2))
    assert (shown.low, shown.high) == ("0.02", "0.05")


def test_a_reading_without_limits_is_drawn_without_any_and_says_so() -> None:
    event = reading(1, "40.1 mm", unit="mm", limits="none", decision="no limits")
    assert bounds_shown(LoggedReading(event, Entry(event, "micrometer", number=2))) == Bounds(text="none", unit="mm")


@pytest.mark.parametrize(
    ("limits", "unit", "low", "high"),
    [
        ("0.02 to 0.05 mm", "thou", "100/127", "250/127"),
        ("at least 1", "mm", "1", None),
        ("at most 2 thou", "thou", None, "2"),
    ],
)
def test_limits_are_drawn_in_the_unit_of_the_readings(
    limits: str, unit: str, low: str | None, high: str | None
) -> None:
    # An inch is 25.4 mm exactly (international agreement of 1959), so 0.02 mm is 100/127 thou.
    drawn = bounds_of(limits, unit, None)
    assert (drawn.limits.low, drawn.limits.high) == (low and Fraction(low), high and Fraction(high))
    assert (drawn.text, drawn.unit, drawn.limits.uncertainty) == (limits, unit, 0)


def test_limits_that_a_damaged_log_has_in_another_kind_of_unit_are_told_and_not_drawn() -> None:
    assert bounds_of("2 to 5 V", "thou", None) == Bounds(text="2 to 5 V", unit="thou")


def test_a_reading_that_can_not_be_drawn_beside_the_others_is_left_out_of_the_trend() -> None:
    def job(number: int, *readings: ReadingLogged) -> Past:
        opened = JobSummary(
            id=f"j{number}", title="t", procedure="p", item=None, serial=None, owner=None, opened=AT, last=AT, done=0,
            of=1, status="open",
        )  # fmt: skip
        return Past(opened, tuple(LoggedReading(each, Entry(each, "p", number=2)) for each in readings), ())

    good, volts = reading(1, "4 thou"), reading(2, "4 V", unit="V")
    (trend,) = trends([job(2, good), job(1, volts)])
    assert [mark.when for mark in trend.marks] == ["j2"]
    # One job alone has no trend, nor have two that measured at different places.
    assert trends([job(1, good, good)]) == []
    assert trends([job(2, good), job(1, reading(3, "4 thou", place="back"))]) == []
    (named,) = trends([job(n, reading(3, "4 thou", place="back")) for n in (2, 1)])
    assert named.name == "end float, back"


def test_of_a_characteristic_that_was_asked_for_nothing_else_is_told(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    with store.resume(keep(store, "4")) as log:
        log.append(reading(2, "0.3 mm", characteristic="stop gap", unit="mm", value="0.3", step="prove"))
    assert history(store, "LATCH clearance") == 0
    out = capsys.readouterr().out
    assert "4 thou" in out
    assert "stop gap" not in out


def test_a_job_whose_procedures_are_not_known_is_headed_by_its_own_title() -> None:
    job = JobSummary(
        id="j1", title="Overhaul", procedure="p", item="Great gauge", serial="7", owner=None, opened=AT, last=AT,
        done=0, of=1, status="open",
    )  # fmt: skip
    assert job_heading(Past(job, (), ())) == "j1  Great gauge, serial 7, Overhaul (not finished)"
    assert job_heading(Past(job, (), (), ("Cleaning", "Oiling"))) == (
        "j1  Great gauge, serial 7, Cleaning, Oiling (not finished)"
    )
