"""Threads as they are said: "M two point five", "eight B A", "quarter Whitworth", "six thirty two"."""

from __future__ import annotations

from handsfree.measure.threads import Thread, threads
from handsfree.phrases.grammar import Named, Node, either, says
from handsfree.text.english import English, choose, chosen


def _ways(thread: Thread) -> list[str]:
    words = thread.words.lower()
    said = [words]
    if thread.written.startswith("M") and words.endswith("point five"):
        said.append(words.replace(" point five", " and a half"))
    if "whitworth" in words or "b s f" in words:
        said.append(words.replace("whitworth", "inch whitworth").replace("b s f", "inch b s f"))
    if "nought" in words:
        said += [words.replace("nought", other) for other in ("oh", "zero")]
    return said


def _said() -> dict[Thread, list[str]]:
    before = chosen()
    choose(English.BRITISH)  # the language is the same however figures are said back
    try:
        return {known: _ways(known) for known in threads()}
    finally:
        choose(before)


SAID: dict[Thread, list[str]] = _said()
"""Every thread that is known by name, with the ways in which it is said."""

THREAD: Node = Named(either(*(says(way, known) for known, said in SAID.items() for way in said)), "THREAD")
"""A thread by its name; the value is a ``Thread``."""
