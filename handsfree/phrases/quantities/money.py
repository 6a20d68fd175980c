"""Amounts of money as they are said: "eighty", "eighty point five oh", "eighty pounds fifty", "two euros five cents".

A node's value is the exact amount as text: "80", "80.50".
"""

from __future__ import annotations

from functools import cache

from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.phrases.quantities.numbers import HUNDREDTHS, HUNDREDTHS_AFTER_POINT, PLAIN_WHOLE, SINGLE
from handsfree.text.money import currency_said


@cache
def amounts(currency: str) -> Node:
    """Amounts in the currency that is written so ("EUR"); without its words where it is not known how it is said.

    "Eighty fifty" is none: it may be eighty and a half, or a number in pairs. Nor is "eighty pounds five", without its
    pence.
    """
    after_point = seq("point", HUNDREDTHS_AFTER_POINT)
    said = currency_said(currency)
    if said is None:
        rest = after_point
    else:
        unit = either(*(says(word, "00") for word in dict.fromkeys((said.one, said.many))))
        part = either(said.part, said.parts)
        counted = either(seq(HUNDREDTHS, maybe(part)), seq(SINGLE, part))
        in_two = seq(unit, maybe("and"), counted, to=lambda _, hundredths: hundredths)
        rest = either(after_point, seq(after_point, either(said.one, said.many)), unit, in_two)
    return Named(seq(PLAIN_WHOLE, maybe(rest), to=_amount), "AMOUNT")


def _amount(whole: int, hundredths: str = "00") -> str:
    return f"{whole}.{hundredths}" if hundredths != "00" else str(whole)
