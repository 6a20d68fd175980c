"""What is wrong with a procedure file, said in the words of the format, with its place in the file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from handsfree.procedure import model
from handsfree.procedure.file import format
from handsfree.procedure.location import Location
from handsfree.procedure.values import kind_of, nearest_word


class ProblemSeverity(str, Enum):
    ERROR = "error"
    """The procedure can't be used."""
    ADVICE = "advice"
    """It can be used and would be better otherwise."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong. Lines and columns count from one; nought: the file as a whole."""

    path: Path
    line: int
    column: int
    message: str
    severity: ProblemSeverity = ProblemSeverity.ERROR

    def __str__(self) -> str:
        place = f"{self.path}:{self.line}:{self.column}" if self.line else str(self.path)
        return f"{place}: {'advice: ' if self.severity is ProblemSeverity.ADVICE else ''}{self.message}"


class ProcedureError(Exception):
    """A procedure file that can't be used; ``problems`` holds everything that is wrong with it."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = problems


_SECTIONS: Mapping[str, type[BaseModel]] = {
    "steps": format.StepInFile,
    "fasteners": model.Fastener,
    "lubricant": model.Lubricant,
    "lubricants": model.Lubricant,
    "dangers": model.Danger,
    "marks": model.AlignmentMark,
    "measure": model.Characteristic,
    "tool": model.Tool,
    "tools": model.Tool,
    "wait": model.Wait,
    "questions": model.VariantQuestion,
}
_NEEDED = {
    "title": "what the procedure is called",
    "item": "what it is for",
    "revision": "its number or date",
    "steps": "the steps, in order",
    "id": "a short identifier of its own",
    "do": "the act, in a few words",
    "size": 'thread and length, such as "M2 x 5"',
    "which": "the lubricant's name",
    "say": "the danger, as it is to be spoken",
    "for": 'a time, such as "10 minutes"',
    "name": "its name",
    "unit": 'such as "thou" or "mm"',
    "ask": "the question, as it is to be spoken",
    "where": "across which parts it stands",
    "group": "what the group is called",
    "include": "the file to include",
}
_OTHER_WORDS = {
    "act": "do", "action": "do", "text": "do", "identifier": "id", "reason": "why", "lubricants": "lubricant",
    "characteristic": "measure", "characteristics": "measure", "measurements": "measure", "question": "check",
    "warnings": "dangers", "after": "rests on", "depends on": "rests on", "min": "at least", "max": "at most",
    "minimum": "at least", "maximum": "at most", "low": "at least", "high": "at most", "occasion": "when",
    "aliases": "also", "left hand": "left-hand thread", "qty": "count", "quantity": "count",
    "amount": "how much", "requires": "needs", "repeat": "for each", "part": "works on", "parts": "works on",
    "condition": "only if", "if": "only if", "torque": "tighten", "mark": "marks", "timer": "wait", "time": "for",
    "seconds": "for",
}  # fmt: skip
"""What people write for a key whose name is nothing like it."""


def keys_of(part: type[BaseModel]) -> list[str]:
    """The keys that a part of the file may have, as they are written."""
    keys = [str(field.validation_alias or name) for name, field in part.model_fields.items()]
    return [key for key in keys if not key.startswith("(")]


@dataclass(frozen=True)
class LocatedFault:
    """A problem with the place of a value in the file; ``of_key``: with the key rather than its value."""

    place: Location
    message: str
    of_key: bool = False


def in_plain_words(
    error: ValidationError, *inside: str, whole: type[BaseModel] = format.ProcedureFile
) -> Iterator[LocatedFault]:
    """Each problem that pydantic found in ``whole`` (in what lies ``inside`` these keys), in the words of the format.

    What does not fit between the steps is left to ``inconsistencies``, which knows the places.
    """
    for detail in error.errors(include_url=False):
        place, kind = detail["loc"], detail["type"]
        if (kind == "value_error" and not place) or (kind == "too_short" and detail["input"]):
            continue  # of a list with entries, what is wrong with them is said elsewhere
        place = (*inside, *place)
        yield LocatedFault(place, _message(kind, place, detail, whole), of_key=kind == "extra_forbidden")


def _message(kind: str, place: Location, detail: Any, whole: type[BaseModel]) -> str:
    section = _section(place[:-1], whole)
    key = next((str(part) for part in reversed(place) if isinstance(part, str)), "the file")
    if kind == "missing":
        needed = _NEEDED.get(key)
        return f'{_owner(section)} needs "{key}"' + (f": {needed}" if needed else "")
    if kind == "extra_forbidden":
        known = keys_of(section)
        near = nearest_word(key.replace("_", " "), known) or _OTHER_WORDS.get(key.lower().replace("_", " "))
        hint = f'did you mean "{near}"?' if near in known else f"keys here are {', '.join(known)}"
        return f'"{key}" is not a key that {_owner(section)} can have; {hint}'
    if kind == "value_error":
        said = str(detail["ctx"]["error"])
        return f'"{key}": {said}' if said.startswith('"') else f'"{key}" {said}'
    if kind == "too_short":
        return f'"{key}" is empty; a procedure needs at least one step'
    found = kind_of(detail["input"])
    if kind in ("list_type", "tuple_type"):
        return f'"{key}" must be a list (lines that begin with "- "), not {found}'
    if place:
        part = f'an entry of "{key}"' if isinstance(place[-1], int) else f'"{key}"'
        return f'{part} must be a group of keys ("key: value" lines), not {found}'
    return f'a procedure must be a group of keys ("title: ..." and so on), not {found}'


def _section(place: Location, whole: type[BaseModel]) -> type[BaseModel]:
    """The part of the file that ``place`` lies in."""
    known = (_SECTIONS[part] for part in reversed(place) if isinstance(part, str) and part in _SECTIONS)
    return next(known, whole)


def _owner(section: type[BaseModel]) -> str:
    return {
        format.ProcedureFile: "a procedure",
        format.StepInFile: "a step",
        format.Group: "a group",
        format.Included: "an inclusion",
        model.AlignmentMark: "a mark",
        model.VariantQuestion: "a question",
        model.Fastener: "a fastener",
        model.Lubricant: "a lubricant",
        model.Danger: "a danger",
        model.Characteristic: "a measurement",
        model.Tool: "a tool",
        model.Wait: "a wait",
    }[section]
