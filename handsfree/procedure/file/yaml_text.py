"""YAML text as plain data that remembers where everything stood.

The file is read only as far as its nodes: numbers stay the text that was written, and every key and value
keeps its line. Only what procedures need is taken: groups of keys, lists, plain values, and aliases of them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode
from ruamel.yaml.reader import ReaderError

from handsfree.procedure.location import Location

TextPosition = tuple[int, int]
"""Line and column, from one."""

MOST_VALUES = 50_000
"""A file with more (through aliases of aliases, say) is no procedure."""
DEEPEST = 50
"""Levels of lists and groups of keys."""


class NotYaml(Exception):
    """Text that is not YAML: what is wrong, and where."""

    def __init__(self, message: str, mark: TextPosition) -> None:
        super().__init__(message)
        self.message, self.mark = message, mark


@dataclass
class Tree:
    """The data (groups of keys as dicts, lists, text, bools) and where they stand."""

    data: Any = None
    keys: dict[Location, TextPosition] = field(default_factory=dict)
    values: dict[Location, TextPosition] = field(default_factory=dict)
    problems: list[tuple[TextPosition, str]] = field(default_factory=list)
    """What is wrong with the YAML as such, though it could be read."""
    left_out: set[Location] = field(default_factory=set)
    """Keys that are in the file but have no usable value."""

    def mark(self, place: Location, of_key: bool = False) -> TextPosition:
        """Where ``place`` stands, or the nearest thing above it that is in the file.

        A single value may stand where a list is allowed: then its list position is passed over.
        """
        here: Location = ()
        for part in place:
            if (*here, part) in self.values:
                here = (*here, part)
            elif not isinstance(part, int):
                break
        if of_key and here in self.keys:
            return self.keys[here]
        return self.values.get(here, (1, 1))


def read_yaml(text: str) -> Tree:
    """The tree of a YAML text; NotYaml where it can't be read at all. An empty text gives data None."""
    try:
        root = _nodes(text)
    except ReaderError as error:
        before = text[: error.position] if isinstance(error.position, int) else ""
        mark = before.count("\n") + 1, len(before) - before.rfind("\n")
        raise NotYaml("there is an unprintable character here; take it out", mark) from None
    except MarkedYAMLError as error:
        at = error.problem_mark or error.context_mark
        mark = (at.line + 1, at.column + 1) if at else (1, 1)
        raise NotYaml(_what(error, text, mark), mark) from None
    except RecursionError:
        raise NotYaml("lists or groups of keys are nested too deeply; a procedure needs a few levels", (1, 1)) from None
    except (YAMLError, ValueError) as error:
        raise NotYaml(f"this is not readable as YAML ({_first_line(error)})", (1, 1)) from None
    tree = Tree()
    if root is not None:
        tree.data = _Walk(tree).value(root, ())
    return tree


@lru_cache(maxsize=32)
def _nodes(text: str) -> Node | None:
    """Most of the time of reading; the same few texts are read again whenever a job or a procedure is changed."""
    root: Node | None = YAML(typ="rt", pure=True).compose(text)
    return root


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0]


_IN_PLAIN_WORDS: tuple[tuple[str, str], ...] = (
    (
        "mapping values are not allowed",
        "there is a colon here where none can stand; put the text in quotes, or correct the indentation "
        "so that the keys of one group stand under each other",
    ),
    (
        "expected <block end>",
        "the indentation does not fit here; the keys of one group must stand exactly under each other",
    ),
    (
        "expected block end",
        "the indentation does not fit here; the keys of one group must stand exactly under each other",
    ),
    ("could not find expected ':'", 'a key without its colon; write "key: value"'),
    ("end of stream", "a quote or bracket that was opened is never closed"),
    ("found unexpected end", "a quote or bracket that was opened is never closed"),
    ("expected ',' or", "a list in brackets is not finished; put commas between its parts and close the bracket"),
)
"""What the parser says, and what it comes to."""


def _what(error: MarkedYAMLError, text: str, mark: TextPosition) -> str:
    problem = str(error.problem or "")
    lines = text.splitlines()
    line = lines[mark[0] - 1] if 0 < mark[0] <= len(lines) else ""
    if "\t" in line[: len(line) - len(line.lstrip())] or "'\\t'" in problem:
        return "there is a tab here; YAML is indented with spaces only"
    known = next((plain for part, plain in _IN_PLAIN_WORDS if part in problem), None)
    if known is not None:
        return known
    if "undefined alias" in problem:
        return f"{problem}; define it above with & or put text that begins with * in quotes"
    if "single document" in str(error.context or "") or "another document" in problem:
        return 'a second document begins here ("---"); keep one procedure in one file'
    if "cannot start any token" in problem:
        character = problem.replace("found character ", "").replace(" that cannot start any token", "")
        return f"a value can not begin with {character}; put the text in quotes"
    return f"this is not readable as YAML here ({problem or _first_line(error)})"


class _Walk:
    def __init__(self, tree: Tree) -> None:
        self._tree = tree
        self._open: set[int] = set()
        self._seen = 0

    def value(self, node: Node, place: Location) -> Any:
        mark = node.start_mark.line + 1, node.start_mark.column + 1
        self._tree.values[place] = mark
        self._seen += 1
        if self._seen > MOST_VALUES:
            raise NotYaml(f"the file holds more than {MOST_VALUES} values; split it or use fewer aliases", mark)
        if len(place) > DEEPEST:
            raise NotYaml("lists or groups of keys are nested too deeply; a procedure needs a few levels", mark)
        if id(node) in self._open:
            raise NotYaml("an alias (*) here refers to the very thing it stands in; write it out", mark)
        self._open.add(id(node))
        try:
            if isinstance(node, MappingNode):
                return self._group(node, place)
            if isinstance(node, SequenceNode):
                return self._list(node, place)
            return self._plain(node, mark)
        finally:
            self._open.discard(id(node))

    def _list(self, node: SequenceNode, place: Location) -> list[Any]:
        found: list[Any] = []
        for each in node.value:
            if _is_null(each):
                self._problem(each, "an entry of this list is empty; fill it in or take it out")
            else:
                found.append(self.value(each, (*place, len(found))))
        return found

    def _group(self, node: MappingNode, place: Location) -> dict[str, Any]:
        group: dict[str, Any] = {}
        for key_node, value_node in node.value:
            mark = key_node.start_mark.line + 1, key_node.start_mark.column + 1
            if not isinstance(key_node, ScalarNode):
                self._tree.problems.append((mark, "a key must be a plain word"))
                continue
            key = str(key_node.value)
            here = (*place, key)
            if key in group or here in self._tree.left_out:
                first = self._tree.keys[here][0]
                self._tree.problems.append(
                    (
                        mark,
                        f'"{key}" is here twice (first in line {first}); keep one, or make one list of both',
                    )
                )
                continue
            self._tree.keys[here] = mark
            if _is_null(value_node):
                self._tree.problems.append((mark, f'"{key}" has no value; fill it in or take the line out'))
                self._tree.left_out.add(here)
            else:
                group[key] = self.value(value_node, here)
        return group

    def _plain(self, node: Node, mark: TextPosition) -> str | bool:
        tag = str(node.tag)
        if tag.startswith("!") and tag != "!":
            self._tree.problems.append((mark, f'"{tag}" is a tag, and tags are not used here; take it out'))
        text = str(node.value)
        return text.lower() == "true" if tag == "tag:yaml.org,2002:bool" else text

    def _problem(self, node: Node, message: str) -> None:
        self._tree.problems.append(((node.start_mark.line + 1, node.start_mark.column + 1), message))


def _is_null(node: Node) -> bool:
    return isinstance(node, ScalarNode) and str(node.tag) == "tag:yaml.org,2002:null"
