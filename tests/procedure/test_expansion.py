"""Groups, repeated steps, short names and variants of a procedure file, written out for the bench."""

from __future__ import annotations

import pytest

from handsfree.procedure.file.loader import Loaded, load_procedure, parse_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.shipped import find, shipped_names
from handsfree.procedure.variants import serial_number, serial_range
from tests.support.procedures import VALVES


def read(text: str) -> Loaded:
    return parse_procedure(text.encode(), "p.yaml")


def problems(text: str) -> list[str]:
    with pytest.raises(ProcedureError) as caught:
        read(text)
    return [str(each).removeprefix("p.yaml:") for each in caught.value.problems]


def test_a_group_is_written_out_once_for_each_place() -> None:
    steps = read(VALVES).procedure.steps
    assert [step.id for step in steps] == [
        "open", "turn/cylinder one", "set/cylinder one", "turn/cylinder two", "set/cylinder two", "close",
    ]  # fmt: skip
    assert [step.act for step in steps[1:4]] == [
        "Turn to top dead centre of cylinder one.",
        "Set both valves, cylinder one.",
        "Turn to top dead centre of cylinder two.",
    ]
    assert [(step.group, step.place, step.tray) for step in steps[:2]] == [
        (None, None, None),
        ("valves", "cylinder one", "three"),
    ]


def test_the_place_stands_wherever_the_text_of_a_step_names_it() -> None:
    text = """
title: t
item: i
revision: 1
steps:
  - group: screws
    for each: [left end, right end]
    steps:
      - id: fit
        do: "{place} first."
        check: Does {place} sit?
        fasteners: {count: 2, size: M2 x 5, where: "{place}"}
        dangers: [{say: "{place} is sharp", until: fit}]
"""
    left, right = read(text).procedure.steps
    assert (left.act, right.check) == ("Left end first.", "Does right end sit?")
    assert (left.fasteners[0].where, right.dangers[0].say) == ("Left end", "Right end is sharp")


def test_a_list_of_places_that_is_none_is_told_where_it_stands() -> None:
    says = 'must be a list of places, such as "[inlet, exhaust]"'
    text = (
        "title: t\nitem: i\nrevision: 1\n{}steps:\n  - {{group: g, for each: {}, steps: [{{id: a, do: Clean it.}}]}}\n"
    )
    assert problems(text.format("", "{left: one}")) == [f'5:26: "for each" {says}']
    assert problems(text.format("places: {ends: both}\n", "ends")) == [f'4:16: "ends" {says}']


def test_the_step_that_makes_a_mark_is_found() -> None:
    procedure = read(
        "title: t\nitem: i\nrevision: 1\nsteps:\n  - {id: a, do: Clean it.}\n"
        "  - {id: b, do: Scribe it., marks: {name: left line, where: across the joint}}\n"
    ).procedure
    maker = procedure.maker_of("left line")
    assert maker is not None and maker.id == "b"
    assert procedure.maker_of("right line") is None


def test_the_answers_that_a_question_names_are_kept_in_their_order() -> None:
    asked = "questions:\n  finish: {ask: Which finish?, answers: [plated, black, plain]}\n"
    procedure = read(f"title: t\nitem: i\nrevision: 1\n{asked}steps: [{{id: a, do: Clean it.}}]").procedure
    assert procedure.questions["finish"].answers == ("plated", "black", "plain")


def test_what_a_repeated_step_refers_to_is_at_the_same_place() -> None:
    procedure = read(VALVES).procedure
    assert procedure.by_id("set/cylinder two").rests_on == ("turn/cylinder two",)
    assert procedure.by_id("turn/cylinder one").dangers[0].until == "set/cylinder one"
    assert procedure.by_id("close").rests_on == ("set/cylinder one", "set/cylinder two")


def test_each_place_has_figures_of_its_own() -> None:
    procedure = read(VALVES).procedure.given({"pattern": "late"})
    found = {step.place: [(m.name, str(m.low), str(m.high)) for m in step.characteristics] for step in procedure.steps}
    assert [name for name, *_ in found["cylinder one"]] == ["inlet clearance"]
    assert [name for name, *_ in found["cylinder two"]] == ["inlet clearance", "exhaust clearance"]


def test_a_group_with_a_stop_is_a_stage() -> None:
    steps = read(VALVES).procedure.steps
    assert [step.stage for step in steps] == [None, "valves", "valves", "valves", "valves", None]
    assert steps[1].stop == "This is a good place to stop."


def test_short_names_stand_for_what_the_tables_say() -> None:
    procedure = read(VALVES).procedure
    (screw,) = procedure.by_id("close").fasteners
    assert (screw.count, screw.size, screw.head, screw.where, screw.tighten) == (
        4, "M4 x 12", "cheese head", "the cover", "firm, crosswise",
    )  # fmt: skip
    step = procedure.by_id("set/cylinder one")
    assert (step.lubricants[0].which, step.lubricants[0].how_much) == ("instrument oil", "one drop")
    tool = step.characteristics[0].tool
    assert tool is not None and tool.name == "feeler blades" and step.characteristics[0].uncertainty == 1 / 4


def test_an_answer_decides_steps_and_limits() -> None:
    procedure = read(VALVES).procedure
    assert procedure.left_out({"collar": "no"}) == ("close",)
    assert procedure.left_out({}) == procedure.left_out({"collar": "yes"}) == ()
    early, late = (procedure.given({"pattern": each}).by_id("set/cylinder one") for each in ("early", "late"))
    assert [[(m.limits.low, m.limits.high) for m in step.characteristics] for step in (early, late)] == [
        [(3, 5)],
        [(4, 6)],
    ]


def test_a_step_tells_which_answers_it_waits_for() -> None:
    procedure = read(VALVES).procedure
    assert procedure.undecided("open", {}) == ()
    assert procedure.undecided("set/cylinder one", {}) == ("pattern",)
    assert procedure.undecided("close", {}) == ("collar",)
    assert procedure.undecided("close", {"collar": "no"}) == ()


@pytest.mark.parametrize(
    ("serial", "answer"),
    [("4000", "early"), ("K-4001", "late"), ("AB 12/3999", "early"), ("none", None), (None, None), ("", None)],
)
def test_the_serial_number_decides_where_it_can(serial: str | None, answer: str | None) -> None:
    assert read(VALVES).procedure.questions["pattern"].decided_by(serial) == answer


def test_ranges_of_serial_numbers() -> None:
    assert [serial_range(said).holds(100) for said in ("up to 100", "up to 99", "from 100", "101 and up")] == [
        True, False, True, False,
    ]  # fmt: skip
    assert serial_range("100 to 200").holds(200) and not serial_range("100 to 200").holds(201)
    assert serial_number("S2-00417") == 417
    for wrong in ("about 100", "200 to 100", "-"):
        with pytest.raises(ValueError, match=r"range|wrong way round"):
            serial_range(wrong)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("for each: cylinders", "for each: cylindres", '20:15: "for each": there is no list "cylindres" under '
         '"places"; did you mean "cylinders"?'),
        ("cylinder two]", "cylinder one]", '10:29: "cylinder one" is here twice; a step is done once at each place'),
        ("cylinder two]", "cylinder 2]", '10:29: "cylinders": "cylinder 2" has digits in it; a spoken name is made of '
         "words only, so write numbers as words"),
        ("only at: cylinder two", "only at: cylinder tow", '34:91: "only at": the step is not repeated at "cylinder '
         'tow"; did you mean "cylinder two"?'),
        ("lubricant: thin oil", "lubricant: thick oil", '30:20: "thick oil" is not in the table "lubricants"; did you '
         'mean "thin oil"?'),
        ("use: cover screw", "use: cover skrew", '38:22: "cover skrew" is not in the table "fasteners"; did you mean '
         '"cover screw"?'),
        ("{collar: yes}", "{color: yes}", '37:22: "only if": there is no question "color"; did you mean "collar"?'),
        ("{collar: yes}", "{collar: maybe}", '37:23: "only if": "collar" is answered "yes" or "no", never "maybe"; '
         "correct it"),
        ("{collar: yes}", "yes", '37:14: "only if" must name a question and its answer, such as "collar: yes", not '
         '"yes"'),
        ("from 4001", "from 4000", '8:16: "by serial" has serial numbers that mean both "early" and "late"; keep the '
         "ranges apart"),
        ("from 4001", "4001", '8:42: "late": "4001" is no range of serial numbers; write it as "up to 4000", "4001 to '
         '6000" or "from 6001"'),
        ("    ask: Is it early or late?\n", "", '7:5: a question needs "ask": the question, as it is to be spoken'),
        ("when: start", "when: later", '5:57: "when" must be "start" or "when needed"'),
        ("when: start", "when: start, answers: [yes]", '5:73: "answers" must be two or more different answers'),
        ("when: start", "when: start, answers: [yes, no, no]", '5:73: "answers" must be two or more different answers'),
        ("early or late?\n", "early or late?\n    answers: [early, newer]\n",
         '8:14: "answers" lack "late", which a serial number can decide'),
        ("only if: {pattern: late}", "only if: {pattern: early}", '33:20: "inlet clearance" is measured twice in this '
         'step; give it another name, or an "only if" that keeps the two apart'),
        ("group: valves", "group: valves\n    colour: red", '20:5: "colour" is not a key that a group can have; keys '
         "here are group, for each, only if, tray, stop, steps"),
        ("        do: Set both valves.\n", "        do: Set both valves.\n        for each: cylinders\n",
         '29:19: "for each" stands in a group that is repeated itself; repeat one of the two'),
        ("{id: open, do", "{id: open, only at: here, do", '18:25: "only at" stands in a step that is not repeated; '
         'add "for each" or take it out'),
        ("{size: M4 x 12,", "{sise: M4 x 12,", '12:16: a fastener needs "size": thread and length, such as "M2 x 5"'),
    ],
)  # fmt: skip
def test_one_mistake_in_what_is_written_out_gives_one_message(old: str, new: str, says: str) -> None:
    assert old in VALVES
    found = problems(VALVES.replace(old, new, 1))
    assert says in found
    if "sise" not in new:  # a wrong key is also one that is not there
        assert found == [says]
    else:
        assert len(found) == 2


def test_a_mistake_in_a_repeated_step_is_told_once_and_at_its_line() -> None:
    assert problems(VALVES.replace("unit: thou, limits: [3, 5]", "unit: thou, limits: [5, 3]")) == [
        '32:57: "limits" are the wrong way round (5, then 3); write the smaller one first'
    ]


def test_a_mistake_behind_the_name_of_a_repeated_step_is_told_at_its_place() -> None:
    # "set" stands for the step at each of the cylinders: what follows it has moved.
    (found,) = problems(VALVES.replace("    rests on: set\n", "    rests on: [open, set, opne]\n"))
    assert found.startswith('39:27: "rests on": there is no step "opne"')


def test_the_place_of_a_written_out_step_is_its_line_in_the_file() -> None:
    loaded = read(VALVES)
    assert loaded.mark(("steps", 1, "do")) == loaded.mark(("steps", 3, "do"))
    assert VALVES.splitlines()[loaded.mark(("steps", 4, "measure", 1, "limits"))[0] - 1].count("[4, 6]") == 1


@pytest.mark.parametrize("name", shipped_names())
def test_every_procedure_that_comes_with_it_says_for_the_owner_what_was_done(name: str) -> None:
    lines = [step.for_the_owner for step in load_procedure(find(name)).procedure.steps if step.for_the_owner]
    assert len(set(lines)) >= 3
    assert not any("{place}" in line for line in lines)
