"""``handsfree jobs``: what a workshop asks in the morning, and what is in the log."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator, Sequence
from datetime import date, datetime

from handsfree.commands.jobs.choosing import store_of
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.counter.stage import morning
from handsfree.text.calendar import from_today
from handsfree.text.terminal import printable

_HEADINGS = ("job", "state", "steps", "last", "item", "serial", "owner", "procedure")
_WIDTH = 80
_MOST_LISTED = 40
"""So many of the newest jobs are listed where not all are asked for."""
_MOST_TOLD = 20
"""So many of each sort are told in the morning."""


def run_jobs(args: argparse.Namespace) -> int:
    """What is promised, what waits, what is done; then the jobs, the newest first."""
    store = store_of(args)
    jobs = [job for job in store.jobs() if (job.purpose == "rehearsal") == args.rehearsals]
    if not jobs:
        what, command = ("rehearsals", "rehearse") if args.rehearsals else ("jobs", "run")
        print(f"No {what} yet in {store.folder}. Begin one: handsfree {command} focusing-slide")
        return 0
    if args.all:
        print("\n".join(_table(jobs)))
        return 0
    lines = [*_morning(jobs, datetime.now().astimezone().date()), *_newest(jobs)]
    print("\n".join(lines))
    return 0


def _morning(jobs: Sequence[JobSummary], today: date) -> Iterator[str]:
    """What is promised, waits, and is done: a section for each that there is any of."""
    asked = morning(jobs)
    promised = [
        (job.id, from_today(job.promised, today), f"{job.promised:%a} {job.promised}", _item(job))
        for job in asked.promised
        if job.promised is not None
    ]
    yield from _section("PROMISED", promised)
    waiting = [
        (job.id, "; ".join(f"{each.text} ({each.stage})" for each in job.orders if each.is_waited_for), _item(job))
        for job in asked.waiting
    ]
    yield from _section("WAITS FOR PARTS", waiting)
    done = [
        (job.id, f"since {job.last.astimezone():%Y-%m-%d}", ", ".join(filter(None, (_item(job), job.contact))))
        for job in asked.done
    ]
    yield from _section("DONE, NOT FETCHED", done)


def _section(title: str, rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    if not rows:
        return
    yield f"{title} ({len(rows)})"
    for row in rows[:_MOST_TOLD]:
        yield from _wrapped("  ".join(filter(None, row)))
    if len(rows) > _MOST_TOLD:
        yield f"and {len(rows) - _MOST_TOLD} more"
    yield ""


def _wrapped(text: str, indent: str = " " * 16) -> list[str]:
    return textwrap.wrap(printable(text), _WIDTH, subsequent_indent=indent, break_on_hyphens=False)


def _item(job: JobSummary) -> str:
    return ", ".join(filter(None, (job.item or "item not named", job.serial, job.owner)))


def _newest(jobs: Sequence[JobSummary]) -> Iterator[str]:
    listed = jobs[:_MOST_LISTED]
    rows = [_row(job) for job in listed]
    heads = _HEADINGS[:4]
    widths = [max(len(row[column]) for row in (heads, *rows)) for column in range(len(heads))]
    at = sum(widths) + 2 * len(widths)
    yield "  ".join((*(head.ljust(width) for head, width in zip(heads, widths, strict=True)), "what"))
    for row in rows:
        cells = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False))
        what = ", ".join(filter(None, row[len(widths) :]))
        yield from _wrapped(f"{cells}  {what}" if what else cells, " " * at) or [cells]
    if len(jobs) > len(listed):
        yield f"{len(jobs) - len(listed)} older jobs are not listed; --all lists every one."


def _table(jobs: Sequence[JobSummary]) -> Iterator[str]:
    rows = [_HEADINGS, *(_row(job) for job in jobs)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(_HEADINGS))]
    for row in rows:
        yield printable("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def _row(job: JobSummary) -> tuple[str, ...]:
    state = "fetched" if job.handed_over else "waits" if job.waits and job.status != "finished" else job.status
    cells = (
        job.id,
        state if job.purpose == "repair" else f"{state} ({job.purpose})",
        f"{job.done} of {job.of}",
        job.last.astimezone().strftime("%Y-%m-%d %H:%M"),
        job.item or "",
        job.serial or "",
        job.owner or "",
        job.title,
    )
    return tuple(map(printable, cells))
