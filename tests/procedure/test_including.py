"""One procedure included in another."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.procedure.file.loader import load_procedure, parse_procedure
from handsfree.procedure.file.problems import ProcedureError

CLEAN = """\
title: Cleaning
item: parts
revision: 1
lubricants: {oil: {which: instrument oil}}
steps:
  - {id: wash, do: Wash the parts., dangers: flame}
  - {id: dry, do: Dry the parts., needs: wash, lubricant: oil}
"""
WHOLE = """\
title: Whole
item: gauge
revision: 1
questions: {dirty: {ask: Is it dirty?}}
steps:
  - {id: strip, do: Strip it.}
  - include: clean.yaml
    as: first
    only if: {dirty: yes}
  - {id: fit, do: Fit it., needs: first dry}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "clean.yaml").write_text(CLEAN, "utf-8")
    (tmp_path / "whole.yaml").write_text(WHOLE, "utf-8")
    return tmp_path


def test_its_steps_stand_where_it_is_named(folder: Path) -> None:
    procedure = load_procedure(folder / "whole.yaml").procedure
    assert [step.id for step in procedure.steps] == ["strip", "first wash", "first dry", "fit"]
    assert procedure.by_id("first dry").needs == ("first wash",)
    assert procedure.by_id("first dry").lubricants[0].which == "instrument oil"
    assert procedure.left_out({"dirty": "no"}) == ("first wash", "first dry")
    assert procedure.by_id("first wash").group == "Cleaning"


def test_the_text_that_is_kept_needs_no_other_file(folder: Path) -> None:
    loaded = load_procedure(folder / "whole.yaml")
    assert parse_procedure(loaded.text.encode(), "elsewhere/whole.yaml").procedure == loaded.procedure


def test_a_change_of_what_is_included_changes_the_digest(folder: Path) -> None:
    before = load_procedure(folder / "whole.yaml").sha256
    (folder / "clean.yaml").write_text(CLEAN.replace("Wash", "Rinse"), "utf-8")
    assert load_procedure(folder / "whole.yaml").sha256 != before


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("clean.yaml", "do: Dry the parts.", "du: x", "clean.yaml:7:5: a step needs"),
        ("whole.yaml", "include: clean.yaml", "include: cleen.yaml", "cleen.yaml: there is no such file"),
        ("whole.yaml", "as: first", "at: first", 'whole.yaml:8:5: "at" is not a key that an inclusion can have'),
        ("clean.yaml", "  - {id: wash", "  - {include: whole.yaml}\n  - {id: wash", "whole.yaml is included in itself"),
        ("whole.yaml", "questions:", "lubricants: {oil: {which: clock oil}}\nquestions:",
         'whole.yaml:8:14: "oil" means something else under "lubricants" of clean.yaml; use another short name'),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_in_its_own_file(folder: Path, file: str, old: str, new: str, says: str) -> None:
    path = folder / file
    path.write_text(path.read_text("utf-8").replace(old, new, 1), "utf-8")
    with pytest.raises(ProcedureError) as caught:
        load_procedure(folder / "whole.yaml")
    assert any(says in str(each) for each in caught.value.problems), [str(each) for each in caught.value.problems]
