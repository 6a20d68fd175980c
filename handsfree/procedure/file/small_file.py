"""A small file of a workshop's own (its settings, its words for taking apart) as a tree."""

from __future__ import annotations

from pathlib import Path

from handsfree.procedure.file import yaml_text
from handsfree.procedure.file.problems import Problem, ProcedureError

MOST_BYTES = 1 << 20
"""What is read of it."""


def tree_of(path: Path) -> yaml_text.Tree:
    """The tree of a file; ProcedureError where there is none to be had."""
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            # A pipe may never end, nor ever begin.
            raise ProcedureError(Problem(path, 0, 0, "this is a device or a pipe; name a file"))
        with path.open("rb") as file:
            return yaml_text.read_yaml(file.read(MOST_BYTES).decode("utf-8-sig"))
    except OSError as error:
        raise ProcedureError(Problem(path, 0, 0, f"the file can't be read: {error.strerror or error}")) from None
    except UnicodeDecodeError:
        raise ProcedureError(Problem(path, 0, 0, "this is not UTF-8 text; save the file with that encoding")) from None
    except yaml_text.NotYaml as error:
        raise ProcedureError(Problem(path, *error.mark, error.message)) from None
