"""The JSON Schema for editors: the committed file is the model's, and it agrees with the loader."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from handsfree.cli import main
from handsfree.procedure.file.schema import SCHEMA_FILE, json_schema, schema_text
from handsfree.procedure.shipped import shipped_dir
from tests.support.procedures import VALVES

VALIDATOR = jsonschema.Draft202012Validator(json_schema())


def as_an_editor_reads(text: str) -> Any:
    return YAML(typ="safe", pure=True).load(text)


def test_the_file_beside_the_procedures_is_that_of_the_model(capsys: pytest.CaptureFixture[str]) -> None:
    assert (shipped_dir() / SCHEMA_FILE).read_text("utf-8") == schema_text()
    assert main(["schema"]) == 0
    assert capsys.readouterr().out == schema_text()


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())


@pytest.mark.parametrize("path", sorted(shipped_dir().glob("*.yaml")), ids=lambda path: path.stem)
def test_what_is_shipped_agrees_with_it(path: Path) -> None:
    assert [each.message for each in VALIDATOR.iter_errors(as_an_editor_reads(path.read_text("utf-8")))] == []


def test_groups_variants_and_tables_agree_with_it() -> None:
    assert [each.message for each in VALIDATOR.iter_errors(as_an_editor_reads(VALVES))] == []


@pytest.mark.parametrize(
    ("old", "new"),
    [("item: Bench engine\n", ""), ("revision: 1", "revision: 1\ncolour: red"), ("ask: Is it", "asks: Is it"),
     ("when: start", "when: later"), ("limits: [3, 5]", "limits: [3]"), ("count: 4", "count: many"),
     ("do: Take the cover off.", "act: Take the cover off."), ("size: M4 x 12", "sise: M4 x 12"),
     ("(place)", "(place)"), ("stop: true", "stop: [1]")],
)  # fmt: skip
def test_an_editor_marks_what_the_loader_refuses(old: str, new: str) -> None:
    text = VALVES.replace(old, new, 1) if old != new else VALVES.replace("{id: open,", '{id: open, "(place)": x,')
    assert list(VALIDATOR.iter_errors(as_an_editor_reads(text)))
