"""A procedure file is read exactly, or everything that is wrong with it is said with its place."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.procedure.file.loader import Loaded, load_procedure, parse_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.model import Procedure
from handsfree.procedure.shipped import shipped_dir

HEAD = "title: Gap\nitem: bench rig\nrevision: 1\n"
GOOD = (
    HEAD
    + """steps:
  - id: fit
    do: Fit the plate.
    dangers:
      - say: It is hot.
        until: prove
  - id: prove
    do: Measure the gap.
    rests on: fit
    measure:
      name: Plate-Gap
      also: [gap]
      unit: thousandths
      limits: [1.50, 3]
      target: 2.0
      tool: {name: feelers, resolution: 0.5}
      when: as left
"""
)


def problems(text: str | bytes) -> list[str]:
    """The problems of a file with this text, each as "line:column: message"."""
    data = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(ProcedureError) as caught:
        parse_procedure(data, "p.yaml")
    assert all(str(each).startswith("p.yaml") for each in caught.value.problems)
    return [str(each).removeprefix("p.yaml").lstrip(":") for each in caught.value.problems]


def only_problem(text: str | bytes) -> str:
    found = problems(text)
    assert len(found) == 1, found
    return found[0]


def test_a_good_file_is_read_exactly() -> None:
    procedure = parse_procedure(GOOD.encode(), "p.yaml").procedure
    (measured,) = procedure.characteristics
    assert measured.low is not None and measured.high is not None and measured.target is not None
    assert [measured.low.text, measured.high.text, measured.target.text] == ["1.50", "3", "2.0"]
    assert (measured.low.unit, measured.unit, measured.occasion) == ("thou", "thou", "as left")
    assert procedure.names == {"plate gap": "plate gap", "gap": "plate gap"}
    assert procedure.step_number("prove") == 2
    assert procedure.by_id("prove").rests_on == ("fit",)
    assert procedure.resting_on("fit") == ("prove",)
    assert [(danger.say, danger.until) for step in procedure.steps for danger in step.dangers] == [
        ("It is hot.", "prove")
    ]


def test_the_digest_is_that_of_the_files_bytes(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    loaded = load_procedure(path)
    assert loaded.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert loaded.text.startswith("title") and loaded.procedure == parse_procedure(GOOD.encode(), "p").procedure


def test_the_place_of_a_value_is_its_line_in_the_file() -> None:
    loaded = parse_procedure(GOOD.encode(), "p.yaml")
    lines = GOOD.splitlines()
    for place in [("steps", 1, "do"), ("steps", 0, "dangers", 0, "until"), ("steps", 1, "measure", 0, "target")]:
        line, column = loaded.mark(place)
        assert lines[line - 1][: column - 1].strip(" -") == f"{place[-1]}:"


def test_a_missing_file_a_folder_and_a_huge_file_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(ProcedureError, match="there is no such file; check the path"):
        load_procedure(tmp_path / "absent.yaml")
    with pytest.raises(ProcedureError, match="this is a folder"):
        load_procedure(tmp_path)
    with pytest.raises(ProcedureError, match="there is no such file"):
        load_procedure(tmp_path / "absent" / "p.yaml")
    huge = tmp_path / "huge.yaml"
    huge.write_bytes(b"#" * 2_000_001)
    with pytest.raises(ProcedureError, match="larger than"):
        load_procedure(huge)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "1:1: the file is empty; a procedure needs title, item, revision and steps"),
        ("# only a comment\n", "1:1: the file is empty; a procedure needs title, item, revision and steps"),
        (b"\x89PNG\0\x01", " this is not a text file; name a procedure file (YAML, UTF-8)"),
        (b"\xef\xbb\xbf\n<!DOCTYPE html>", " this is a page (HTML or XML); name a procedure file (YAML, UTF-8)"),
        ("title: Größe".encode("latin-1"), "1:10: this is not UTF-8 text; save the file with the encoding UTF-8"),
        ("title: a\x07b", "1:9: there is an unprintable character here; take it out"),
        ("title: x\nsteps:\n\t- id: a\n", "3:1: there is a tab here; YAML is indented with spaces only"),
        (
            "title: x\nsteps:\n  - id: a\n   do: b\n",
            "4:4: the indentation does not fit here; the keys of one group must stand exactly under each other",
        ),
        (
            "title: Gap: a rebuild\n",
            "1:11: there is a colon here where none can stand; put the text in quotes, or correct the indentation so "
            "that the keys of one group stand under each other",
        ),
        ("title: 'open\n", "2:1: a quote or bracket that was opened is never closed"),
        (
            "title: [a, b\n",
            "2:1: a list in brackets is not finished; put commas between its parts and close the bracket",
        ),
        ("title: x\nsteps\nitem: y\n", '3:1: a key without its colon; write "key: value"'),
        ("title: @x", "1:8: a value can not begin with '@'; put the text in quotes"),
        ("title: x\n---\ntitle: y\n", '2:1: a second document begins here ("---"); keep one procedure in one file'),
        ("title: &t [*t]\n", "1:8: an alias (*) here refers to the very thing it stands in; write it out"),
        ("- a\n", '1:1: a procedure must be a group of keys ("title: ..." and so on), not a list'),
        ("just words\n", '1:1: a procedure must be a group of keys ("title: ..." and so on), not "just words"'),
    ],
)
def test_what_is_no_procedure_at_all(text: str | bytes, says: str) -> None:
    assert only_problem(text) == says


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("title: Gap\n", "", '1:1: a procedure needs "title": what the procedure is called'),
        ("title: Gap", "title:", '1:1: "title" has no value; fill it in or take the line out'),
        ("title: Gap", "title: ''", '1:8: "title" is empty; write something or leave the key out'),
        ("title: Gap", "title: [Gap]", '1:8: "title" must be text, not a list'),
        (
            "item: bench rig",
            "items: bench rig\nitem: rig",
            '2:1: "items" is not a key that a procedure can have; did you mean "item"?',
        ),
        ("    do: Fit the plate.\n", "", '5:5: a step needs "do": the act, in a few words'),
        ("do: Fit", "act: Fit\n    do: Fit", '6:5: "act" is not a key that a step can have; did you mean "do"?'),
        (
            "say: It is hot.",
            "says: x\n        say: x",
            '8:9: "says" is not a key that a danger can have; did you mean "say"?',
        ),
        (
            "limits: [1.50, 3]",
            "max: 3",
            '17:7: "max" is not a key that a measurement can have; did you mean "at most"?',
        ),
        (
            "resolution: 0.5",
            "resolutoin: 0.5",
            '19:29: "resolutoin" is not a key that a tool can have; did you mean "resolution"?',
        ),
        (
            "when: as left",
            "colour: red",
            '20:7: "colour" is not a key that a measurement can have; keys here are name, also, unit, '
            "limits, at least, at most, target, tool, deviation, when, only if, only at",
        ),
        (
            "thousandths",
            "mil",
            '16:13: "unit": "mil" means different things to different people; write "mm" or "thou"',
        ),
        ("thousandths", "thuo", '16:13: "unit": "thuo" is not a known unit; did you mean "thou"?'),
        ("      unit: thousandths\n", "", '14:7: a measurement needs "unit": such as "thou" or "mm"'),
        (
            "[1.50, 3]",
            "[3, 1.50]",
            '17:15: "limits" are the wrong way round (3, then 1.50); write the smaller one first',
        ),
        ("[1.50, 3]", "[3, 3.0]", '17:15: "limits" leave no room (both 3); widen them'),
        (
            "[1.50, 3]",
            "3",
            '17:15: "limits" must be two numbers, such as [1.5, 3]; for one only use "at least" or "at most"',
        ),
        (
            "[1.50, 3]",
            "[1,50, 3]",
            '17:15: "limits" must be two numbers, such as [1.5, 3]; for one only use "at least" or "at most"',
        ),
        (
            "limits: [1.50, 3]\n      target: 2.0",
            "at least: 3\n      at most: 1",
            '18:16: "at most" are the wrong way round (3, then 1); write the smaller one first',
        ),
        (
            "[1.50, 3]",
            "[1.50, 3]\n      at most: 3",
            '18:16: "at most" can\'t stand beside "limits"; keep one of the two',
        ),
        ("target: 2.0", "target: 3.01", '18:15: "target" 3.01 is above the upper limit 3; change one of them'),
        ("target: 2.0", "target: 1.49", '18:15: "target" 1.49 is below the lower limit 1.50; change one of them'),
        (
            "target: 2.0",
            "target: 2 mm",
            '18:15: "target" must be a plain number, not "2 mm"; the unit goes under "unit"',
        ),
        (
            "resolution: 0.5",
            "resolution: 0.5 N",
            '19:13: "tool" does not fit the unit: newtons measure force, not length',
        ),
        ("resolution: 0.5", "resolution: 0", '19:41: "resolution" must be more than nought, not 0'),
        ("when: as left", "when: later", '20:13: "when" must be "as found", "as set" or "as left", not "later"'),
        (
            "Plate-Gap",
            "gap 2",
            '14:13: "name": "gap 2" has digits in it; a spoken name is made of words only, so write numbers as words',
        ),
        (
            "    rests on: fit",
            "    rests on: fit\n  - id: fit\n    do: x",
            '13:9: "fit" is already the identifier of step 1; choose another',
        ),
        ("until: prove", "until: proof", '9:16: "until": there is no step "proof"; did you mean "prove"?'),
        ("rests on: fit", "rests on: [fat]", '12:16: "rests on": there is no step "fat"; did you mean "fit"?'),
        (
            "rests on: fit",
            "rests on: prove",
            '12:15: "rests on": "prove" is this step itself; a step can only rest on earlier ones',
        ),
        (
            "    do: Fit",
            "    rests on: prove\n    do: Fit",
            '6:15: "rests on": "prove" is a later step; a step can only rest on earlier ones',
        ),
        (
            "    rests on: fit",
            "    dangers: {say: x, until: fit}",
            '12:30: "until": "fit" comes before this step; name this step or a later one',
        ),
        (
            "    do: Fit",
            "    do: Hold\n    do: Fit",
            '7:5: "do" is here twice (first in line 6); keep one, or make one list of both',
        ),
        (
            "    do: Fit",
            "    wait: ten minutes\n    do: Fit",
            '6:11: "for": "ten minutes" is not a length of time; write it as "10 minutes", "90 '
            'seconds" or "1 hour 30 minutes"',
        ),
        (
            "    do: Fit",
            "    fasteners: {count: none, size: M2}\n    do: Fit",
            '6:24: "count" must be a whole number from one, not "none"',
        ),
        (
            "    do: Fit",
            "    fasteners: {size: M2, left-hand thread: maybe}\n    do: Fit",
            '6:45: "left-hand thread" must be true or false, not "maybe"',
        ),
        (
            "    do: Fit",
            "    fasteners: two screws\n    do: Fit",
            '6:16: "two screws" is not in the table "fasteners"; put it there, or write out its keys ("size: M2 x 5")',
        ),
        (
            "    do: Fit",
            "    cautions: [a, ]\n    why: !loud x\n    do: Fit",
            '7:10: "!loud" is a tag, and tags are not used here; take it out',
        ),
        (
            "revision: 1",
            "revision: 1\nvocabulary: {slot: [gib gap]}",
            '4:20: "vocabulary" names "slot", which no step measures; correct the name or take it out',
        ),
    ],
)
def test_one_mistake_gives_one_message_with_its_place(old: str, new: str, says: str) -> None:
    assert old in GOOD
    assert only_problem(GOOD.replace(old, new, 1)) == says


def test_a_key_that_is_no_word_is_told_where_it_stands() -> None:
    assert "1:3: a key must be a plain word" in problems("? [a, b]\n: x\n" + GOOD)


def test_a_key_is_what_the_documents_call_it_and_nothing_else() -> None:
    fastener = "fasteners: {size: M2 x 5, %s: yes}"
    step = HEAD + "steps:\n  - {id: one, do: Fit the screw., " + fastener + "}\n"
    assert (
        parse_procedure((step % "left-hand thread").encode(), Path("p.yaml")).procedure.steps[0].fasteners[0].left_hand
    )
    assert '"left_hand" is not a key' in only_problem(step % "left_hand")


def test_every_mistake_of_a_file_is_told_at_once_and_in_order() -> None:
    text = HEAD + (
        "steps:\n"
        "  - id: one\n"
        "    do: Fit it.\n"
        "    dangers: {say: It is hot., until: tow}\n"
        "    wiat: 10 minutes\n"
        "    measure: {name: gap, also: play, unit: thuo}\n"
        "  - id: two\n"
        "    rests on: [one, three]\n"
        "    measure: {name: end play, also: play, unit: mm, limits: [2, 1]}\n"
    )
    found = problems(text)
    assert [each.split(": ", 1)[0] for each in found] == ["7:39", "8:5", "9:44", "10:5", "11:21", "12:37", "12:61"]
    assert "'play'" not in found[5] and '"play" already stands for "gap" (step 1)' in found[5]


def test_steps_must_be_a_list_with_something_in_it() -> None:
    assert only_problem(HEAD + "steps: []\n") == '4:8: "steps" is empty; a procedure needs at least one step'
    assert only_problem(HEAD + "steps: {}\n").startswith('4:8: "steps" must be a list (lines that begin with "- ")')
    assert problems(HEAD + "steps: [words, ]\n") == [
        '4:9: an entry of "steps" must be a group of keys ("key: value" lines), not "words"'
    ]


def steps_that_measure(*measures: str) -> str:
    return (
        HEAD
        + "steps:\n"
        + "".join(
            f"  - {{id: s{number}, do: Measure it., measure: {{{measure}}}}}\n"
            for number, measure in enumerate(measures)
        )
    )


def test_the_same_characteristic_may_be_measured_in_several_steps() -> None:
    text = steps_that_measure("name: gap, also: slot, unit: thou", "name: gap, unit: thou, when: as left")
    procedure = parse_procedure(text.encode(), "p").procedure
    assert procedure.names == {"gap": "gap", "slot": "gap"}
    assert [each.occasion for each in procedure.characteristics] == ["as set", "as left"]


def test_one_name_in_two_units_is_refused() -> None:
    message = only_problem(steps_that_measure("name: gap, unit: thou", "name: gap, unit: mm"))
    assert message.endswith('"gap" is measured in mm here and in thou in step 1; use one unit')


@pytest.mark.parametrize(
    ("first", "second"),
    [("name: gap, also: slot", "name: play, also: slot"), ("name: gap, also: play", "name: play"),
     ("name: gap", "name: play, also: gap")],
)  # fmt: skip
def test_a_spoken_name_means_one_thing_only(first: str, second: str) -> None:
    message = only_problem(steps_that_measure(f"{first}, unit: mm", f"{second}, unit: mm"))
    assert "already stands for" in message and message.endswith("a spoken name may mean one thing only")


def test_the_vocabulary_adds_spoken_names() -> None:
    text = steps_that_measure("name: gap, unit: mm") + "vocabulary: {Gap: [Slot, slit-width]}\n"
    assert parse_procedure(text.encode(), "p").procedure.names == {"gap": "gap", "slot": "gap", "slit width": "gap"}


def test_a_bomb_of_aliases_is_refused_and_does_not_fill_the_memory() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    assert "use fewer aliases" in only_problem("\n".join(lines))


def test_deep_nesting_is_refused_without_a_traceback() -> None:
    for depth in (100, 600):
        assert "nested too deeply" in only_problem("title: " + "[" * depth + "x" + "]" * depth)


def test_a_procedure_made_in_code_is_checked_between_its_steps_too() -> None:
    with pytest.raises(ValueError, match="already the identifier of step 1"):
        Procedure(title="t", item="i", revision="1", steps=({"id": "a", "do": "x"}, {"id": "a", "do": "y"}))  # type: ignore[arg-type]


SHIPPED = (shipped_dir() / "focusing-slide.yaml").read_text("utf-8")


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, len(SHIPPED) - 1),
    st.integers(0, 12),
    st.sampled_from(["", ":", "- ", "\t", "'", "[", "{", "&a", "*a", "\n", "\n  ", "1", "~", "é", "\x07", "? ", "|\n"]),
)
def test_a_spoilt_file_gives_a_procedure_or_messages_with_lines_and_nothing_else(at: int, cut: int, put: str) -> None:
    text = SHIPPED[:at] + put + SHIPPED[at + cut :]
    try:
        assert isinstance(parse_procedure(text.encode(), "p.yaml"), Loaded)
    except ProcedureError as error:
        assert error.problems
        for problem in error.problems:
            assert 1 <= problem.line <= text.count("\n") + 2
            for jargon in ("Value error", "Field required", "Extra inputs", "Input should", "validation", "Tuple"):
                assert jargon not in problem.message


@settings(max_examples=60, deadline=None)
@given(st.one_of(st.binary(max_size=60), st.text(max_size=60).map(str.encode)))
def test_arbitrary_bytes_never_do_worse_than_a_message(data: bytes) -> None:
    with pytest.raises(ProcedureError):
        parse_procedure(data, "p.yaml")
