"""Mistakes that could be made in a module: one comparison turned, one condition lost, one number off by one."""

from __future__ import annotations

import ast
import difflib
import random
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import takewhile

_COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
_FUNCTIONS = {"min": "max", "max": "min", "any": "all", "all": "any"}
_EMPTY = {
    "str": "''",
    "tuple": "()",
    "list": "[]",
    "dict": "{}",
    "set": "set()",
    "frozenset": "frozenset()",
    "int": "0",
    "float": "0.0",
    "Iterator": "iter(())",
}
"""What stands for a result of this type where a function has forgotten to give it; None for any other."""

_AROUND = 150
"""Letters of a statement that are shown on both sides of what is changed."""
_DELETED = "statement deleted"
_OF_NUMBERS = ("constant", "sign")
_UNTOUCHED = ("annotation", "returns", "decorator_list", "bases", "ctx", "type_comment", "type_params")
_WITHOUT_WORK = (ast.Import, ast.ImportFrom, ast.Global, ast.Nonlocal, ast.Pass, ast.Assert)


@dataclass(frozen=True)
class Mistake:
    """One mistake in one module."""

    module: str
    """The module's file, from the repository's root."""
    kind: str
    where: str
    """The function that holds it ("Log.append"); empty at the top of the module."""
    lines: tuple[int, int]
    """The lines of what was changed, both counted."""
    statement: tuple[int, int]
    """The lines of the statement that holds it, without the statements within that."""
    was: str
    becomes: str
    """The lines that differ, as ``ast.unparse`` writes them: comments and layout do not count."""
    source: str
    """The whole module with the mistake in it."""
    once: bool
    """Whether it is run once for all tests: when the module is loaded, or in a function whose results are kept."""


@dataclass(frozen=True)
class _Statement:
    """One that does something: the element ``index`` of ``holder.field``."""

    node: ast.stmt
    holder: ast.AST
    field: str
    index: int
    where: str
    function: ast.FunctionDef | ast.AsyncFunctionDef | None

    @property
    def returns(self) -> str | None:
        """The type of the function's result."""
        return None if self.function is None or self.function.returns is None else ast.unparse(self.function.returns)

    @property
    def names(self) -> tuple[str, ...]:
        """What it gives a value to."""
        targets = self.node.targets if isinstance(self.node, ast.Assign) else ()
        return tuple(target.id for target in targets if isinstance(target, ast.Name))

    @property
    def once(self) -> bool:
        return self.function is None or any("cache" in ast.unparse(each) for each in self.function.decorator_list)


@dataclass(frozen=True)
class _Change:
    """``holder.field`` (or its element ``index``) becomes ``new``; an element is taken out where that is None."""

    kind: str
    statement: _Statement
    at: ast.AST
    holder: ast.AST
    field: str
    index: int | None
    new: ast.AST | None

    @contextmanager
    def made(self) -> Iterator[None]:
        value = getattr(self.holder, self.field)
        if self.index is None:
            setattr(self.holder, self.field, self.new)
        else:
            changed = list(value)
            changed[self.index : self.index + 1] = [] if self.new is None else [self.new]
            setattr(self.holder, self.field, changed)
        try:
            yield
        finally:
            setattr(self.holder, self.field, value)


def mistakes(modules: Mapping[str, str], count: int, seed: int, derived: Collection[str] = ()) -> list[Mistake]:
    """``count`` mistakes (fewer where there is less to go wrong), each in a statement of its own, drawn at random.

    ``modules``: the texts by file. The numbers in the functions, classes and constants ``derived`` are left as they
    are. The same seed draws the same from the same texts.
    """
    draw = random.Random(seed)
    trees = {module: ast.parse(text) for module, text in sorted(modules.items())}
    statements = [(module, changes) for module, tree in trees.items() for changes in _by_statement(tree, derived)]
    draw.shuffle(statements)
    return [_mistake(module, trees[module], _drawn(changes, draw)) for module, changes in statements[:count]]


def every_mistake(module: str, text: str, within: Collection[str] | None = None) -> Iterator[Mistake]:
    """All that could go wrong in one module; ``within`` these functions only (empty: the top of the module)."""
    tree = ast.parse(text)
    for changes in _by_statement(tree):
        for change in changes:
            if within is None or change.statement.where in within:
                yield _mistake(module, tree, change)


def _drawn(changes: Sequence[_Change], draw: random.Random) -> _Change:
    """Every kind is as likely: a table of numbers is not worth more than the condition beside it."""
    by_kind: dict[str, list[_Change]] = defaultdict(list)
    for change in changes:
        by_kind[change.kind].append(change)
    return draw.choice(by_kind[draw.choice(sorted(by_kind))])


def _mistake(module: str, tree: ast.Module, change: _Change) -> Mistake:
    node = change.statement.node
    before = ast.unparse(node).splitlines()
    with change.made():
        source = ast.unparse(tree)
        after = ["pass"] if change.kind == _DELETED else ast.unparse(node).splitlines()
    differences = list(difflib.ndiff(before, after)) if change.kind != _DELETED else []
    was = "\n".join([line[2:].strip() for line in differences if line.startswith("- ")] or before)
    becomes = "\n".join([line[2:].strip() for line in differences if line.startswith("+ ")] or after)
    was, becomes = _shortened(was, becomes)
    return Mistake(
        module=module,
        kind=change.kind,
        where=change.statement.where,
        lines=(_first(change.at), _last(change.at)),
        statement=(node.lineno, _header_end(node)),
        was=was,
        becomes=becomes,
        source=source,
        once=change.statement.once,
    )


def _shortened(was: str, becomes: str) -> tuple[str, str]:
    """Two texts without most of what they have in common at both ends: a table is a statement of many lines."""
    before = max(0, _in_common(was, becomes) - _AROUND)
    after = max(0, _in_common(was[before:][::-1], becomes[before:][::-1]) - _AROUND)

    def cut(text: str) -> str:
        return "..." * bool(before) + text[before : len(text) - after] + "..." * bool(after)

    return cut(was), cut(becomes)


def _in_common(one: str, other: str) -> int:
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


def _first(node: ast.AST) -> int:
    return int(node.lineno)  # type: ignore[attr-defined]


def _last(node: ast.AST) -> int:
    return int(node.end_lineno)  # type: ignore[attr-defined]


def _header_end(statement: ast.stmt) -> int:
    inner = [child.lineno for child in _statements_within(statement)]
    return max(statement.lineno, min(inner) - 1) if inner else _last(statement)


def _statements_within(node: ast.AST) -> Iterator[ast.stmt]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.stmt):
            yield child
        else:
            yield from _statements_within(child)


def _by_statement(tree: ast.Module, derived: Collection[str] = ()) -> Iterator[list[_Change]]:
    for statement in _statements(tree, "", None):
        changes = [*_to_the_statement(statement), *_to_expressions(statement.node, statement)]
        if {statement.where, *statement.names} & set(derived):
            changes = [change for change in changes if change.kind not in _OF_NUMBERS]
        if changes:
            yield changes


def _statements(
    node: ast.AST, where: str, function: ast.FunctionDef | ast.AsyncFunctionDef | None
) -> Iterator[_Statement]:
    """Every statement that does something, with the list that holds it and its function."""
    for field, value in ast.iter_fields(node):
        for index, child in enumerate(value if isinstance(value, list) else []):
            if isinstance(child, ast.stmt) and _works(child):
                yield _Statement(child, node, field, index, where, function)
            if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
                yield from _statements(child, f"{where}.{child.name}".lstrip("."), child)
            elif isinstance(child, ast.ClassDef):
                yield from _statements(child, f"{where}.{child.name}".lstrip("."), None)
            elif isinstance(child, ast.AST):
                yield from _statements(child, where, function)


def _works(statement: ast.stmt) -> bool:
    if isinstance(statement, _WITHOUT_WORK):
        return False
    if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
        return False
    if isinstance(statement, ast.If) and ast.unparse(statement.test) == "TYPE_CHECKING":
        return False
    return not ast.unparse(statement).startswith("assert_never")


def _to_the_statement(statement: _Statement) -> Iterator[_Change]:
    node = statement.node
    if _may_be_left_out(node):
        yield _Change(
            kind=_DELETED,
            statement=statement,
            at=node,
            holder=statement.holder,
            field=statement.field,
            index=statement.index,
            new=ast.Pass(),
        )
    if isinstance(node, ast.Return) and node.value is not None:
        new = _forgotten(node.value, statement.returns)
        if ast.unparse(new) != ast.unparse(node.value):
            yield _Change(
                kind="result lost", statement=statement, at=node, holder=node, field="value", index=None, new=new
            )


def _may_be_left_out(statement: ast.stmt) -> bool:
    """Not where a name would be missing then: that is noticed by anything."""
    if isinstance(statement, ast.Assign):
        return not any(isinstance(target, ast.Name | ast.Tuple) for target in statement.targets)
    return isinstance(statement, ast.Expr | ast.AugAssign | ast.Raise | ast.Continue | ast.Break | ast.Delete)


def _forgotten(value: ast.expr, returns: str | None) -> ast.expr:
    if returns == "bool":
        return ast.UnaryOp(ast.Not(), value)
    kind = (returns or "").split("[")[0]
    return ast.parse(_EMPTY.get(kind, "None") if "|" not in (returns or "|") else "None", mode="eval").body


def _to_expressions(node: ast.AST, statement: _Statement) -> Iterator[_Change]:
    """The changes to what this statement works out itself, not to the statements within it."""
    for field, value in ast.iter_fields(node):
        if field in _UNTOUCHED or (field == "keywords" and isinstance(node, ast.ClassDef)):
            continue
        several = isinstance(value, list)
        for index, child in enumerate(value if several else [value]):
            if not isinstance(child, ast.AST) or isinstance(child, ast.stmt):
                continue
            at = next(each for each in (child, node, statement.node) if hasattr(each, "lineno"))
            for kind, new in _instead(child, node, field, statement.function is not None):
                yield _Change(
                    kind=kind,
                    statement=statement,
                    at=at,
                    holder=node,
                    field=field,
                    index=index if several else None,
                    new=new,
                )
            yield from _to_expressions(child, statement)


def _instead(child: ast.AST, parent: ast.AST, field: str, in_function: bool) -> Iterator[tuple[str, ast.AST | None]]:
    """What could stand in this place by mistake, with the kind of mistake."""
    if isinstance(child, ast.cmpop):
        yield from (("comparison", new()) for new in _COMPARISONS[type(child)])
    elif isinstance(child, ast.boolop):
        yield "and/or", ast.And() if isinstance(child, ast.Or) else ast.Or()
    elif isinstance(child, ast.operator):
        new_operator = _ARITHMETIC.get(type(child))
        if new_operator is not None and in_function and not _of_text(parent):
            yield "arithmetic", new_operator()
    elif isinstance(child, ast.keyword) and child.arg is not None:
        yield "argument dropped", None
    elif isinstance(child, ast.expr):
        yield from _instead_of_expression(child, parent, field)


def _of_text(parent: ast.AST) -> bool:
    """Taking texts apart in place of joining them fails anywhere."""
    return isinstance(parent, ast.BinOp) and any(
        isinstance(side, ast.JoinedStr) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in (parent.left, parent.right)
    )


def _instead_of_expression(child: ast.expr, parent: ast.AST, field: str) -> Iterator[tuple[str, ast.AST | None]]:
    if isinstance(parent, ast.If | ast.While | ast.IfExp) and field == "test":
        yield "condition negated", ast.UnaryOp(ast.Not(), child)
        if not isinstance(parent, ast.While):
            yield "condition dropped", ast.Constant(True)
            yield "condition dropped", ast.Constant(False)
    elif (isinstance(parent, ast.comprehension) and field == "ifs") or isinstance(parent, ast.match_case):
        yield "condition negated", ast.UnaryOp(ast.Not(), child)
        yield "condition dropped", None
    elif isinstance(parent, ast.BoolOp):
        yield "condition dropped", None
    if isinstance(child, ast.UnaryOp) and isinstance(child.op, ast.Not | ast.USub):
        yield ("condition negated" if isinstance(child.op, ast.Not) else "sign"), child.operand
    elif isinstance(child, ast.Constant) and isinstance(child.value, bool):
        yield "constant", ast.Constant(not child.value)
    elif isinstance(child, ast.Constant) and isinstance(child.value, int | float):
        yield from (("constant", ast.Constant(child.value + by)) for by in (1, -1))
    elif isinstance(child, ast.Name) and isinstance(parent, ast.Call) and field == "func" and child.id in _FUNCTIONS:
        yield "function turned", ast.Name(_FUNCTIONS[child.id], ast.Load())
