"""How far long work is, on standard error where that is a terminal; nothing elsewhere, for whatever reads it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from handsfree.commands.output import steered

_Thing = TypeVar("_Thing")

MANY_THINGS = 50
"""Of fewer jobs nobody is told how far they are gone through: they take less than a second."""

_Tell = Callable[[str, int, int | None], None]
"""Is told what is being done, how much of it is done, and of how much, where that is known."""


def _nobody(what: str, done: int, of: int | None) -> None:
    pass


@contextmanager
def progress(unit: str = "", *, scale: float = 1) -> Iterator[_Tell]:
    """While this lasts a line for each thing that is done goes on, and it is gone afterwards. What is told is divided
    by ``scale`` and has ``unit`` after it."""
    if not sys.stderr.isatty():
        yield _nobody
        return
    # Importing it takes a while.
    from rich.console import Console  # noqa: PLC0415
    from rich.progress import BarColumn, Progress, TaskID, TextColumn  # noqa: PLC0415

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TextColumn("{task.fields[told]}", markup=False),
    )
    lines: dict[str, TaskID] = {}
    # What else is printed goes where it always goes.
    with Progress(
        *columns, console=Console(file=steered(sys.stderr)), transient=True, redirect_stdout=False,
        redirect_stderr=False,
    ) as bar:  # fmt: skip

        def tell(what: str, done: int, of: int | None) -> None:
            if what not in lines:
                lines[what] = bar.add_task(what, total=of, told="")
            total = "" if of is None else f" of {of / scale:.{0 if scale == 1 else 1}f}"
            told = f"{done / scale:.{0 if scale == 1 else 1}f}{total} {unit}".rstrip()
            bar.update(lines[what], completed=done, total=of, told=told)

        yield tell


def gone_through(what: str, things: Iterable[_Thing], of: int, unit: str = "jobs") -> Iterator[_Thing]:
    """``things``, ``of`` so many, while it is told how far they are gone through where they are many."""
    if of < MANY_THINGS:
        yield from things
        return
    with progress(unit) as tell:
        tell(what, 0, of)
        for done, thing in enumerate(things, 1):
            yield thing
            tell(what, done, of)
