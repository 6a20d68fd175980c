"""The small algebra of phrases: what each of its nodes says, prints, samples and compiles to."""

from __future__ import annotations

import random
from itertools import product
from typing import Any

import pytest

from handsfree.phrases.grammar import Many, Named, Node, Unless, automaton, either, maybe, node, says, seq

FIGURE = Named(either(says("one", 1), says("two", 2)), "FIGURE")
NODES: tuple[tuple[Node, str, dict[str, list[Any]]], ...] = (
    (node("go on"), "go on", {"go on": [None]}),
    (says("go on", "NEXT"), "go on", {"go on": ["NEXT"]}),
    (seq("step", FIGURE), "step FIGURE", {"step one": [1], "step two": [2]}),
    (seq("from", FIGURE, "to", FIGURE, to=lambda low, high: high - low), "from FIGURE to FIGURE",
     {"from one to one": [0], "from one to two": [1], "from two to one": [-1], "from two to two": [0]}),
    (seq(FIGURE, FIGURE), "FIGURE FIGURE",
     {"one one": [(1, 1)], "one two": [(1, 2)], "two one": [(2, 1)], "two two": [(2, 2)]}),
    (either("go", says("on", 1), says("go", 2)), "(go / on)", {"go": [None, 2], "on": [1]}),
    (either("go", says("go", 2)), "go", {"go": [None, 2]}),
    (seq(maybe("please"), says("next", 1), maybe(FIGURE)), "[please] next [FIGURE]",
     {"next": [1], "please next": [1], "next one": [(1, 1)], "next two": [(1, 2)], "please next one": [(1, 1)],
      "please next two": [(1, 2)]}),
    (Many(FIGURE, 1, 2, lambda *said: sum(said)), "FIGURE …",
     {"one": [1], "two": [2], "one one": [2], "one two": [3], "two one": [3], "two two": [4]}),
    (Many(says("up", 1), 2, 3, lambda *said: len(said)), "up …", {"up up": [2], "up up up": [3]}),
    (Unless(FIGURE, lambda value, words: value == 2 and list(words) == ["two"]), "FIGURE", {"one": [1], "two": []}),
)  # fmt: skip


@pytest.mark.parametrize(("part", "pattern", "meanings"), NODES, ids=[pattern for _, pattern, _ in NODES])
def test_a_node_prints_means_samples_and_compiles_to_the_same_phrases(
    part: Node, pattern: str, meanings: dict[str, list[Any]]
) -> None:
    assert part.pattern() == pattern
    said = {tuple(words.split()) for words in meanings}
    compiled = automaton(part)
    known = sorted({word for words in said for word in words})
    tried = [words for count in range(5) for words in product(known, repeat=count)]
    assert {words for words in tried if compiled.accepts(words)} == said
    assert {" ".join(words): part.meanings(words) for words in tried if words in said} == meanings
    assert [words for words in tried if words not in said and part.meanings(words)] == []
    rng = random.Random(1)
    assert {tuple(part.sample(rng)) for _ in range(200)} == said
    assert part.begins == ({words[0] for words in said}, False)


def test_what_may_be_left_out_alone_may_be_empty() -> None:
    assert maybe("please").begins == ({"please"}, True)
    assert seq(maybe("please"), maybe("now")).begins == ({"please", "now"}, True)
    assert maybe("please").meanings(()) == [None]
