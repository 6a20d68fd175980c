"""A mistake put into a function that is loaded already: whoever holds the function has the mistake at once."""

from __future__ import annotations

import functools
import sys
from collections.abc import Iterator
from types import CodeType, FunctionType
from typing import Any

from tests.tools.mutants.planting import Mistake


def put_in_place(mistake: Mistake) -> bool:
    """Whether it could be done; the loaded module is as it was where not. (Code has its full name from 3.11 on.)"""
    function = _function(mistake)
    # A function within it may have been made already, and be held as it was.
    if function is None or function.__qualname__ != mistake.where or sys.version_info < (3, 11):
        return False
    whole = compile(mistake.source, mistake.module, "exec", dont_inherit=True)
    fitting = [code for code in _codes(whole) if code.co_qualname == function.__qualname__]
    if len(fitting) != 1 or fitting[0].co_freevars != function.__code__.co_freevars:
        return False
    function.__code__ = fitting[0]
    return True


def _function(mistake: Mistake) -> FunctionType | None:
    """The outermost function around the mistake."""
    name = mistake.module.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    holder: Any = sys.modules.get(name)
    for part in mistake.where.split("."):
        holder = _plain(vars(holder).get(part)) if holder is not None else None
        if isinstance(holder, FunctionType):
            return holder if holder.__module__ == name and "<locals>" not in holder.__qualname__ else None
        if not isinstance(holder, type):
            return None
    return None


def _plain(value: Any) -> Any:
    """What a decorator has wrapped."""
    while True:
        if isinstance(value, staticmethod | classmethod):
            value = value.__func__
        elif isinstance(value, property):
            value = value.fget if value.fset is None else None
        elif isinstance(value, functools.cached_property):
            value = value.func
        elif not isinstance(value, type) and hasattr(value, "__wrapped__"):
            value = value.__wrapped__
        else:
            return value


def _codes(code: CodeType) -> Iterator[CodeType]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield constant
            yield from _codes(constant)
