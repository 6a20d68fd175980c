"""Advice on a procedure that could be better, finding procedures, and the one that comes with the package."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.bench.answers import answers_taken_for_commands
from handsfree.bench.setting_up import language_of
from handsfree.cli import main
from handsfree.procedure.check.checker import check, find, shipped_names
from handsfree.procedure.file import yaml_text
from handsfree.procedure.file.loader import load_procedure
from handsfree.procedure.file.problems import ProblemSeverity, ProcedureError
from handsfree.procedure.model import Procedure

HEAD = "title: Gap\nitem: bench rig\nrevision: 1\nsteps:\n"


def advice(tmp_path: Path, steps: str) -> list[str]:
    path = tmp_path / "p.yaml"
    path.write_text(HEAD + steps, "utf-8")
    return [f"{each.line}:{each.column}: {each.severity.value}: {each.message}" for each in check(path)]


def words(count: int) -> str:
    return " ".join(["press"] * count)


def test_one_run_shows_what_is_wrong_and_what_would_be_better(tmp_path: Path) -> None:
    steps = (
        "  - {id: a}\n"
        f"  - {{id: b, do: {words(26)}, needs: [nowhere]}}\n"
        "  - {id: c, do: Wipe it; oil it., check: It runs.}\n"
    )
    said = advice(tmp_path, steps)
    assert [line.split(":")[0] for line in said] == ["5", "6", "6", "7", "7"]
    assert said[0] == '5:5: error: a step needs "do": the act, in a few words'
    assert any('"do" has 26 words' in line for line in said)
    assert any("nowhere" in line for line in said)
    assert said[3] == '7:17: advice: "do" holds two acts, one after the other; make two steps of them'


@pytest.mark.parametrize(
    ("step", "says"),
    [
        (f"do: {words(15)}", []),
        (f"do: {words(16)}", ['5:19: advice: "do" has 16 words; keep it within 15 and put the rest under "details"']),
        (f"do: {words(26)}", ['5:19: error: "do" has 26 words; keep it within 15 and put the rest under "details"']),
        (
            "do: Measure., measure: {name: gap, unit: mm}",
            ['5:38: advice: "gap" has no tool; name it, with its resolution, so that a verdict can be given'],
        ),
        (
            "do: Measure., measure: {name: gap, unit: thou, limits: [1, 1.5], tool: {name: f, resolution: 0.5}}",
            ['5:38: advice: the limits of "gap" are 0.5 thou apart, and the tool can tell 0.5 thou at best; take a '
             "finer tool"],
        ),
        (
            "do: Measure., measure: {name: gap, unit: thou, limits: [1, 1.6], tool: {name: f, resolution: 0.5}}",
            [],
        ),
        (
            "do: Measure., measure: {name: gap two, unit: mm, tool: rule}",
            ['5:38: advice: "gap two" ends with a word that begins a number, and a figure follows it; choose another'],
        ),
        (
            "do: Wash it in acetone.",
            ['5:19: advice: "acetone" is named and nothing warns of fumes and naked flame; add it under "dangers" (kind: flame)'],  # noqa: E501
        ),
        ("do: Wash it in acetone., dangers: Fumes.", []),
        (
            "do: Hook the spring on.",
            ['5:19: advice: "spring" is named and nothing warns of what a spring under load can do; add it under '
             '"dangers" (kind: spring)'],
        ),
        ("do: Put the spring washer on.", []),
        (
            "do: Look., check: It is level.",
            ['5:33: advice: "check" is no question; ask one that "yes" or "no" answers'],
        ),
        ("do: Turn it 5° & stop.", ["5:19: advice: a voice can't say ° &; write it in words"]),
    ],
)  # fmt: skip
def test_advice_says_what_would_be_better_and_where(tmp_path: Path, step: str, says: list[str]) -> None:
    assert advice(tmp_path, f"  - {{id: one, {step}}}\n") == says


@pytest.mark.parametrize(
    ("step", "key"),
    [
        ("do: Turn it 5°.", "do"),
        ("do: Turn it., why: It is 5° off.", "why"),
        ("do: Turn it., check: Is it 5° off?", "check"),
        ("do: Turn it., details: By 5°.", "details"),
        ("do: Turn it., cautions: Not 5°.", "cautions"),
        ("do: Turn it., dangers: At 5°.", "dangers"),
        ("do: Turn it., lubricant: {which: oil 5°}", "which"),
        ("do: Turn it., lubricant: {which: oil, where: at 5°}", "where"),
        ("do: Turn it., lubricant: {which: oil, how much: 5°}", "how much"),
    ],
)
def test_whatever_is_spoken_must_be_sayable(tmp_path: Path, step: str, key: str) -> None:
    line = f"  - {{id: one, {step}}}\n"
    column = line.index(f"{key}: ") + len(f"{key}: ") + 1
    assert advice(tmp_path, line) == [f"5:{column}: advice: a voice can't say °; write it in words"]


def test_what_is_nowhere_spoken_may_hold_any_sign(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text("title: Gap at 5°\nitem: rig no. 3 & 4\nrevision: 1\nsteps:\n  - {id: a, do: Press it.}\n", "utf-8")
    assert check(path) == []


@pytest.mark.parametrize(
    "step",
    ["do: Wash it., details: Use acetone.", "do: Wash it., lubricant: {which: white spirit}"],
)
def test_a_danger_is_seen_in_the_details_and_the_lubricant_too(tmp_path: Path, step: str) -> None:
    (said,) = advice(tmp_path, f"  - {{id: one, {step}}}\n")
    assert said.startswith("5:19: advice: ")
    assert "nothing warns of fumes and naked flame" in said


def test_a_warning_ends_with_its_step_where_it_does_not_say_until_when(tmp_path: Path) -> None:
    steps = "  - {id: a, do: Wash it in petrol., dangers: Fumes.}\n  - {id: b, do: Wash it in petrol.}\n"
    assert [each.split(":")[0] for each in advice(tmp_path, steps)] == ["6"]


def test_the_farther_of_two_warnings_counts(tmp_path: Path) -> None:
    steps = (
        "  - {id: a, do: Hook the spring on., dangers: [{say: Loaded., until: c}, {say: Sharp., until: b}]}\n"
        "  - {id: b, do: Hold the spring., dangers: Sharp.}\n"
        "  - {id: c, do: Let the spring down.}\n"
        "  - {id: d, do: Hook the spring on.}\n"
    )
    assert [each.split(":")[0] for each in advice(tmp_path, steps)] == ["8"]


@pytest.mark.parametrize(
    ("fasteners", "told"),
    [
        # The same screw at two places is no riddle, and one that says where it goes neither.
        (("{size: M2 x 5}", "{size: M2 x 5}"), []),
        (("{size: M2 x 5}", "{size: M3 x 5}"), []),
        (("{size: M2 x 5}", "{size: M2 x 6}"), ["5", "6"]),
        (("{size: M2 x 5, where: lid}", "{size: M2 x 6}"), ["6"]),
    ],
)
def test_only_screws_that_can_be_mixed_up_want_a_place(
    tmp_path: Path, fasteners: tuple[str, ...], told: list[str]
) -> None:
    steps = "".join(f"  - {{id: s{n}, do: Fit it., fasteners: {each}}}\n" for n, each in enumerate(fasteners))
    assert [each.split(":")[0] for each in advice(tmp_path, steps)] == told


@pytest.mark.parametrize(
    ("limits", "told"),
    [("at most: 1", False), ("at least: 1", False), ("limits: [1, 2]", True), ("limits: [1, 2.1]", False)],
)
def test_the_tool_must_be_finer_than_the_limits_are_apart(tmp_path: Path, limits: str, told: bool) -> None:
    # Half the resolution either side is the least that is assumed: limits 1 apart can't be told with 1.
    measure = f"measure: {{name: gap, unit: thou, {limits}, tool: {{name: blades, resolution: 1}}}}"
    said = advice(tmp_path, f"  - {{id: a, do: Measure it., {measure}}}\n")
    assert [each.endswith("take a finer tool") for each in said] == [True] * told


def test_names_that_end_like_a_number_are_told_wherever_they_stand(tmp_path: Path) -> None:
    measure = "measure: [{name: gap, unit: mm, tool: rule}, {name: rim, also: rim point, unit: mm, tool: rule}]"
    (said,) = advice(tmp_path, f"  - {{id: a, do: Measure it., {measure}}}\n")
    assert '"rim point" ends with a word that begins a number' in said
    fine = "measure: {name: point gap, unit: mm, tool: rule}"
    assert advice(tmp_path, f"  - {{id: a, do: Measure it., {fine}}}\n") == []


def test_names_that_cannot_be_spelt_are_told_among_the_other_names_too(tmp_path: Path) -> None:
    measure = "measure: {name: gap, also: [play, tdc gap], unit: mm, tool: rule}"
    (said,) = advice(tmp_path, f"  - {{id: a, do: Measure it., {measure}}}\n")
    assert '"tdc" is no word that a recogniser can spell out' in said


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("blocks: hole", '"blocks": no step gets at the hole; add "gets at: hole" to the steps it matters to'),
        ("blocks: holse", '"blocks": no step gets at the holse; did you mean "hole"?'),
        ("traps: pinoin", '"traps": no step works on the pinoin; did you mean "pinion"?'),
    ],
)
def test_a_slip_of_the_pen_in_what_is_closed_is_told(tmp_path: Path, step: str, says: str) -> None:
    others = "" if step == "blocks: hole" else "  - {id: b, do: Oil it., works on: pinion, gets at: hole}\n"
    (said,) = advice(tmp_path, others + f"  - {{id: a, do: Shut it., {step}}}\n")
    assert said.split("advice: ")[1] == says


def test_marks_that_meet_and_things_that_are_used_are_left_in_peace(tmp_path: Path) -> None:
    steps = (
        "  - {id: a, do: Scribe it., marks: {name: top, where: across}, works on: pinion, gets at: hole}\n"
        "  - {id: b, do: Join it., meets: top, traps: pinion, blocks: hole}\n"
    )
    assert advice(tmp_path, steps) == []


def test_names_from_the_vocabulary_that_sound_alike_are_told(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    text = "title: Gap\nitem: bench rig\nrevision: 1\nvocabulary: {end play: cap}\nsteps:\n"
    path.write_text(text + measuring("gap", "end play"), "utf-8")
    assert [each.message for each in check(path)] == ['"cap" sounds like "gap"; give one of them another name']
    # Of two names for the same thing either will do.
    path.write_text(text.replace("end play: cap", "gap: cap") + measuring("gap", "end play"), "utf-8")
    assert check(path) == []


def test_everything_that_a_table_lacks_is_told(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(
        "title: Gap\nitem: bench rig\nrevision: 1\n"
        "fasteners: {long: {size: M2 x 8}}\nlubricants: {oil: {which: oil}}\ntools: {rule: {name: rule}}\n"
        "steps:\n"
        "  - {id: a, do: Fit it., fasteners: [long, {size: M3 x 5}], lubricant: [oil, {which: wax}],\n"
        "     tools: [rule, gauge],\n"
        "     measure: [{name: gap, unit: mm, tool: rule}, {name: end play, unit: mm, tool: square}]}\n",
        "utf-8",
    )
    assert [each.message.split(";")[0] for each in check(path)] == [
        '"M3 x 5" is not in the table "fasteners"',
        '"wax" is not in the table "lubricants"',
        '"gauge" is not in the table "tools"',
        '"square" is not in the table "tools"',
    ]


def test_without_a_table_everything_may_be_written_where_it_is_used(tmp_path: Path) -> None:
    step = "fasteners: {size: M3 x 5}, lubricant: {which: wax}, tools: gauge"
    assert advice(tmp_path, f"  - {{id: a, do: Fit it., {step}}}\n") == []


def test_a_step_may_need_one_of_several_that_exclude_each_other(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    head = "title: Gap\nitem: bench rig\nrevision: 1\nquestions: {collar: {ask: Is there one?}}\nsteps:\n"
    steps = "  - {id: a, do: Fit it., only if: {collar: yes}}\n  - {id: b, do: Leave it., only if: {collar: no}}\n"
    path.write_text(head + steps + "  - {id: c, do: Go on., needs: [a, b], only if: {collar: no}}\n", "utf-8")
    assert check(path) == []
    path.write_text(head + steps + "  - {id: c, do: Go on., needs: [a], only if: {collar: no}}\n", "utf-8")
    (said,) = check(path)
    assert said.message == '"needs": no answers bring both this step and "a" about; name a step that is there too'


@pytest.mark.parametrize("key", ["fasteners: {size: M2 x 5", "lubricant: {which: oil", "dangers: {say: Sharp.",
                                 "measure: {name: gap, unit: mm, tool: rule"])  # fmt: skip
def test_a_part_that_never_comes_about_is_told(tmp_path: Path, key: str) -> None:
    path = tmp_path / "p.yaml"
    head = "title: Gap\nitem: bench rig\nrevision: 1\nquestions: {collar: {ask: Is there one?}}\nsteps:\n"
    part = f"{key}, only if: {{collar: %s}}}}"
    path.write_text(head + f"  - {{id: a, do: Fit it., only if: {{collar: no}}, {part % 'yes'}}}\n", "utf-8")
    (said,) = check(path)
    assert said.message.startswith("the step is left out with every answer that this wants")
    path.write_text(head + f"  - {{id: a, do: Fit it., only if: {{collar: no}}, {part % 'no'}}}\n", "utf-8")
    assert check(path) == []


def test_a_gap_for_the_writer_is_told_at_its_place(tmp_path: Path) -> None:
    steps = '  - {id: a, do: "Press it. GAP: with what?"}  # GAP:\n'
    said = [each for each in advice(tmp_path, steps) if "gap" in each]
    assert said == [
        f"5:{steps.index('GAP') + 1}: advice: a gap for the writer: with what?",
        f"5:{steps.rindex('GAP') + 1}: advice: a gap for the writer: fill it in",
    ]


def test_grams_are_remarked_on_only_where_a_force_is_shown(tmp_path: Path) -> None:
    balance = "tool: {name: spring balance, range: 0 to 500 g}"
    steps = f"  - {{id: a, do: Pull it., measure: {{name: drag, unit: N, at most: 4, {balance}}}}}\n"
    (said,) = [each for each in advice(tmp_path, steps) if "taken as force" in each]
    assert "the spring balance is marked in grams" in said
    length = "  - {id: a, do: Measure it., measure: {name: reach, unit: mm, tool: spring gauge}}\n"
    assert [each for each in advice(tmp_path, length) if "force" in each] == []


def test_a_danger_that_lasts_covers_the_steps_until_its_end(tmp_path: Path) -> None:
    steps = (
        "  - {id: a, do: Hook the spring on., dangers: {say: It is loaded., until: b}}\n"
        "  - {id: b, do: Hold the spring.}\n"
        "  - {id: c, do: Let the spring down.}\n"
    )
    assert [each.split(":")[0] for each in advice(tmp_path, steps)] == ["7"]


def test_look_alike_screws_want_to_know_where_they_go(tmp_path: Path) -> None:
    steps = (
        "  - {id: a, do: Fit it., fasteners: {size: M2 x 5, where: the cover}}\n"
        "  - {id: b, do: Fit it., fasteners: {size: M2 x 6}}\n"
        "  - {id: c, do: Fit it., fasteners: {size: M3 x 6}}\n"
    )
    assert advice(tmp_path, steps) == ['6:37: advice: M2 x 6 is one of several lengths of M2; say "where" it goes']


@pytest.mark.parametrize("size", ["M2.1 x 5", "6-33 x 1/4", "17 BA"])
def test_a_size_that_its_family_does_not_have_is_pointed_out(tmp_path: Path, size: str) -> None:
    (said,) = advice(tmp_path, f"  - {{id: a, do: Fit it., fasteners: {{size: {size}, where: the cover}}}}\n")
    assert said.startswith(f'5:44: advice: "{size.partition(" x ")[0]}" is ')


def test_a_size_in_the_table_is_looked_at_though_no_step_uses_it(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(
        "title: Gap\nitem: bench rig\nrevision: 1\nfasteners:\n  odd: {size: M2.1 x 5}\n  fine: {size: M2 x 5}\n"
        "steps:\n  - {id: a, do: Press., fasteners: fine}\n",
        "utf-8",
    )
    found = [each for each in check(path) if "M2.1" in each.message]
    assert [(each.line, each.column) for each in found] == [(5, 15)]


def test_a_file_that_can_not_be_used_gives_its_errors(tmp_path: Path) -> None:
    assert advice(tmp_path, "  - {id: a}\n") == ['5:5: error: a step needs "do": the act, in a few words']
    assert [str(each) for each in check(tmp_path / "absent.yaml")] == [
        f"{tmp_path / 'absent.yaml'}: there is no such file; check the path"
    ]


def test_advice_is_marked_as_such_where_it_is_shown(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(HEAD + "  - {id: a, do: Let the spring down.}\n", "utf-8")
    (problem,) = check(path)
    assert problem.severity is ProblemSeverity.ADVICE
    assert str(problem).startswith(f"{path}:5:17: advice: ")


def test_a_procedure_is_found_by_path_and_by_bare_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shipped = find("focusing-slide")
    assert shipped.is_file() and shipped.name == "focusing-slide.yaml"
    assert find(shipped) == shipped and find(str(shipped)) == shipped
    monkeypatch.chdir(tmp_path)
    Path("mine.yaml").write_text(HEAD)
    assert find("mine.yaml") == Path("mine.yaml")


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("focussing-slide", 'there is no procedure or file "focussing-slide"; did you mean "focusing-slide"?'),
        ("zither", "procedures that come with the package: .*focusing-slide"),
        ("nowhere/zither.yaml", "there is no such file; procedures that come"),
    ],
)
def test_a_name_that_is_not_found_says_what_there_is(name: str, says: str) -> None:
    with pytest.raises(ProcedureError, match=says):
        find(name)


@pytest.fixture(scope="module")
def slide() -> Procedure:
    return load_procedure(find("focusing-slide")).procedure


@pytest.mark.parametrize("name", shipped_names())
def test_what_is_shipped_passes_its_own_check_with_no_advice_left(name: str) -> None:
    assert check(find(name)) == []


def test_the_focusing_slide_measures_what_it_says(slide: Procedure) -> None:
    limits = {
        each.name: (each.unit, each.limits.low, each.limits.target, each.limits.high) for each in slide.characteristics
    }
    assert limits.keys() == {"gib clearance", "stop clearance", "slide travel", "end play"}
    assert limits["gib clearance"] == ("thou", 1.5, 2, 3)
    assert limits["stop clearance"] == ("thou", 10, 12, 15)
    assert limits["slide travel"] == ("mm", 31, None, None)
    assert limits["end play"] == ("thou", None, None, 1.5)
    assert {said: name for said, name in slide.names.items() if said != name} == {
        "clearance": "gib clearance", "stop gap": "stop clearance", "travel": "slide travel", "play": "end play",
    }  # fmt: skip


def test_the_gib_is_measured_again_after_locking_and_that_rests_on_the_setting(slide: Procedure) -> None:
    found = [(step.id, each.occasion) for step in slide.steps for each in step.characteristics if "gib" in each.name]
    assert [occasion for _, occasion in found] == ["as found", "as set", "as left"]
    assert found[2][0] in slide.resting_on(found[1][0])
    assert "lock-gib" in slide.by_id(found[2][0]).rests_on


def test_the_spring_and_the_fumes_have_an_end_as_well_as_a_beginning(slide: Procedure) -> None:
    spans = {danger.say.split()[0]: [step.id, danger.until] for step in slide.steps for danger in step.dangers}
    assert spans == {"Solvent": ["bath", "dry"], "The": ["load-spring", "fit-ring"]}


def test_every_spoken_name_of_the_focusing_slide_is_understood(slide: Procedure) -> None:
    language = language_of(slide)
    for said, name in slide.names.items():
        meanings = language.interpret_text(f"log {said} two thou")
        assert [each.characteristic for each in meanings] == [name]


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("do: Fit the gib and then nip the screws.",
         ['5:19: advice: "do" holds two acts, one after the other; make two steps of them']),
        ("do: Fit the gib. Nip the screws.",
         ['5:19: advice: "do" holds two acts, one after the other; make two steps of them']),
        ("do: Unplug it from the mains.",
         ['5:19: advice: "mains" is named and nothing warns of the electric shock; add it under "dangers" '
          "(kind: mains)"]),
        ("do: Measure., measure: {name: gpc gap, unit: mm, tool: rule}",
         ['5:38: advice: "gpc" is no word that a recogniser can spell out in sounds; use one that is spoken as it is '
          "written"]),
        ("do: Shut the lid., traps: spindle",
         ['5:41: advice: "traps": no step works on the spindle; add "works on: spindle" to the steps it matters to']),
        ("do: Scribe it., marks: {name: top, where: across both}",
         ['5:45: advice: the mark "top" never meets; name it under "meets" of the step where the parts come together']),
    ],
)  # fmt: skip
def test_further_advice(tmp_path: Path, step: str, says: list[str]) -> None:
    assert advice(tmp_path, f"  - {{id: one, {step}}}\n") == says


def measuring(*names: str) -> str:
    return "".join(
        f"  - {{id: s{n}, do: Measure it., measure: {{name: {name}, unit: mm, tool: rule}}}}\n"
        for n, name in enumerate(names)
    )


def test_names_that_sound_alike_are_told_at_the_second_one(tmp_path: Path) -> None:
    assert advice(tmp_path, measuring("gap", "end play", "cap")) == [
        '7:40: advice: "cap" sounds like "gap"; give one of them another name'
    ]
    assert advice(tmp_path, measuring("inlet clearance", "exhaust clearance", "end play", "run out")) == []


TABLES = """
title: Gap
item: bench rig
revision: 1
questions:
  collar: {ask: Is there a collar?}
  spare: {ask: Is there a spare?}
places: {ends: [left end, right end]}
fasteners:
  long: {size: M2 x 8}
  short: {size: M2 x 5}
lubricants: {oil: {which: instrument oil}}
tools: {rule: {name: steel rule}}
steps:
  - {id: a, do: Fit it., fasteners: {use: long, where: the lid}, lubricant: oil, only if: {collar: yes}}
  - {id: b, do: Grease it., lubricant: {which: damping grease}, only if: {collar: no}, rests on: a}
  - {id: c, do: Screw it., fasteners: {use: long, where: the lid, only if: {collar: yes}}, only if: {collar: no}}
"""


def test_what_is_never_used_or_can_never_come_about(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(TABLES, "utf-8")
    assert [str(each).removeprefix(f"{path}:") for each in check(path)] == [
        '7:10: advice: "spare" is in "questions" and nothing depends on it ("only if"); take it out, or correct the name '  # noqa: E501
        "where it is meant",
        '8:16: advice: "ends" is in "places" and no step is repeated at it ("for each"); take it out, or correct the name '  # noqa: E501
        "where it is meant",
        '11:10: advice: "short" is in "fasteners" and no step uses it; take it out, or correct the name where it is meant',  # noqa: E501
        '13:15: advice: "rule" is in "tools" and no step uses it; take it out, or correct the name where it is meant',
        '16:40: advice: "damping grease" is not in the table "lubricants"; put it there, and its short name here',
        '16:98: advice: "rests on": no answers bring both this step and "a" about; name a step that is there too',
        "17:76: advice: the step is left out with every answer that this wants, so it never comes about; change one",
    ]


def test_errors_are_shown_before_advice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(HEAD + "  - {id: a, do: Let the spring down.}\n  - {id: b, do: " + words(26) + "}\n", "utf-8")
    assert main(["check", str(path)]) == 2
    lines = capsys.readouterr().out.splitlines()
    assert [line.split(":")[1] for line in lines] == ["6", "5"]
    assert "advice" not in lines[0] and "advice" in lines[1]


def test_a_mistake_hides_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(
        HEAD
        + "  - {id: a, do: " + words(26) + ", colour: red}\n"
        + "  - id: b\n    do: Measure the gap then lock it.\n    rests on: nowhere\n    measure:\n"
        + "      - {name: gap, unit: furlongs}\n      - {name: lift two, unit: mm, tool: rule}\n"
        + "  - {do: Press it., check: It is in.}\n"
        + "  - just words\n"
        + "  - {id: e, do: " + words(27) + ", needs: gone}\n",
        "utf-8",
    )  # fmt: skip
    found = [(each.line, each.severity.value, each.message) for each in check(path)]
    told = [(5, "error", "26 words"), (5, "error", "colour"), (7, "advice", "two acts"), (8, "error", "nowhere"),
            (10, "error", "furlongs"), (11, "advice", "lift two"), (12, "error", 'needs "id"'),
            (12, "advice", "no question"), (13, "error", "group of keys"), (14, "error", "27 words"),
            (14, "error", "gone")]  # fmt: skip
    assert [(line, severity) for line, severity, _ in found] == [(line, severity) for line, severity, _ in told]
    assert all(part in message for (_, _, part), (_, _, message) in zip(told, found, strict=True))


def test_a_name_that_is_wrong_does_not_bring_advice_on_what_it_meant(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(TABLES.replace("use: long", "use: lnog"), "utf-8")
    assert [each.line for each in check(path) if each.severity is ProblemSeverity.ADVICE] == []
    assert all("lnog" in each.message for each in check(path))


@given(st.data())
def test_a_file_with_any_part_spoilt_is_looked_over_to_its_end(data: st.DataObject) -> None:
    whole = yaml_text.read_yaml(TABLES).data
    steps = whole["steps"]
    step = data.draw(st.sampled_from(steps))
    spoilt = st.sampled_from([None, 7, "x y z", [], {}, [None, {"use": "long"}], {"name": 1}])
    step[data.draw(st.sampled_from([*step, "measure", "dangers", "wait", "tools"]))] = data.draw(spoilt)
    whole[data.draw(st.sampled_from([*TABLE_KEYS, "title"]))] = data.draw(spoilt)
    steps.append({"id": "last", "do": words(30)})
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "p.yaml"
        path.write_text(yaml.safe_dump(whole, sort_keys=False), "utf-8")
        assert any("30 words" in each.message for each in check(path))


TABLE_KEYS = ("fasteners", "lubricants", "tools", "questions", "places")


SPOILT = (None, 7, -3.5, True, "", "yes", "x y z", [], {}, ["a", "a"], [None, {"use": "long"}], {"name": 1})


@settings(max_examples=60)
@given(
    st.sampled_from(shipped_names()), st.lists(st.tuples(st.integers(0, 10_000), st.sampled_from(SPOILT)), max_size=4)
)
def test_whatever_is_wrong_is_told_and_ends_in_no_fault_of_the_checker(name: str, spoilt: list[Any]) -> None:
    data = yaml_text.read_yaml(find(name).read_text("utf-8")).data
    for at, value in spoilt:
        places = list(_places(data))
        group, key = places[at % len(places)]
        group[key] = deepcopy(value)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "p.yaml"
        path.write_text(yaml.safe_dump(data, sort_keys=False), "utf-8")
        assert all(each.line or each.column == 0 for each in check(path, [answers_taken_for_commands]))


def _places(data: Any) -> Iterator[tuple[Any, Any]]:
    for key, value in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
        yield data, key
        yield from _places(value)


@pytest.mark.parametrize("danger", ["{kind: [eye]}", "[[eye]]", "{kind: eye, until: [a]}", "{kind: {eye: 1}}"])
def test_a_danger_of_the_wrong_shape_is_told(tmp_path: Path, danger: str) -> None:
    assert any("error: " in line for line in advice(tmp_path, f"  - {{id: a, do: Press it., dangers: {danger}}}\n"))


@pytest.mark.parametrize(
    "unit",
    # As trades write them: barometers, vacuum gauges, torque wrenches, spring balances, timing machines, hardness.
    ["hPa", "mbar", "mmHg", "mm Hg", "inHg", "in Hg", "inches of water", "inH2O", "lbf ft", "lbf·ft", "ft lb", "lbf",
     "kgf", "lb", "lbs", "oz", "cN m", "cNm", "dB", "ml", "s/day", "seconds a day", "HV", "HRC", "HRB", "HB", "Shore A",
     "foot"],
)  # fmt: skip
def test_units_of_the_trades_are_known(tmp_path: Path, unit: str) -> None:
    steps = f"  - {{id: a, do: Measure it., measure: {{name: play, unit: {unit}, at most: 3, tool: gauge}}}}\n"
    assert [each for each in advice(tmp_path, steps) if "unit" in each] == []


def test_grams_on_a_spring_balance_are_remarked_on(tmp_path: Path) -> None:
    balance = "tool: {name: spring balance, resolution: 1}"
    mass = f"  - {{id: a, do: Pull., measure: {{name: drag, unit: g, at most: 40, {balance}}}}}\n"
    assert any('write "unit: gf" if a pull or a push is meant' in each for each in advice(tmp_path, mass))
    force = mass.replace("unit: g,", "unit: N,").replace("resolution: 1", "resolution: 1 g").replace("40", "0.4")
    (told,) = [each for each in advice(tmp_path, force) if "force" in each]
    assert "the spring balance is marked in grams; they are taken as force here" in told
    scales = mass.replace("spring balance", "pan scales")
    assert [each for each in advice(tmp_path, scales) if "force" in each] == []
