"""A job's record as files for other programs: JSON, and CSV of its figures. DATA.md lists the fields."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import Enum
from typing import Any

from handsfree.job.counter.charges import Charge, total_of
from handsfree.job.events import Event
from handsfree.review.record_lines import FigureLine, Head, JobRecord, ProcedureLine


@dataclass(frozen=True)
class Bill:
    """What is charged for a job."""

    lines: Sequence[Charge]
    currency: str
    agreed: Decimal | None
    """Up to which amount the owner has agreed; None: nothing was said."""


FORMAT, VERSION = "handsfree job record", 2

HEAD_COLUMNS = ("job", "item", "serial", "owner")
PROCEDURE_COLUMNS = ("title", "revision")
COLUMNS = (*HEAD_COLUMNS, *PROCEDURE_COLUMNS, *(field.name for field in dataclasses.fields(FigureLine)))
_UNPRINTABLE = re.compile(r"[^\n\x20-\x7e]+")
_FORMULA = re.compile(r"((?:\A|[;\t\r\n|])\s*)(?=[=+\-@])|(?:\A)(?=[\t\r])")
_NUMBERS = {"value", "low", "high", "target"}


def record_json(record: JobRecord, events: Sequence[Event], bill: Bill | None = None) -> str:
    """The record and, under "events", the log's events as they were written; what is charged (``bill``) only where it
    is asked for. Figures are text, never floats."""
    content = {
        "format": FORMAT,
        "version": VERSION,
        **dataclasses.asdict(record),
        "findings": [
            {**dataclasses.asdict(finding), "kind": finding.kind.name.lower().replace("_", " ")}
            for finding in record.findings
        ],
        **({} if bill is None else {"charges": _charges(bill)}),
        "events": [event.model_dump(mode="json", exclude_none=True) for event in events],
    }
    text = json.dumps(content, ensure_ascii=False, indent=1, default=_plain)
    # What can't be printed is written out: it says the same, and steers nothing where it is shown.
    return _UNPRINTABLE.sub(lambda found: "".join(map(_written_out, found[0])), text) + "\n"


def _charges(bill: Bill) -> dict[str, Any]:
    def text(amount: Decimal | None) -> str | None:
        return None if amount is None else str(amount)

    lines = [
        {
            "what": line.what, "by": line.by, "procedure": line.procedure, "count": str(line.count), "unit": line.unit,
            "each": text(line.each), "total": text(line.total),
        }
        for line in bill.lines
    ]  # fmt: skip
    return {
        "lines": lines, "total": str(total_of(bill.lines)), "currency": bill.currency or None,
        "agreed": text(bill.agreed),
    }  # fmt: skip


def _written_out(letter: str) -> str:
    if letter.isprintable():
        return letter
    return json.dumps(letter)[1:-1]


def _plain(value: object) -> str:
    if isinstance(value, datetime):
        return value.isoformat()
    raise TypeError(f"{value!r} has no form in JSON")


def to_csv(records: Sequence[JobRecord]) -> str:
    """One row for each figure ever logged, with a row of column names; lines end as RFC 4180 has it."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for record in records:
        procedures = {line.procedure: line for line in record.procedures}
        for figure in record.figures:
            of = procedures.get(figure.procedure)
            writer.writerow([*_named(record.head, HEAD_COLUMNS), *_named(of, PROCEDURE_COLUMNS), *_row(figure)])
    return out.getvalue()


def _named(line: Head | ProcedureLine | None, names: Sequence[str]) -> list[str]:
    return [safe_cell(str(getattr(line, name, None) or "")) for name in names]


def _row(figure: FigureLine) -> list[str]:
    row = []
    for name, value in dataclasses.asdict(figure).items():
        text = "" if value is None else str(value.value if isinstance(value, Enum) else value)
        row.append(text if name in _NUMBERS else safe_cell(text))
    return row


def safe_cell(text: str) -> str:
    """Words that a spreadsheet would take for a formula get an apostrophe before them: at the beginning, and wherever
    a program that separates by something else than a comma would begin a field."""
    return _FORMULA.sub(r"\1'", text)
