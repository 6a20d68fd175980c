"""A job as data for other programs."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
from datetime import datetime
from decimal import Decimal

import pytest

from handsfree.job.counter.charges import Charge
from handsfree.job.events import Event, WorkerChanged, from_json
from handsfree.job.state import fold
from handsfree.review import record_lines
from handsfree.review.exports import COLUMNS, Bill, record_json, safe_cell, to_csv
from handsfree.review.findings import Finding
from handsfree.review.record import record_of
from handsfree.review.record_lines import FigureLine, Head, JobRecord
from handsfree.review.source import procedure_of
from handsfree.review.timeline import Correction, Happening
from tests.support.places import REPOSITORY
from tests.support.story import OPENED, STORY, reading

FIELDS = REPOSITORY / "handsfree" / "review" / "DATA.md"


def record(*events: Event) -> JobRecord:
    story = [OPENED, *events]
    return record_of({OPENED.procedure_name: procedure_of(OPENED)}, fold(story), story, job="2026-11-25-1")


def rows(*events: Event) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(to_csv([record(*events)]), newline="")))


def test_figures_are_exact_text_with_their_unit_and_limits() -> None:
    (row,) = rows(reading(1, "4.50 thou", value="4.50"))
    assert (row["value"], row["unit"], row["low"], row["high"]) == ("4.50", "thou", "2", "5")
    assert (row["uncertainty"], row["decision"], row["state"]) == ("0.25 thou", "in limits", "provisional")
    figure = json.loads(record_json(record(reading(1, "4.50 thou", value="4.50")), []))["figures"][0]
    assert figure["value"] == "4.50"
    assert figure["high"] == "5"


def test_every_figure_ever_logged_has_a_row_that_says_what_became_of_it() -> None:
    found = [(row["as_said"], row["state"]) for row in rows(*STORY)]
    assert found == [
        ("9 thou", "set again"), ("15 thou", "corrected"), ("3 thou", "corrected"), ("1 thou", "standing"),
        ("40.1 mm", "taken back"), ("40.2 mm", "provisional"),
    ]  # fmt: skip
    assert all(row["job"] == "2026-11-25-1" and row["serial"] == "0417" for row in rows(*STORY))
    assert datetime.fromisoformat(rows(*STORY)[0]["at"]).tzinfo is not None


def test_a_spreadsheet_takes_no_words_for_a_formula_and_no_number_for_words() -> None:
    (row,) = rows(reading(1, "-0.5 thou", value="-0.5", heard='=HYPERLINK("x")', tool="@SUM(1)"))
    assert row["value"] == "-0.5"
    assert row["heard"] == '\'=HYPERLINK("x")'
    assert row["tool"] == "'@SUM(1)"


def test_a_column_tells_who_was_at_the_bench_at_each_figure() -> None:
    found = rows(
        reading(1, "4 thou"),
        WorkerChanged(at=OPENED.at, name="Jo Tern"),
        reading(2, "5 thou"),
        WorkerChanged(at=OPENED.at, name="=Bo"),
        reading(3, "3 thou"),
    )
    assert [(row["as_said"], row["by"]) for row in found] == [("4 thou", ""), ("5 thou", "Jo Tern"), ("3 thou", "'=Bo")]


def test_lines_and_commas_in_words_keep_to_their_cell() -> None:
    (row,) = rows(reading(1, "4 thou", heard='one,\n"two"'))
    assert row["heard"] == 'one,\n"two"'


def test_the_json_holds_the_log_itself() -> None:
    story: list[Event] = [OPENED, *STORY]
    content = json.loads(record_json(record(*STORY), story))
    assert [from_json(json.dumps(event)) for event in content["events"]] == story
    assert content["findings"][0]["kind"] == "out accepted"


def test_every_field_is_documented() -> None:
    text = FIELDS.read_text(encoding="utf-8")
    own = [each for each in vars(record_lines).values() if getattr(each, "__module__", "") == record_lines.__name__]
    kinds = [*filter(dataclasses.is_dataclass, own), Finding, Happening, Correction]
    assert {JobRecord, Head, FigureLine} < set(kinds)
    named = {field.name for kind in kinds for field in dataclasses.fields(kind)} | set(COLUMNS)
    assert [name for name in sorted(named) if f"`{name}`" not in text] == []


def test_what_is_charged_is_exact_text_and_only_where_it_is_asked_for() -> None:
    lines = [
        Charge(what="time at the bench", by="Jo Tern", procedure="micrometer", count=Decimal("1.25"), unit="h",
               each=Decimal("40")),
        Charge(what="gib screws", each=Decimal("9.005")),
        Charge(what="cleaning"),
    ]  # fmt: skip
    told = json.loads(record_json(record(), [], Bill(lines, "pounds", Decimal("80"))))["charges"]
    keys = ("what", "by", "procedure", "count", "unit", "each", "total")
    assert [tuple(line[key] for key in keys) for line in told["lines"]] == [
        ("time at the bench", "Jo Tern", "micrometer", "1.25", "h", "40", "50.00"),
        ("gib screws", None, None, "1", "", "9.005", "9.01"),
        ("cleaning", None, None, "1", "", None, None),
    ]
    assert (told["total"], told["currency"], told["agreed"]) == ("59.01", "pounds", "80")
    nothing = json.loads(record_json(record(), [], Bill([], "", None)))["charges"]
    assert (nothing["lines"], nothing["currency"], nothing["agreed"]) == ([], None, None)
    assert "charges" not in json.loads(record_json(record(), []))


def test_what_would_steer_a_terminal_is_written_out_in_the_json_and_letters_stay_letters() -> None:
    text = record_json(record(reading(1, "4 thou", heard="\x1b[2J Åsling \u202e ½")), [])
    assert not set(text) & set("\x1b\u202e")
    assert "\\u001b[2J Åsling \\u202e ½" in text
    assert text.endswith("}\n")
    assert json.loads(text)["figures"][0]["heard"] == "\x1b[2J Åsling \u202e ½"


@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("=1+1", "'=1+1"),
        ("  +44 191", "  '+44 191"),
        ("\t=1", "\t'=1"),
        ("\twide", "'\twide"),
        ("a;=1", "a;'=1"),
        ("a|@b", "a|'@b"),
        ("one\n-two", "one\n'-two"),
        ("M2 - 5", "M2 - 5"),
        ("a, =b", "a, =b"),
        ("", ""),
    ],
)
def test_words_are_safe_wherever_a_program_may_begin_a_field(text: str, safe: str) -> None:
    assert safe_cell(text) == safe
