"""The small algebra of phrases: what each of its nodes says, prints, samples and compiles to."""

from __future__ import annotations

import random
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.phrases.grammar import (
    Either,
    Many,
    Maybe,
    Named,
    Node,
    Phrase,
    Seq,
    Unless,
    automaton,
    either,
    maybe,
    node,
    says,
    seq,
)

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


def _every_phrase(part: Node) -> set[tuple[str, ...]]:
    """Enumerated from the description alone."""
    match part:
        case Phrase(words=words):
            return {words}
        case Seq(parts=parts):
            said = {()}
            for each in parts:
                said = {(*words, *more) for words in said for more in _every_phrase(each)}
            return said
        case Either(options=options):
            return set().union(*map(_every_phrase, options))
        case Maybe(part=inner):
            return _every_phrase(inner) | {()}
        case Many(part=inner, low=low, high=high):
            return set().union(*(_every_phrase(seq(*[inner] * count)) for count in range(low, high + 1)))
        case Named(part=inner):
            return _every_phrase(inner)
    raise AssertionError(part)


_NODES = st.recursive(
    st.lists(st.sampled_from("abc"), min_size=1, max_size=3).map(lambda words: node(" ".join(words))),
    lambda parts: st.one_of(
        st.lists(parts, min_size=1, max_size=3).map(lambda each: seq(*each)),
        st.lists(parts, min_size=1, max_size=3).map(lambda each: either(*each)),
        parts.map(maybe),
        parts.map(lambda part: Named(part, "PART")),
        st.tuples(parts, st.integers(1, 2), st.integers(0, 1)).map(
            lambda drawn: Many(drawn[0], drawn[1], drawn[1] + drawn[2], lambda *values: values)
        ),
    ),
    max_leaves=6,
)


@given(_NODES)
def test_whatever_is_described_is_compiled_to_exactly_its_phrases_and_no_more_states_than_they_need(part: Node) -> None:
    compiled = automaton(part)
    said: set[tuple[str, ...]] = set()
    begun: list[tuple[tuple[str, ...], int]] = [((), 0)]
    for words, state in begun:  # grows while it is walked
        if state in compiled.finals:
            said.add(words)
        begun += [((*words, word), to) for word, to in compiled.arcs[state].items()]
    assert said == _every_phrase(part)
    futures = [(state in compiled.finals, frozenset(arcs.items())) for state, arcs in enumerate(compiled.arcs)]
    assert len(set(futures)) == len(futures)


def test_what_may_be_left_out_alone_may_be_empty() -> None:
    assert maybe("please").begins == ({"please"}, True)
    assert seq(maybe("please"), maybe("now")).begins == ({"please", "now"}, True)
    assert maybe("please").meanings(()) == [None]


def test_phrases_that_end_alike_share_their_ends() -> None:
    compiled = automaton(either("close the cover", "fit the cover", seq("fit", "it")))
    # The start, after "close", after "fit", after "the", the end.
    assert len(compiled.arcs) == 5
    assert compiled.walk(("close", "the")) == compiled.walk(("fit", "the"))
    assert compiled.walk(("fit", "it")) == compiled.walk(("close", "the", "cover"))
