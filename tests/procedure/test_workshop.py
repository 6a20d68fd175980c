"""The workshop's own file: its tools, its sets, its English; and the tool that something is measured with."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from handsfree.measure.formatting import written
from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.model import Procedure, Tool
from handsfree.procedure.settings.report_parts import USUAL_PARTS
from handsfree.procedure.settings.terms import Terms
from handsfree.procedure.workshop import Workshop, equipped, read_workshop, tool_names, tools_at_hand
from handsfree.text.english import English

FILE = """
english: American
tools:
  - {name: feeler blades, also: feelers, resolution: 0.5 thou, blades: "1, 1.5, 2 thou"}
  - {name: micrometer, resolution: 0.01 mm, range: 0 to 25 mm}
  - {name: shim box, shims: "4 x 0.1, 2 x 0.2 mm"}
  - {name: Gauge no. 5}
"""


def read(tmp_path: Path, text: str | bytes) -> Workshop:
    path = tmp_path / "workshop.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_workshop(path)


def test_a_workshop_has_its_tools_its_sets_and_its_english(tmp_path: Path) -> None:
    workshop = read(tmp_path, FILE)
    assert workshop.english is English.AMERICAN
    assert [tool.name for tool in workshop.tools] == ["feeler blades", "micrometer", "shim box", "Gauge no. 5"]
    assert [written(piece) for piece in workshop.pieces("blades") or ()] == ["1 thou", "1.5 thou", "2 thou"]
    assert [written(piece) for piece in workshop.pieces("shims") or ()] == ["0.1 mm"] * 4 + ["0.2 mm"] * 2


def test_a_tool_of_the_workshop_is_found_by_its_name_or_by_what_it_alone_is_called(tmp_path: Path) -> None:
    workshop = read(
        tmp_path,
        "tools:\n  - {name: micrometer, also: mike}\n  - {name: Micrometer two, also: [mike, deep one]}\n",
    )
    found = {
        name: tool and tool.name
        for name in ("MICROMETER", "micrometer two", "deep one")
        if (tool := workshop.own(name))
    }
    assert found == {"MICROMETER": "micrometer", "micrometer two": "Micrometer two", "deep one": "Micrometer two"}
    assert [workshop.own(name) for name in ("mike", "caliper", "", None)] == [None] * 4


@pytest.mark.parametrize(
    ("tool", "least"),
    [
        ({"name": "dial", "resolution": "0.01 mm"}, "0.005 mm"),
        ({"name": "caliper", "resolution": "0.01 mm", "digital": True}, "0.01 mm"),
        ({"name": "feelers", "resolution": "0.5 thou", "blades": "1, 2 thou"}, "0.5 thou"),
    ],
)
def test_a_pointer_is_read_between_two_divisions_and_nothing_else_is(tool: dict[str, object], least: str) -> None:
    shown = Tool.model_validate(tool, by_alias=True, by_name=False).least_shown
    assert shown is not None
    value, unit = least.split()
    assert (shown.value, shown.unit) == (Fraction(value), unit)
    assert Tool(name="gauge").least_shown is None


def test_a_workshop_says_how_words_are_pronounced_and_in_how_many_voices(tmp_path: Path) -> None:
    workshop = read(tmp_path, "pronunciations: {gib: /ɡɪb/, Wyre: wire}\nvoices: one\n")
    assert workshop.pronunciations == {"gib": "/ɡɪb/", "Wyre": "wire"} and not workshop.two_voices
    assert Workshop().two_voices and not Workshop().pronunciations


def test_a_workshop_says_which_parts_its_reports_have(tmp_path: Path) -> None:
    workshop = read(tmp_path, "report: {charges: yes, time line: no}\n")
    assert workshop.report == USUAL_PARTS - {"time line"} | {"charges"}
    assert Workshop().report == USUAL_PARTS


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("report: {prices: yes}\n", '1:18: "prices" is no part of a report; parts are owner, record, time line'),
        ("report: {charges: maybe}\n", '"charges" must be true or false, not "maybe"'),
        ("report: all\n", '"report" must be parts with yes or no, as in "charges: yes"'),
        ("report: {owner: no, record: no}\n", "a report needs the owner's page or the record, or both"),
    ],
)
def test_a_part_that_a_report_can_not_have_is_told_with_its_line(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(ProcedureError, match=re.escape(says)):
        read(tmp_path, text)


def test_an_empty_file_is_a_workshop_without_tools(tmp_path: Path) -> None:
    assert read(tmp_path, "") == read(tmp_path, "tools: []\n") == Workshop()
    assert Workshop().pieces("blades") is None
    assert Workshop().english is English.BRITISH


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("- just\n- a list\n", 'the file must have keys such as "english", "people" and "tools", not a list'),
        (b"\xff\xfe\x00", "this is not UTF-8 text; save the file with that encoding"),
        ("tools: [", "yaml:1"),
        ("colour: red\n", 'yaml:1:1: error: "colour" is no key here; keys are answers, english, people, '),
        ("tools:\n", 'yaml:1:1: error: "tools" has no value; fill it in or take the line out'),
        ("pronunciations: {gib: /g7b/}\n", 'yaml:1:23: error: "gib": \'7\' is no sign of the phonetic alphabet'),
        ("pronunciations: [gib]\n", 'as in "gib: /ɡɪb/"'),
        ('pronunciations: {gib: "(x)"}\n', '"gib" must be a word with how it is said'),
        ("voices: three\n", 'yaml:1:9: error: "voices" must be one or two, not three'),
        ("english: welsh\n", 'yaml:1:10: error: "english" must be british or american, not welsh'),
        ("tools:\n  - {name: rule, resolution: 1}\n",
         'yaml:2:30: error: "resolution" needs its unit, as in "1 mm"'),
        ("tools:\n  - {name: rule, uncertainty: 0.5}\n",
         'yaml:2:31: error: "uncertainty" needs its unit, as in "0.5 mm"'),
        ("tools:\n  - {resolution: 1 mm}\n", "yaml:2"),
    ],
)  # fmt: skip
def test_what_is_wrong_in_the_file_is_told_at_its_place(tmp_path: Path, text: str | bytes, says: str) -> None:
    with pytest.raises(ProcedureError) as error:
        read(tmp_path, text)
    assert says.replace(" error:", "") in str(error.value).replace(" error:", "")


def test_everything_that_is_wrong_is_told_at_once_in_the_order_of_the_lines(tmp_path: Path) -> None:
    with pytest.raises(ProcedureError) as error:
        read(tmp_path, "tools:\n  - {name: rule, resolution: 1}\nenglish: welsh\ncolour: red\n")
    assert [problem.line for problem in error.value.problems] == [2, 3, 4]


def test_a_file_that_is_not_there_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(ProcedureError, match="the file can't be read: No such file"):
        read_workshop(tmp_path / "absent.yaml")


def test_tools_go_by_each_name_that_can_be_said(tmp_path: Path) -> None:
    assert tool_names(read(tmp_path, FILE).tools) == {
        "feeler blades": "feeler blades", "feelers": "feeler blades", "micrometer": "micrometer",
        "shim box": "shim box",
    }  # fmt: skip


# Which tool something is measured with


def procedure(tool: str, unit: str = "mm") -> Procedure:
    text = f"title: t\nitem: i\nrevision: 1\nsteps:\n  - {{id: a, do: x, measure: {{name: gap, unit: {unit}{tool}}}}}\n"
    return parse_procedure(text.encode(), "p.yaml").procedure


def test_a_tool_of_which_the_procedure_gives_the_name_only_is_the_workshops(tmp_path: Path) -> None:
    workshop = read(tmp_path, FILE)
    named = procedure(", tool: micrometer")
    tools = tools_at_hand(named, workshop)
    assert tools["micrometer"] == workshop.tools[1]
    (gap,) = named.characteristics
    assert equipped(gap, tools).tool == workshop.tools[1]
    # One that nobody describes stays as it is.
    (unknown,) = procedure(", tool: caliper").characteristics
    assert equipped(unknown, tools) is unknown


def test_a_tool_that_the_procedure_describes_is_the_procedures(tmp_path: Path) -> None:
    workshop = read(tmp_path, FILE)
    described = procedure(", tool: {name: micrometer, resolution: 0.002, range: [0, 5 mm]}", "inch")
    tools = tools_at_hand(described, workshop)
    own = tools["micrometer"]
    # Its sizes get the unit that they have there, so that something else can be measured with it.
    assert own.resolution is not None and written(own.resolution) == "0.002 in"
    assert own.range is not None and [written(end) for end in own.range] == ["0 mm", "5 mm"]
    bare = tools_at_hand(procedure(", tool: {name: caliper, uncertainty: 0.02, range: [0, 150]}"), workshop)["caliper"]
    assert bare.uncertainty is not None and written(bare.uncertainty) == "0.02 mm"
    assert bare.range is not None and [written(end) for end in bare.range] == ["0 mm", "150 mm"]
    assert bare.resolution is None
    (gap,) = described.characteristics
    assert equipped(gap, tools) is gap


def test_the_tool_that_was_chosen_at_the_bench_is_taken(tmp_path: Path) -> None:
    workshop = read(tmp_path, FILE)
    tools = {tool.name: tool for tool in workshop.tools}
    (gap,) = procedure(", tool: {name: rule, resolution: 1}").characteristics
    assert equipped(gap, tools, "micrometer").tool == tools["micrometer"]
    assert equipped(gap, tools, "no such tool") is gap
    (bare,) = procedure("").characteristics
    assert equipped(bare, tools, "micrometer").tool == tools["micrometer"]
    assert equipped(bare, tools) is bare
    (own,) = procedure(", tool: {name: micrometer, resolution: 1}").characteristics
    assert isinstance(own.tool, Tool)
    assert equipped(own, tools, "micrometer") is own


def test_the_terms_of_the_counter_are_exact_and_nothing_of_them_need_be_stated(tmp_path: Path) -> None:
    assert read(tmp_path, "").terms == Terms()
    terms = read(tmp_path, "terms: {currency: EUR, hour: 59.50, fixed: {clean and oil: 45}, warranty: 6 months}").terms
    assert (terms.hour, terms.fixed, terms.currency) == (Decimal("59.5"), {"clean and oil": Decimal(45)}, "EUR")


@pytest.mark.parametrize(
    ("terms", "message"),
    [
        ("{hour: much}", '"hour" must be an amount'),
        ("{hour: -1}", '"hour" must be an amount'),
        ("{hour: 1.234}", '"hour" must be an amount'),
        ("{warranty: long}", '"warranty" must be a period such as'),
        ("{rate: 60}", '"rate" is no key of the terms'),
        ("{fixed: {oil: .inf}}", '"oil" must be an amount'),
        ("[60]", "the terms stand under keys"),
    ],
)
def test_terms_that_cannot_be_meant_are_refused_with_their_line(tmp_path: Path, terms: str, message: str) -> None:
    with pytest.raises(ProcedureError, match=re.escape(message)):
        read(tmp_path, f"terms: {terms}")


@pytest.mark.parametrize(
    ("period", "until"),
    [
        ("6 months", "2027-02-28"),
        ("1 year", "2027-08-31"),
        ("90 days", "2026-11-29"),
        ("2 weeks", "2026-09-14"),
        ("", None),
    ],
)
def test_a_warranty_ends_on_the_same_day_of_the_month_or_its_last(period: str, until: str | None) -> None:
    # As BGB § 188 and the Interpretation of "month" in English law have it (from memory): the corresponding day, or the
    # last day of a month that has none.
    day = Terms(warranty=period).warranted_until(date(2026, 8, 31))
    assert (day.isoformat() if day else None) == until
