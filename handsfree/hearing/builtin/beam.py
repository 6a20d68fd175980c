"""The search for the grammar's likeliest phrases, and beside it the free reading of the same sound."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from handsfree.hearing.builtin.decoder import Begun, Decoder, Float32Array
from handsfree.hearing.builtin.tokens import END
from handsfree.hearing.builtin.trie import TrieNode


@dataclass(frozen=True)
class SearchSettings:
    """How wide and how long to search. Thresholds of the decision belong to these values."""

    beam: int = 12
    drop: float = 10.0
    """Hypotheses this much (log probability) below the best are given up."""
    hopeless: float = 60.0
    """So far below the free reading no phrase is worth seeking: it is talk (far beyond any limit of the decision)."""
    length_exponent: float = 0.5
    """Less of it and short phrases win wrongly, more of it and long nonsense does."""
    tokens_per_second: float = 9.0
    """Faster than anybody speaks: what limits a reading that runs on."""
    spare_tokens: int = 6


@dataclass
class PhraseHypothesis:
    """A whole phrase: log probability of its likeliest spelling, and of its spellings together."""

    words: tuple[str, ...]
    log_probability: float
    total: float
    length: int
    """Tokens, punctuation not counted, the end counted."""

    def score(self, exponent: float) -> float:
        """Of all its spellings together: that ranks better than the likeliest one alone."""
        return self.total / float(self.length**exponent)


@dataclass
class SearchResult:
    """The phrases of the grammar that were found, in no order, and the free reading with its log probability."""

    phrases: list[PhraseHypothesis]
    free_tokens: list[int]
    free_log_probability: float


@dataclass
class _Hypothesis:
    node: TrieNode
    words: tuple[str, ...]
    score: float
    total: float
    length: int
    row: int
    """Row of the current log probabilities that continues it."""


class _Free:
    """The greedy reading without the grammar, one token per step."""

    def __init__(self) -> None:
        self.tokens: list[int] = []
        self.log_probability = 0.0
        self.done = False

    def take(self, row: Float32Array) -> int:
        token = int(row.argmax())
        self.log_probability += float(row[token])
        if token == END:
            self.done = True
        else:
            self.tokens.append(token)
        return token


class _Batch:
    """What the decoder has to continue: pairs of a row of the step before and a token, each once."""

    def __init__(self) -> None:
        self._numbers: dict[tuple[int, int], int] = {}

    def row(self, before: int, token: int) -> int:
        """The row that this pair has in the next step."""
        return self._numbers.setdefault((before, token), len(self._numbers))

    @property
    def rows(self) -> list[int]:
        return [before for before, _ in self._numbers]

    @property
    def tokens(self) -> list[int]:
        return [token for _, token in self._numbers]


PhraseHypotheses = dict[tuple[str, ...], PhraseHypothesis]


def beam_search(
    decoder: Decoder, begun: Begun, seconds: float, start: TrieNode | None, settings: SearchSettings
) -> SearchResult:
    """Phrases from ``start`` (None: only the free reading) for what was ``begun``, of which ``seconds`` may be speech.

    The same beginning may be searched again.
    """
    steps, table = replace(begun[0]), begun[1]
    limit = settings.spare_tokens + math.ceil(seconds * settings.tokens_per_second)
    free, free_row = _Free(), 0
    phrases: PhraseHypotheses = {}
    beam = [_Hypothesis(start, (), 0.0, 0.0, 0, 0)] if start is not None else []
    for _ in range(limit):
        batch = _Batch()
        if not free.done:
            token = free.take(table[free_row])
            if not free.done:
                free_row = batch.row(free_row, token)
        _finish(beam, table, phrases)
        if beam and beam[0].score < free.log_probability - settings.hopeless:
            beam = []
        beam = _advance(beam, table, _floor(phrases, beam, settings), settings, batch)
        if not batch.rows:
            break
        table = decoder.step(steps, batch.rows, batch.tokens)
    else:
        _finish(beam, table, phrases)
    return SearchResult(list(phrases.values()), free.tokens, free.log_probability)


def _finish(beam: list[_Hypothesis], table: Float32Array, found: PhraseHypotheses) -> None:
    """Notes the phrases that may end here."""
    for hypothesis in beam:
        if not hypothesis.node.final:
            continue
        end = float(table[hypothesis.row, END])
        phrase = PhraseHypothesis(
            hypothesis.words, hypothesis.score + end, hypothesis.total + end, hypothesis.length + 1
        )
        known = found.get(phrase.words)
        if known is not None:
            total = float(np.logaddexp(known.total, phrase.total))
            if known.log_probability > phrase.log_probability:
                phrase = known
            phrase.total = total
        found[phrase.words] = phrase


def _floor(found: PhraseHypotheses, beam: list[_Hypothesis], settings: SearchSettings) -> float:
    """The log probability below which an unfinished hypothesis can neither win nor come near."""
    if not found or not beam:
        return -math.inf
    exponent = settings.length_exponent
    best = max(found.values(), key=lambda phrase: phrase.score(exponent))
    longest = max(best.length, *(hypothesis.length for hypothesis in beam)) + 2
    to_win = best.score(exponent) * float(longest**exponent)
    return max(best.log_probability - settings.drop, min(to_win, best.log_probability) - settings.drop / 2)


def _advance(
    beam: list[_Hypothesis], table: Float32Array, floor: float, settings: SearchSettings, batch: _Batch
) -> list[_Hypothesis]:
    """The hypotheses one token further, none of them below ``floor``; their rows are those of ``batch``."""
    if not beam:
        return []
    offers = [hypothesis.score + table[hypothesis.row, hypothesis.node.tokens] for hypothesis in beam]
    scores = np.concatenate(offers)
    if not len(scores):
        return []
    floor = max(floor, float(scores.max()) - settings.drop)
    keep = min(len(scores), 2 * settings.beam)
    order = np.argpartition(scores, len(scores) - keep)[len(scores) - keep :]
    order = order[np.argsort(-scores[order])]
    starts = np.cumsum([0, *(len(offer) for offer in offers)])
    merged: dict[tuple[tuple[str, ...], int], tuple[_Hypothesis, int]] = {}
    for index in order:
        score = float(scores[index])
        if score < floor:
            break
        owner = int(np.searchsorted(starts, index, side="right")) - 1
        parent = beam[owner]
        place = int(index - starts[owner])
        child = parent.node.following[place]
        token = int(parent.node.tokens[place])
        total = parent.total + score - parent.score
        length = parent.length + (0 if child.pause else 1)
        reached = [(child, parent.words)] if len(child.tokens) or child.final else []
        reached += [(target, parent.words + words) for words, target in child.ends]
        for node, words in reached:
            known = merged.get((words, id(node)))
            if known is not None:
                known[0].total = float(np.logaddexp(known[0].total, total))
            else:
                merged[words, id(node)] = _Hypothesis(node, words, score, total, length, parent.row), token
    kept = list(merged.values())[: settings.beam]
    for hypothesis, token in kept:
        hypothesis.row = batch.row(hypothesis.row, token)
    return [hypothesis for hypothesis, _ in kept]
