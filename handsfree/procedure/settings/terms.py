"""A workshop's terms: its name, its money, what an hour costs, fixed prices, and for how long work is warranted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from handsfree.procedure.file import yaml_text
from handsfree.procedure.file.problems import Problem
from handsfree.procedure.values import kind_of

TERM_KEYS = ("name", "currency", "hour", "fixed", "warranty")
_PERIOD = re.compile(r"([0-9]{1,4}) (day|week|month|year)s?")
_LARGEST = Decimal(10) ** 7


@dataclass(frozen=True)
class Terms:
    """What a workshop charges and warrants; nothing of it need be stated."""

    name: str = ""
    currency: str = ""
    """As it is written after an amount: "EUR"."""
    hour: Decimal | None = None
    """What an hour at the bench costs."""
    fixed: Mapping[str, Decimal] = field(default_factory=dict)
    """Work at a fixed price, by its name."""
    warranty: str = ""
    """A period, as it was stated: "6 months"."""

    def warranted_until(self, handed_over: date) -> date | None:
        """The last day of the warranty of work that was handed over on this day; None where none is given."""
        found = _PERIOD.fullmatch(self.warranty)
        if found is None:
            return None
        count, unit = int(found[1]), found[2]
        if unit in ("day", "week"):
            return handed_over + timedelta(days=count * (7 if unit == "week" else 1))
        months = handed_over.month - 1 + count * (12 if unit == "year" else 1)
        year, month = handed_over.year + months // 12, months % 12 + 1
        for day in range(handed_over.day, 0, -1):
            # A month that has no such day ends before it.
            try:
                return date(year, month, day)
            except ValueError:
                continue
        return None


def terms_in(tree: yaml_text.Tree, data: Any, path: Path, place: tuple[str, ...]) -> tuple[Terms, list[Problem]]:
    """The terms of a part of the workshop's file, which stands at ``place`` in it, and what is wrong there."""
    problems: list[Problem] = []

    def wrong(at: tuple[Any, ...], message: str, *, of_key: bool = False) -> None:
        problems.append(Problem(path, *tree.mark((*place, *at), of_key), message))

    def amount(at: tuple[Any, ...], value: Any) -> Decimal | None:
        try:
            found = Decimal(str(value).strip())
        except InvalidOperation:
            found = None
        if found is None or not found.is_finite() or not 0 <= found < _LARGEST or found.as_tuple().exponent < -2:  # type: ignore[operator]
            wrong(at, f'"{at[-1]}" must be an amount such as 60 or 59.50, not {value}')
            return None
        return found

    if not isinstance(data, dict):
        wrong((), f"the terms stand under keys such as hour and warranty, not in {kind_of(data)}")
        return Terms(), problems
    for key in data:
        if key not in TERM_KEYS:
            wrong((key,), f'"{key}" is no key of the terms; keys are {", ".join(TERM_KEYS)}', of_key=True)
    warranty = str(data.get("warranty") or "").strip()
    if warranty and _PERIOD.fullmatch(warranty) is None:
        wrong(("warranty",), f'"warranty" must be a period such as "6 months" or "90 days", not {warranty}')
    prices = data.get("fixed") or {}
    if not isinstance(prices, dict):
        wrong(("fixed",), f'"fixed" has a name and a price for each work, not {kind_of(prices)}')
        prices = {}
    stated = {str(name): amount(("fixed", name), value) for name, value in prices.items()}
    fixed = {name: price for name, price in stated.items() if price is not None}
    hour = amount(("hour",), data["hour"]) if data.get("hour") is not None else None
    name, currency = (str(data.get(key) or "").strip() for key in ("name", "currency"))
    return Terms(name, currency, hour, fixed, warranty), problems
