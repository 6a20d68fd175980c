"""``handsfree schema``: the JSON Schema of procedure files."""

from __future__ import annotations

import argparse

from handsfree.commands.output import data
from handsfree.procedure.file.schema import schema_text


def run_schema(_: argparse.Namespace) -> int:
    """Print the JSON Schema."""
    with data():
        print(schema_text(), end="")
    return 0
