"""Amounts of money in words, in the currency that a workshop's file names."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.text.numerals import digit_words, whole_words


@dataclass(frozen=True)
class Currency:
    """How amounts of a currency are said; ``parts`` are its hundredths."""

    one: str
    many: str
    part: str
    parts: str


_POUND = Currency("pound", "pounds", "penny", "pence")
_EURO = Currency("euro", "euros", "cent", "cents")
_DOLLAR = Currency("dollar", "dollars", "cent", "cents")
_FRANC = Currency("franc", "francs", "centime", "centimes")
_KNOWN = {
    "GBP": _POUND, "£": _POUND, "EUR": _EURO, "€": _EURO, "CHF": _FRANC,
    **dict.fromkeys(("USD", "AUD", "CAD", "NZD", "$"), _DOLLAR),
}  # fmt: skip
"""By the codes of ISO 4217, and the signs in use."""


def currency_said(written: str) -> Currency | None:
    """How a currency is said that stands after amounts as ``written`` ("EUR", "pounds"); None where that is not
    known."""
    word = written.strip()
    by_word = {name: known for known in _KNOWN.values() for name in (known.one, known.many)}
    return _KNOWN.get(word.upper()) or by_word.get(word.lower())


def amount_words(amount: str, written: str = "") -> str:
    """An exact amount ("80.50") for the ear: "eighty pounds fifty"; "eighty point five nought" where the currency is
    not known."""
    whole, _, rest = amount.partition(".")
    said, hundredths = currency_said(written), int(rest.ljust(2, "0")) if rest else 0
    words = whole_words(int(whole))
    if said is None:
        return f"{words} point {digit_words(rest.ljust(2, '0'))}" if hundredths else words
    words = f"{words} {said.one if whole == '1' else said.many}"
    if not hundredths:
        return words
    return f"{words} {whole_words(hundredths)}" if hundredths > 9 else f"{words} and {_parts(hundredths, said)}"


def _parts(count: int, said: Currency) -> str:
    return f"{whole_words(count)} {said.part if count == 1 else said.parts}"
