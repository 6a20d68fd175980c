"""From text as a free recogniser writes it ("Log backlash 4.5 mm.") to phrases of a grammar."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice

from handsfree.measure.units import UNITS
from handsfree.phrases.automaton import WordAutomaton
from handsfree.text.numerals import NOUGHTS, NUMERAL, cardinal, digit_words, ungrouped

Words = tuple[str, ...]

_PART = re.compile(rf"{NUMERAL}|[a-z']+|%")
_SYMBOLS = {unit.symbol.lower(): tuple(unit.many.split()) for unit in UNITS.values() if unit.symbol and unit.many}
_NOUGHT = NOUGHTS[0]
MOST_FIGURES = 6
"""Longer numerals are none of a bench's."""
THOUSANDS = "000"


def phrases_written(
    text: str, automaton: WordAutomaton, sounds_like: Mapping[str, Sequence[str]] | None = None, most: int = 8
) -> list[Words]:
    """Phrases of the grammar that ``text`` may stand for, the plainest first, at most ``most``; often none.

    A numeral may have been said digit by digit ("127": one two seven), as a number (a hundred and twenty seven) or in
    pairs (one twenty seven). ``sounds_like`` gives the grammar's words for words that sound the same.
    """
    parts = _PART.findall(ungrouped(text.lower().replace("’", "'")))
    options = [_options(part, sounds_like or {}) for part in parts]
    found = islice(_walk(automaton, 0, options), most) if options else ()
    return list(dict.fromkeys(found))


def _walk(automaton: WordAutomaton, state: int, options: Sequence[Sequence[Words]]) -> Iterator[Words]:
    if not options:
        if state in automaton.finals:
            yield ()
        return
    for words in options[0]:
        for said, after in _taken(automaton, state, words):
            for rest in _walk(automaton, after, options[1:]):
                yield said + rest


def _taken(automaton: WordAutomaton, state: int, words: Words) -> Iterator[tuple[Words, int]]:
    """The words as the grammar takes them from ``state``: a nought by whichever name it has there."""
    if not words:
        yield (), state
        return
    for first in NOUGHTS if words[0] == _NOUGHT else words[:1]:
        after = automaton.arcs[state].get(first)
        if after is not None:
            for rest, end in _taken(automaton, after, words[1:]):
                yield (first, *rest), end
            return


def _options(part: str, sounds_like: Mapping[str, Sequence[str]]) -> list[Words]:
    if part[0].isdigit() or part[0] == ".":
        return _numeral(part)
    same = [tuple(each.split()) for each in sounds_like.get(part, ())]
    symbol = [_SYMBOLS[part]] if part in _SYMBOLS else []
    return [(part,), *symbol, *same]


def _numeral(written: str) -> list[Words]:
    whole, _, decimals = written.partition(".")
    if len(whole) + len(decimals) > MOST_FIGURES:
        return []
    if decimals:
        after = ("point", *digit_words(decimals, _NOUGHT).split())
        before = _whole(whole) if whole else []
        return [*(each + after for each in before), *([after] if not whole.strip("0") else [])]
    ways = _whole(whole)
    if len(whole) > len(THOUSANDS) and whole.endswith(THOUSANDS):
        # "fifty thou", taken for the beginning of "fifty thousand".
        ways += [(*each, "thou") for each in _whole(whole[: -len(THOUSANDS)])]
    return ways


def _whole(figures: str) -> list[Words]:
    ways = [tuple(digit_words(figures, _NOUGHT).split())]
    if figures[0] != "0" and len(figures) <= len("9999"):
        ways.append(tuple(cardinal(int(figures)).split()))
        if len(figures) > len("99") and figures[-2] != "0":
            ways.append(tuple(f"{cardinal(int(figures[:-2]))} {cardinal(int(figures[-2:]))}".split()))
    return list(dict.fromkeys(ways))
