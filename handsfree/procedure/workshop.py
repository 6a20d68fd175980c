"""The workshop's own small file: its tools and sets, and the English it is spoken to in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, PlainValidator, TypeAdapter, ValidationError

from handsfree.measure.figure import Figure
from handsfree.procedure.file.problems import Problem, ProcedureError, in_plain_words
from handsfree.procedure.file.small_file import tree_of
from handsfree.procedure.location import Placed
from handsfree.procedure.model import Characteristic, Procedure, Tool
from handsfree.procedure.parts import PiecesField, Size, Text, Texts
from handsfree.procedure.settings.report_parts import USUAL_PARTS, report_parts_in
from handsfree.procedure.settings.terms import Terms, terms_in
from handsfree.procedure.values import kind_of, spoken_name
from handsfree.procedure.words import KnownWords, words_in
from handsfree.text.calendar import day_from
from handsfree.text.english import English
from handsfree.text.ipa import phones_between_slashes


def _day(value: object) -> date:
    day = day_from(str(value))
    if day is None:
        raise ValueError(f"must be a day such as 2026-03-31, not {kind_of(value)}")
    return day


Day = Annotated[date, PlainValidator(_day)]


class OwnTool(Tool):
    """A measuring tool of the workshop: which one it is, and until when it is believed."""

    identity: Text | None = None
    """What stands on it: "M-3"."""
    calibrated: Day | None = Field(default=None, validation_alias="calibrated on")
    due: Day | None = None
    """From the day after on, its readings are marked."""
    standards: PiecesField | None = None
    """The sizes that it is checked at."""
    within: Size | None = None
    """The error that it may show at a standard."""

    def overdue(self, today: date) -> bool:
        """Whether it was to be calibrated before ``today``."""
        return self.due is not None and today > self.due


_WHEN_USED = ConfigDict(defer_build=True)
_TOOLS: TypeAdapter[tuple[OwnTool, ...]] = TypeAdapter(tuple[OwnTool, ...], config=_WHEN_USED)
_PEOPLE: TypeAdapter[tuple[str, ...]] = TypeAdapter(Texts, config=_WHEN_USED)
_KEYS = ("answers", "english", "people", "pronunciations", "report", "terms", "tools", "voices", "words")
_CHOICES = {"answers": ("short", "full"), "voices": ("one", "two")}
"""What is one of a few words, the one that holds if nobody says last."""

_NO_WORDS = KnownWords()
_NO_TERMS = Terms()


@dataclass(frozen=True)
class Workshop:
    """What a workshop has of its own."""

    tools: tuple[OwnTool, ...] = ()
    english: English = English.BRITISH
    people: tuple[str, ...] = ()
    """Who works there: names that can be said at the bench."""
    words: KnownWords = _NO_WORDS
    """What its parts, places and figures are called while something is taken apart."""
    pronunciations: Mapping[str, str] = field(default_factory=dict)
    """Words with how the voice is to say them: other letters, or phones between slashes ("/ɡɪb/")."""
    brief: bool = False
    """Whether answers are short from the beginning: the act of a step, a verdict in a word."""
    two_voices: bool = True
    """Whether dangers and questions are spoken in another voice than the rest."""
    terms: Terms = _NO_TERMS
    """What it charges and warrants."""
    report: frozenset[str] = USUAL_PARTS
    """The parts that its reports have."""

    def own(self, name: str | None) -> OwnTool | None:
        """The tool of this name, or the only one that is also called so; None where there is none."""
        called = (name or "").casefold()
        named = [tool for tool in self.tools if tool.name.casefold() == called]
        also = [tool for tool in self.tools if called in tool.also]
        if named:
            return named[0]
        return also[0] if len(also) == 1 else None

    def pieces(self, what: Literal["blades", "shims"]) -> tuple[Figure, ...] | None:
        """The first set of blades or of shims; None where none is stated."""
        return next((found for tool in self.tools if (found := getattr(tool, what)) is not None), None)


def read_workshop(path: Path) -> Workshop:
    """Read the workshop's file; ProcedureError with everything that is wrong with it."""
    tree = tree_of(path)
    data = tree.data if tree.data is not None else {}
    if not isinstance(data, dict):
        raise ProcedureError(
            Problem(path, 1, 1, f'the file must have keys such as "english", "people" and "tools", not {kind_of(data)}')
        )
    problems = [Problem(path, *mark, message) for mark, message in tree.problems]
    problems += [
        Problem(path, *tree.mark((key,), True), f'"{key}" is no key here; keys are {", ".join(_KEYS)}')
        for key in data
        if key not in _KEYS
    ]
    english = str(data.get("english", English.BRITISH.value)).lower()
    if english not in {known.value for known in English}:
        problems.append(
            Problem(path, *tree.mark(("english",)), f'"english" must be british or american, not {english}')
        )
    people: tuple[str, ...] = ()
    try:
        people = _PEOPLE.validate_python(data.get("people") or [])
    except ValidationError as error:
        problems += [
            Problem(path, *tree.mark(fault.place, fault.of_key), fault.message)
            for fault in in_plain_words(error, "people")
        ]
    pronunciations = data.get("pronunciations") or {}
    problems += [Problem(path, *tree.mark(place), message) for place, message in _unsayable(pronunciations)]
    chosen = {key: data.get(key, choices[-1]) for key, choices in _CHOICES.items()}
    problems += [
        Problem(path, *tree.mark((key,)), f'"{key}" must be {" or ".join(_CHOICES[key])}, not {choice}')
        for key, choice in chosen.items()
        if choice not in _CHOICES[key]
    ]
    tools: tuple[OwnTool, ...] = ()
    try:
        tools = _TOOLS.validate_python(data.get("tools") or [], by_alias=True, by_name=False)
    except ValidationError as error:
        problems += [
            Problem(path, *tree.mark(fault.place, fault.of_key), fault.message)
            for fault in in_plain_words(error, "tools")
        ]
    problems += [Problem(path, *tree.mark(("tools", *place)), message) for place, message in _sizes_without_unit(tools)]
    words = _NO_WORDS
    if data.get("words") is not None:
        words, wrong = words_in(tree, data["words"], path, ("words",))
        problems += wrong
    terms = _NO_TERMS
    if data.get("terms") is not None:
        terms, wrong = terms_in(tree, data["terms"], path, ("terms",))
        problems += wrong
    report, misplaced = report_parts_in(data.get("report"))
    problems += [Problem(path, *tree.mark(place), message) for place, message in misplaced]
    if problems:
        raise ProcedureError(*sorted(dict.fromkeys(problems), key=lambda problem: (problem.line, problem.column)))
    return Workshop(
        tools,
        English(english),
        people,
        words,
        pronunciations,
        brief=chosen["answers"] == "short",
        two_voices=chosen["voices"] == "two",
        terms=terms,
        report=report,
    )


def _unsayable(pronunciations: object) -> Iterator[Placed]:
    """What is wrong with how words are to be said."""
    if not isinstance(pronunciations, dict):
        yield ("pronunciations",), '"pronunciations" must be words with how they are said, as in "gib: /ɡɪb/"'
        return
    for word, said in pronunciations.items():
        place = ("pronunciations", word)
        if not isinstance(word, str) or not isinstance(said, str) or not said.strip() or set("[]()") & set(word + said):
            yield place, f'"{word}" must be a word with how it is said, in letters or in phones between slashes'
            continue
        try:
            phones_between_slashes(said)
        except ValueError as error:
            yield place, f'"{word}": {error}'


def _sizes_without_unit(tools: tuple[OwnTool, ...]) -> Iterator[Placed]:
    """A tool of the workshop measures in many procedures: none of them lends it a unit."""
    for number, tool in enumerate(tools):
        for name, size in (
            ("resolution", tool.resolution), ("uncertainty", tool.uncertainty), ("within", tool.within),
        ):  # fmt: skip
            if size is not None and size.unit is None:
                yield (number, name), f'"{name}" needs its unit, as in "{size.text} mm"'


def tool_names(tools: Sequence[Tool]) -> dict[str, str]:
    """Each spoken name of a tool with its own name; what cannot be said is left out."""
    names: dict[str, str] = {}
    for tool in tools:
        for said in (tool.name, *tool.also):
            try:
                names.setdefault(spoken_name(said), tool.name)
            except ValueError:
                continue
    return names


def tools_at_hand(procedure: Procedure, workshop: Workshop) -> dict[str, Tool]:
    """The tools of a procedure and of the workshop by name; where both describe one, the procedure does."""
    tools: dict[str, Tool] = {tool.name: tool for tool in workshop.tools}
    for measured in procedure.characteristics:
        tool = measured.tool
        if tool is not None and (tool.resolution or tool.uncertainty or tool.name not in tools):
            tools[tool.name] = _with_units(tool, measured.unit)
    return tools


def _with_units(tool: Tool, unit: str) -> Tool:
    """``tool`` with its sizes in a unit of their own, so that something else can be measured with it."""
    sizes = {"resolution": tool.resolution, "uncertainty": tool.uncertainty}
    stated: dict[str, Any] = {
        name: size if size is None or size.unit else replace(size, unit=unit) for name, size in sizes.items()
    }
    if tool.range is not None:
        stated["range"] = tuple(end if end.unit else replace(end, unit=unit) for end in tool.range)
    return tool.model_copy(update=stated)


def equipped(measured: Characteristic, tools: Mapping[str, Tool], chosen: str | None = None) -> Characteristic:
    """``measured`` with the tool that was ``chosen``; a tool of which the procedure gives the name only is the
    workshop's one of that name."""
    tool = measured.tool
    if chosen is not None and chosen in tools and (tool is None or tool.name != chosen):
        tool = tools[chosen]
    elif tool is not None and tool.resolution is None and tool.uncertainty is None:
        tool = tools.get(tool.name, tool)
    return measured if tool is measured.tool else measured.model_copy(update={"tool": tool})
