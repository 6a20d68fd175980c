"""The workshop's own measuring tools: an identity, a day after which they are not believed, checks with their drift."""

from __future__ import annotations

from datetime import date, datetime, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.cli import main
from handsfree.job.events import Event, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.making.tool_check import check_name, check_procedure, drift_lines, drifts, standards_of
from handsfree.measure.formatting import written
from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.workshop import Workshop, read_workshop
from handsfree.review.findings import FindingKind, findings_of_job
from handsfree.review.record import record_of
from handsfree.review.source import procedures_of
from handsfree.review.text.whole import review_text
from tests.support.played import Played, played_out

FILE = """
tools:
  - {name: feeler blades, identity: F-1, resolution: 0.5 thou, uncertainty: 0.1 thou, blades: "1, 4, 1.5 thou",
     within: 0.2 thou, calibrated on: 2025-03-10, due: 2026-03-10}
  - {name: micrometer three, also: mike, identity: M-3, resolution: 0.01 mm, due: 2026-12-31, standards: "5, 10 mm"}
  - {name: rule}
"""
BEFORE = datetime(2026, 3, 10, 9, 0, tzinfo=timezone.utc)
AFTER = datetime(2026, 4, 2, 9, 0, tzinfo=timezone.utc)


@pytest.fixture
def workshop(tmp_path: Path) -> Workshop:
    (tmp_path / "workshop.yaml").write_text(FILE, encoding="utf-8")
    return read_workshop(tmp_path / "workshop.yaml")


def _work(small: Loaded, store: Store, workshop: Workshop, at: datetime, *lines: str) -> Played:
    made = ready(small, store, at, workshop=workshop, new=True)
    return played_out(made, store, typed(lines, made.language), at)


def test_a_tool_has_an_identity_and_its_days(workshop: Workshop) -> None:
    blades = workshop.tools[0]
    assert (blades.identity, blades.calibrated, blades.due) == ("F-1", date(2025, 3, 10), date(2026, 3, 10))
    assert not blades.overdue(date(2026, 3, 10))
    assert blades.overdue(date(2026, 3, 11))
    assert workshop.own("Mike") is workshop.tools[1]
    assert workshop.own("calliper") is None is workshop.own(None)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("tools:\n  - {name: rule, due: March}\n", 'must be a day such as 2026-03-31, not "March"'),
        ("tools:\n  - {name: rule, due: 2026-02-30}\n", 'must be a day such as 2026-03-31, not "2026-02-30"'),
        ("tools:\n  - {name: rule, within: 0.2}\n", '"within" needs its unit'),
    ],
)
def test_a_day_that_is_none_is_told(tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "w.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(ProcedureError) as error:
        read_workshop(tmp_path / "w.yaml")
    assert says in str(error.value)


def test_a_reading_with_an_overdue_tool_is_said_once_and_always_marked(
    small: Loaded, store: Store, workshop: Workshop
) -> None:
    played = _work(small, store, workshop, AFTER, "next", "log four thou", "log four thou")
    assert "Latch clearance, four thou. In limits. Feeler blades were due in March." in played.said
    assert played.last == "Latch clearance, four thou. In limits."
    logged = [event for event in played.events if isinstance(event, ReadingLogged)]
    assert [(event.tool_identity, event.tool_calibrated, event.tool_overdue) for event in logged] == [
        ("F-1", "2025-03-10", "2026-03-10"),
    ] * 2  # fmt: skip
    found = findings_of_job(procedures_of(played.state), played.state)
    marked = [point for point in found if point.kind is FindingKind.TOOL_OVERDUE]
    assert len(marked) == 2
    assert marked[0].text.endswith("4 thou, taken with feeler blades, F-1, were due 2026-03-10")


def test_a_tool_is_believed_until_its_day_and_the_review_names_it(
    small: Loaded, store: Store, workshop: Workshop
) -> None:
    played = _work(small, store, workshop, BEFORE, "next", "log four thou")
    assert played.last == "Latch clearance, four thou. In limits."
    (logged,) = (event for event in played.events if isinstance(event, ReadingLogged))
    assert (logged.tool_identity, logged.tool_overdue) == ("F-1", None)
    text = " ".join(review_text(procedures_of(played.state), played.state, played.events, job="1").split())
    assert "U of feeler blades, F-1, calibrated 2025-03-10:" in text
    (line,) = record_of(procedures_of(played.state), played.state, played.events, job="1").figures
    assert (line.tool_identity, line.tool_calibrated, line.tool_overdue) == ("F-1", "2025-03-10", None)


def test_a_due_day_in_another_year_is_said_with_it(small: Loaded, store: Store, workshop: Workshop) -> None:
    later = datetime(2027, 1, 4, 9, 0, tzinfo=timezone.utc)
    assert "were due in March 2026." in _work(small, store, workshop, later, "next", "log four thou").last


def test_a_tool_that_the_workshop_does_not_list_has_nothing_written_of_it(small: Loaded, store: Store) -> None:
    played = _work(small, store, Workshop(), AFTER, "next", "log four thou")
    (logged,) = (event for event in played.events if isinstance(event, ReadingLogged))
    assert (logged.tool_identity, logged.tool_calibrated, logged.tool_overdue) == (None, None, None)


# The check of a tool against a standard


def _check(store: Store, workshop: Workshop, at: datetime, *lines: str) -> list[Event]:
    made = ready(check_procedure(workshop.tools[0]), store, at, workshop=workshop, purpose="tool check", new=True)
    return played_out(made, store, typed(lines, made.language), at).events


def test_each_blade_and_each_standard_is_a_step_that_can_be_said(workshop: Workshop) -> None:
    blades, micrometer, rule = workshop.tools
    assert [standard.name for standard in standards_of(blades)] == [
        "blade one thou",
        "blade four thou",
        "blade number three",
    ]
    assert [standard.name for standard in standards_of(micrometer)] == [
        "standard five millimetres",
        "standard ten millimetres",
    ]
    steps = check_procedure(blades).procedure.steps
    assert [step.act for step in steps][:2] == ["Measure the blade one thou.", "Measure the blade four thou."]
    (measured,) = steps[1].characteristics
    assert [written(end) for end in (measured.low, measured.high) if end] == ["3.8 thou", "4.2 thou"]
    with pytest.raises(ValueError, match="nothing to be checked at"):
        check_procedure(rule)


def test_a_check_is_a_job_of_its_own_kind_and_is_said_as_it_is_measured(store: Store, workshop: Workshop) -> None:
    events = _check(store, workshop, BEFORE, "log one thou", "next", "blade four thou measures three point nine")
    assert [event.as_said for event in events if isinstance(event, ReadingLogged)] == ["1 thou", "3.9 thou"]
    (job,) = store.jobs()
    assert (job.purpose, job.procedure, job.item) == ("tool check", "check-of-f-1", "feeler blades (F-1)")


def test_the_checks_of_a_tool_tell_its_error_and_its_drift(store: Store, workshop: Workshop) -> None:
    jobs = [
        _check(store, workshop, BEFORE, "log one thou", "next", "log four thou"),
        _check(store, workshop, AFTER, "log one thou", "next", "log three point nine thou"),
    ]
    one, four = drifts(workshop.tools[0], jobs)
    assert (one.change, four.change) == (0, Fraction(-1, 10))
    assert drift_lines(four) == [
        "blade four thou (4 thou)",
        "  2026-03-10        4 thou  error 0 thou",
        "  2026-04-02      3.9 thou  error -0.1 thou",
        "  drift since 2026-03-10: -0.1 thou",
    ]


def test_the_tools_and_what_their_checks_have_shown_can_be_listed(
    tmp_path: Path, store: Store, workshop: Workshop, capsys: pytest.CaptureFixture[str]
) -> None:
    _check(store, workshop, BEFORE, "log one thou")
    file, logs = str(tmp_path / "workshop.yaml"), str(store.folder)
    assert main(["tools", "--workshop", file, "--logs", logs]) == 0
    listed = capsys.readouterr().out
    assert "feeler blades, F-1, calibrated on 2025-03-10, due 2026-03-10 (" in listed
    assert "rule, nothing to check it at" in listed
    assert main(["tools", "f-1", "--workshop", file, "--logs", logs]) == 0
    assert "  2026-03-10        1 thou  error 0 thou" in capsys.readouterr().out
    assert main(["tools", "mike", "--workshop", file, "--logs", logs]) == 0
    assert "It was not checked here yet: handsfree check-tool 'micrometer three'" in capsys.readouterr().out
    assert main(["tools", "calliper", "--workshop", file, "--logs", logs]) == 2
    assert 'no tool of the workshop\'s file is called "calliper"' in capsys.readouterr().err
    assert check_name(workshop.tools[2]) == "check-of-rule"
