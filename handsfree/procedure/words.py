"""A workshop's own words for taking apart: what its parts, places, fasteners and figures are called."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from handsfree.measure.units import unit
from handsfree.procedure.file import yaml_text
from handsfree.procedure.file.problems import Problem, ProcedureError
from handsfree.procedure.file.small_file import tree_of
from handsfree.procedure.model import Procedure
from handsfree.procedure.values import kind_of, spoken_name, unit_key

Kinds = tuple[str, ...]
"""What a thing is measured in: kinds of unit ("length", "angle"); none: any."""


@dataclass(frozen=True)
class KnownWords:
    """Names as they are said, in lower case; singular or plural, as whoever wrote them pleased."""

    parts: tuple[str, ...] = ()
    fasteners: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    """Without their article: "rail"."""
    heads: tuple[str, ...] = ()
    finishes: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    """Of no family that is known anyway: "hook thread"."""
    ways: tuple[str, ...] = ()
    """Which way something sits, after which come up, down, in, out, left and right: "boss"."""
    accessories: tuple[str, ...] = ()
    """What is left with items and given back: "dust cover"."""
    measured: dict[str, Kinds] = field(default_factory=dict)
    """What may be measured, and in what."""

    def __or__(self, other: KnownWords) -> KnownWords:
        """Both together: what either knows a thing to be measured in; anything, where either knows no better."""
        lists = {
            each.name: tuple(dict.fromkeys((*getattr(self, each.name), *getattr(other, each.name))))
            for each in fields(self)
            if each.name != "measured"
        }
        measured = dict(self.measured)
        for name, kinds in other.measured.items():
            known = measured.get(name, kinds)
            measured[name] = tuple(dict.fromkeys((*known, *kinds))) if known and kinds else ()
        return KnownWords(**lists, measured=measured)


_LISTS = tuple(each.name for each in fields(KnownWords) if each.name != "measured")
KEYS = (*_LISTS, "measured")


def words_in(
    tree: yaml_text.Tree, data: Any, path: Path, place: tuple[str, ...] = ()
) -> tuple[KnownWords, list[Problem]]:
    """The words of a part of a file, which stands at ``place`` in it, and what is wrong there."""
    problems: list[Problem] = []

    def wrong(at: tuple[Any, ...], message: str, *, of_key: bool = False) -> None:
        problems.append(Problem(path, *tree.mark((*place, *at), of_key), message))

    if not isinstance(data, dict):
        wrong((), f"the words stand under keys such as parts and places, not in {kind_of(data)}")
        return KnownWords(), problems
    found: dict[str, Any] = {}
    for key, value in data.items():
        if key not in KEYS:
            wrong((key,), f'"{key}" is no sort of word; sorts are {", ".join(KEYS)}', of_key=True)
            continue
        listed = value if isinstance(value, list) else [value]
        names: dict[str, Kinds] = {}
        for number, each in enumerate(listed):
            at = (key, number) if isinstance(value, list) else (key,)
            try:
                if isinstance(each, dict) and key == "measured":
                    names[_name(each.get("name"))] = (_kind(each.get("unit")),)
                else:
                    names[_name(each)] = ()
            except ValueError as error:
                wrong(at, str(error))
        found[key] = names if key == "measured" else tuple(names)
    return KnownWords(**found), problems


def _name(value: Any) -> str:
    return spoken_name(value).removeprefix("the ")


def _kind(value: Any) -> str:
    return unit(unit_key(value)).kind


def read_words(path: Path) -> KnownWords:
    """Read a file of words; ProcedureError with everything that is wrong with it."""
    tree = tree_of(path)
    problems = [Problem(path, *mark, message) for mark, message in tree.problems]
    words, more = words_in(tree, tree.data or {}, path)
    if problems or more:
        raise ProcedureError(*problems, *more)
    return words


def words_of(procedures: Iterable[Procedure]) -> KnownWords:
    """The words that procedures use: what they measure, and in what, and what their parts and fasteners are called."""
    parts: list[str] = []
    fasteners: list[str] = []
    heads: list[str] = []
    finishes: list[str] = []
    measured: dict[str, Kinds] = {}
    for procedure in procedures:
        for each in procedure.characteristics:
            kinds = dict.fromkeys((*measured.get(each.name, ()), unit(each.unit).kind))
            for name in (each.name, *each.also):
                measured[name] = tuple(kinds)
        for step in procedure.steps:
            parts += [*step.works_on, *step.traps, *step.frees]
            fasteners += [each.use for each in step.fasteners if each.use]
            heads += [each.head for each in step.fasteners if each.head]
            finishes += [each.finish for each in step.fasteners if each.finish]
    return KnownWords(
        parts=sayable(parts), fasteners=sayable(fasteners), heads=sayable(heads), finishes=sayable(finishes),
        measured={name: kinds for name, kinds in measured.items() if sayable([name])},
    )  # fmt: skip


def sayable(texts: Iterable[str]) -> tuple[str, ...]:
    """Those of the texts that can be said as a name, as it is said."""
    said: list[str] = []
    for text in texts:
        try:
            said.append(_name(text))
        except ValueError:
            continue
    return tuple(dict.fromkeys(said))
