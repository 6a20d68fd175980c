"""The JSON Schema of procedure files, made from the models: for completion and marks of mistakes in editors."""

from __future__ import annotations

import json
from typing import Any

from pydantic.json_schema import GenerateJsonSchema

from handsfree.procedure.file.format import ProcedureFile

SCHEMA_FILE = "procedure.schema.json"
_HIDDEN = "("
"""Fields that no file has begin with it."""


def json_schema() -> dict[str, Any]:
    """The schema (draft 2020-12) of a whole procedure file."""
    made = ProcedureFile.model_json_schema(by_alias=True, mode="validation")
    made = _tidy(made)
    return {
        "$schema": GenerateJsonSchema.schema_dialect,
        **made,
        "title": "Procedure",
        "description": "A procedure for Handsfree: what each key means is told in the README beside this file.",
    }


def schema_text() -> str:
    """The schema as it is kept in the file."""
    return json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"


def _tidy(part: Any) -> Any:
    """Without the fields that no file has, without defaults and made-up titles: they only confuse an editor."""
    if isinstance(part, list):
        return [_tidy(each) for each in part]
    if not isinstance(part, dict):
        return part
    kept = {key: _tidy(value) for key, value in part.items() if not (key in ("default", "title") and _plain(value))}
    if isinstance(kept.get("properties"), dict):
        kept["properties"] = {key: value for key, value in kept["properties"].items() if not key.startswith(_HIDDEN)}
    # What may be left out is left out: an empty value has no meaning in a file.
    options = kept.get("anyOf")
    if isinstance(options, list) and {"type": "null"} in options:
        options = [option for option in options if option != {"type": "null"}]
        kept = {**kept, "anyOf": options} if len(options) > 1 else {**kept, **options[0]}
        if len(options) == 1:
            del kept["anyOf"]
    return kept


def _plain(value: Any) -> bool:
    return not isinstance(value, dict) or not value
