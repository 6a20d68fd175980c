"""What came of a job, in a word or three and in a sentence: the same on the display, the owner's page and in print."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Result:
    """``grave`` where something is unsafe, out of limits, or a danger still stands."""

    word: str
    sentence: str
    grave: bool


def result_of(*, finished: bool, unsafe: int, out: int, open_: int, measured: bool = True) -> Result:
    """From how many findings are unsafe, how many figures are out of limits, and how many other points are open; where
    nothing was ``measured``, nothing is said of limits."""
    so_far = "" if finished else "So far: "
    more = f", and {_points(open_)}" if open_ else ""
    if unsafe:
        word, grave = "Not safe to use", True
        words = f"{_count(unsafe, 'danger or unsafe finding stands', 'dangers or unsafe findings stand')}"
        words += f", {_count(out, 'figure is', 'figures are')} out of limits" if out else ""
        words += more
    elif out:
        word, grave = "Out of limits", True
        words = f"{_count(out, 'figure is', 'figures are')} out of limits{more}"
    elif open_:
        word, grave = "In limits, with points to watch" if measured else "With points to watch", False
        words = f"{'no figure is out of limits; ' if measured else ''}{_points(open_)}"
    else:
        word, grave = "In order", False
        words = f"nothing is left open{', and no figure is out of its limits' if measured else ''}"
    if not finished and not unsafe:
        word = "Not finished"
    sentence = f"{so_far}{words}." if so_far else f"{words[:1].upper()}{words[1:]}."
    return Result(word, sentence, grave)


def _points(count: int) -> str:
    return _count(count, "point is to be watched", "points are to be watched")


def _count(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
