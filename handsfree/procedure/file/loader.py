"""A procedure from its file, or everything that is wrong with the file."""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ConfigDict, TypeAdapter, ValidationError

from handsfree.procedure.check.consistency import inconsistencies
from handsfree.procedure.check.outline import outline_of_data
from handsfree.procedure.file import yaml_text
from handsfree.procedure.file.expansion import Expanded, expand
from handsfree.procedure.file.including import Assembled, assemble
from handsfree.procedure.file.problems import LocatedFault, Problem, ProcedureError, in_plain_words
from handsfree.procedure.location import Location
from handsfree.procedure.model import Procedure, SpokenName, SpokenNames, VariantQuestion

_WHEN_USED = ConfigDict(defer_build=True)
_VOCABULARY: TypeAdapter[dict[str, tuple[str, ...]]] = TypeAdapter(dict[SpokenName, SpokenNames], config=_WHEN_USED)

_QUESTIONS: TypeAdapter[dict[str, VariantQuestion]] = TypeAdapter(dict[SpokenName, VariantQuestion], config=_WHEN_USED)

LARGEST_FILE = 2_000_000
"""Bytes."""


@dataclass(frozen=True)
class Loaded:
    """A procedure with the file it came from: its text (complete: with what it includes), and the SHA-256 (hexadecimal)
    of its bytes and those of what it includes."""

    procedure: Procedure
    path: Path
    sha256: str
    text: str
    written: str
    """The text of the file alone."""
    tree: yaml_text.Tree = field(repr=False, compare=False)
    expanded: Expanded = field(repr=False, compare=False)
    data: Any = field(default=None, repr=False, compare=False)
    """As it stands in the file, with everything that is included."""

    def mark(self, place: Location) -> yaml_text.TextPosition:
        """Line and column in the file of a place in the procedure (steps counted as they are worked)."""
        return self.tree.mark(self.expanded.place(place))


@dataclass(frozen=True)
class PartialReading:
    """What a procedure file says, whether or not it can be used."""

    problems: tuple[Problem, ...]
    """In file order."""
    procedure: Procedure | None
    text: str
    tree: yaml_text.Tree
    expanded: Expanded
    assembled: Assembled


def load_procedure(path: str | Path) -> Loaded:
    """Read a procedure file, with what it includes; ProcedureError with everything that is wrong with it."""
    path = Path(path)
    return parse_procedure(bytes_of(path), path)


DEEPEST_INCLUSION = 8
"""Files that include one another; each may include several, so that the work doubles and doubles again."""


def bytes_of(path: Path) -> bytes:
    """The bytes of a procedure file; ProcedureError where there are none to be had."""
    try:
        kind = path.stat().st_mode
        if not stat.S_ISREG(kind) and not stat.S_ISDIR(kind):
            # A pipe may never end, nor ever begin.
            raise ProcedureError(Problem(path, 0, 0, "this is a device or a pipe; save the procedure as a file"))
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
        if len(data) > LARGEST_FILE:
            raise ProcedureError(Problem(path, 0, 0, f"this file is larger than {LARGEST_FILE} bytes: no procedure is"))
        return data
    except FileNotFoundError:
        raise ProcedureError(Problem(path, 0, 0, "there is no such file; check the path")) from None
    except IsADirectoryError:
        raise ProcedureError(Problem(path, 0, 0, "this is a folder; name a procedure file in it")) from None
    except ValueError:
        raise ProcedureError(Problem(path, 0, 0, "this is no name of a file; check the path")) from None
    except OSError as error:
        if os.path.isdir(path):  # noqa: PTH112 - a Path raises for a name that is too long; where opening a folder is refused as a matter of permission
            raise ProcedureError(Problem(path, 0, 0, "this is a folder; name a procedure file in it")) from None
        raise ProcedureError(Problem(path, 0, 0, f"the file can't be read: {error.strerror or error}")) from None


def parse_procedure(data: bytes, path: str | Path, including: tuple[Path, ...] = ()) -> Loaded:
    """As ``load_procedure``, from the bytes; ``path`` is for the messages and for finding what it includes, and
    ``including`` are the files that include this one."""
    path = Path(path)
    reading = read_what_can_be(data, path, including)
    if reading.problems or reading.procedure is None:
        raise ProcedureError(*reading.problems)
    text, assembled = reading.text, reading.assembled
    sha256 = hashlib.sha256(b"".join((data, *assembled.added))).hexdigest()
    if assembled.added:
        # A log must be readable without any other file. JSON is YAML.
        text = json.dumps(assembled.data, ensure_ascii=False, indent=1)
    return Loaded(
        procedure=reading.procedure,
        path=path,
        sha256=sha256,
        text=text,
        written=reading.text,
        tree=reading.tree,
        expanded=reading.expanded,
        data=assembled.data,
    )


def read_what_can_be(data: bytes, path: Path, including: tuple[Path, ...] = ()) -> PartialReading:
    """As ``parse_procedure``, keeping what can be read despite mistakes; ProcedureError where that is nothing."""
    text = _text(data, path)
    try:
        tree = yaml_text.read_yaml(text)
    except yaml_text.NotYaml as error:
        raise ProcedureError(Problem(path, *error.mark, error.message)) from None
    if tree.data is None:
        raise ProcedureError(
            Problem(path, 1, 1, "the file is empty; a procedure needs title, item, revision and steps")
        )
    problems = [Problem(path, *mark, message) for mark, message in tree.problems]
    procedure: Procedure | None = None
    chain = (*including, path.resolve())

    def fetch(other: Path) -> tuple[Any, bytes]:
        if "\0" in str(other):
            raise ProcedureError(Problem(path, 0, 0, "what is included is no name of a file; check it"))
        if len(chain) > DEEPEST_INCLUSION:
            raise ProcedureError(
                Problem(path, 0, 0, f"this is included {DEEPEST_INCLUSION} files deep; include what is meant directly")
            )
        if other.resolve() in chain:
            raise ProcedureError(Problem(path, 0, 0, f"{other.name} is included in itself; take one inclusion out"))
        content = bytes_of(other)
        return parse_procedure(content, other, chain).data, content

    assembled = assemble(tree.data, path.parent, fetch)
    expanded = expand(assembled.data)
    faults = [*assembled.faults, *expanded.faults]
    try:
        procedure = Procedure.model_validate(expanded.data, by_alias=True, by_name=False)
    except ValidationError as error:
        faults += [
            LocatedFault(expanded.place(fault.place), fault.message, fault.of_key) for fault in in_plain_words(error)
        ]
        faults += [LocatedFault(expanded.place(place), message) for place, message in _between_steps(expanded.data)]
    problems += [
        Problem(path, *tree.mark(fault.place, fault.of_key), fault.message)
        for fault in faults
        if fault.place not in tree.left_out
    ]
    in_order = sorted(dict.fromkeys(problems), key=lambda problem: (problem.line, problem.column))
    return PartialReading(tuple(in_order), procedure, text, tree, expanded, assembled)


def _text(data: bytes, path: Path) -> str:
    if b"\0" in data:
        raise ProcedureError(Problem(path, 0, 0, "this is not a text file; name a procedure file (YAML, UTF-8)"))
    if data.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] == b"<":
        raise ProcedureError(Problem(path, 0, 0, "this is a page (HTML or XML); name a procedure file (YAML, UTF-8)"))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        column = error.start - data.rfind(b"\n", 0, error.start)
        raise ProcedureError(
            Problem(path, line, column, "this is not UTF-8 text; save the file with the encoding UTF-8")
        ) from None


def _between_steps(data: Any) -> Iterator[tuple[Location, str]]:
    """What does not fit together between the steps, as far as they can be read."""
    if not isinstance(data, dict) or not isinstance(data.get("steps"), list):
        return
    try:
        vocabulary = _VOCABULARY.validate_python(data.get("vocabulary", {}))
    except ValidationError:
        vocabulary = {}
    questions: dict[str, tuple[str, ...]] | None
    try:
        asked = _QUESTIONS.validate_python(data.get("questions", {}), by_alias=True, by_name=False)
        questions = {name: question.answers for name, question in asked.items()}
    except ValidationError:
        questions = None
    outlines = [outline_of_data(at, raw) for at, raw in enumerate(data["steps"])]
    yield from inconsistencies(outlines, vocabulary, questions)
