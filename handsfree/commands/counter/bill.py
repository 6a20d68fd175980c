"""``handsfree bill``: the lines of an invoice."""

from __future__ import annotations

import argparse
import csv
import sys
import textwrap
from decimal import Decimal, InvalidOperation

from handsfree.bench.workshop import load_workshop
from handsfree.commands.jobs.choosing import chosen_job, store_of
from handsfree.commands.jobs.proving import told_if_broken
from handsfree.commands.output import data
from handsfree.commands.problems import UseError
from handsfree.job.counter.charges import Charge, agreed_amount, charges_of, total_of
from handsfree.job.state import fold
from handsfree.review.exports import safe_cell
from handsfree.text.terminal import printable

_COLUMNS = ("job", "line", "what", "by", "procedure", "count", "unit", "each", "total", "currency")
_WIDEST = 44


def run_bill(args: argparse.Namespace) -> int:
    """Print what is charged for a job, of the last one where none is named; 1 where its log does not hold."""
    store, terms = store_of(args), load_workshop(args.workshop, args.english).terms
    job = chosen_job(store, args.job)
    events = store.events(job)
    state = fold(events)
    code = 1 if told_if_broken(store, job) else 0
    titles = {name: brought.title for name, brought in state.procedures.items()}
    lines = charges_of(state, events, terms.hour, titles=titles, hours=hours_of(args.hours))
    if args.csv:
        with data():
            writer = csv.writer(sys.stdout)
            writer.writerow(_COLUMNS)
            for number, line in enumerate(lines, 1):
                writer.writerow([job, str(number), *map(safe_cell, _cells(line)), *_amounts(line), terms.currency])
        return code
    for line in lines:
        count = f"{line.count} {line.unit}".strip() if line.unit else ""
        by = f" ({line.by})" if line.by else ""
        *before, last = textwrap.wrap(printable(f"{line.what}{by}"), _WIDEST, subsequent_indent="  ") or [""]
        print("".join(f"{words}\n" for words in before), end="")
        print(f"{last:<{_WIDEST}} {count:>9} {'' if line.total is None else line.total:>12}".rstrip())
    total = total_of(lines)
    print(f"{'total':<{_WIDEST}} {'':>9} {total:>12} {printable(terms.currency)}".rstrip())
    if terms.hour is None and any(line.unit for line in lines):
        print("Time has no price: state terms: {hour: 60} in the workshop's file (handsfree where names it).")
    agreed = agreed_amount(state)
    if agreed is not None and total > agreed:
        print(f"This is more than was agreed: {agreed} {printable(terms.currency)}".rstrip() + ".")
    return code


def hours_of(text: str | None) -> Decimal | None:
    """Hours that were given to be charged; UseError where they are none."""
    if text is None:
        return None
    try:
        hours = Decimal(text)
    except InvalidOperation:
        hours = Decimal("NaN")
    if not hours.is_finite() or not 0 <= hours < 10_000:
        raise UseError(f"--hours is {text}, and must be a number such as 1.5 (0: no time is charged)")
    return hours


def _cells(line: Charge) -> tuple[str, ...]:
    return line.what, line.by or "", line.procedure or ""


def _amounts(line: Charge) -> tuple[str, ...]:
    return tuple("" if each is None else str(each) for each in (line.count, line.unit, line.each, line.total))
