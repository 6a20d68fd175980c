"""``handsfree jobs``: what a workshop asks in the morning, and what is in the log."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.output import columns
from handsfree.job.catalogue.summaries import JobSummary, Sought
from handsfree.job.counter.stage import morning
from handsfree.job.log.store import Store
from handsfree.text.calendar import from_today
from handsfree.text.columns import paragraph, room_beside, within
from handsfree.text.terminal import printable

if TYPE_CHECKING:
    from handsfree.wording.attendance import WaitingCheck

_HEADINGS = ("job", "state", "steps", "last", "item", "serial", "owner", "procedure")
_BESIDE = 40
"""Letters that what a job is about has beside the rest; where there are fewer, it has a line of its own."""
_MOST_LISTED = 40
"""So many of the newest jobs are listed where not all are asked for."""
_MOST_TOLD = 20
"""So many of each sort are told in the morning."""


def run_jobs(args: argparse.Namespace) -> int:
    """What is promised, what waits, what is done; then the jobs, the newest first."""
    store = store_of(args)
    sought = Sought(rehearsals=args.rehearsals)
    jobs = store.jobs(sought, most=None if args.all else _MOST_LISTED)
    if not jobs:
        what, command = ("rehearsals", "rehearse") if args.rehearsals else ("jobs", "run")
        print(f"No {what} yet in {store.folder}. Begin one: handsfree {command} focusing-slide")
        return 0
    if args.all:
        # A table has a line for each job, for whatever reads it; people have a terminal, which it is too wide for.
        with within(columns()):
            print("\n".join(_newest(jobs, 0) if sys.stdout.isatty() else _table(jobs)))
        return 0
    here = [] if args.rehearsals else store.jobs(Sought(here=True))
    older = store.count(sought) - len(jobs)
    now = datetime.now().astimezone()
    checks = _checks(store, now) if any(job.checked_by_another for job in here) else []
    with within(columns()):
        print("\n".join([*_morning(here, checks, now.date()), *_newest(jobs, older)]))
    return 0


def _checks(store: Store, now: datetime) -> list[tuple[JobSummary, WaitingCheck]]:
    # Reading procedures takes a while to import.
    from handsfree.review.waiting import checks_of_open_jobs  # noqa: PLC0415

    return checks_of_open_jobs(store, now)


def _morning(
    jobs: Sequence[JobSummary], checks: Sequence[tuple[JobSummary, WaitingCheck]], today: date
) -> Iterator[str]:
    """What is promised, waits (for parts, for a check), and is done: a section for each that there is any of."""
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
    checked = [
        (job.id, f"step {check.number}, {check.act}{f' ({check.by})' if check.by else ''}", _item(job))
        for job, check in checks
    ]
    yield from _section("WAITS FOR A CHECK", checked)
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
        yield from paragraph(printable("  ".join(filter(None, row[1:]))), 14, row[0])
    if len(rows) > _MOST_TOLD:
        yield f"and {len(rows) - _MOST_TOLD} more"
    yield ""


def _item(job: JobSummary) -> str:
    return ", ".join(filter(None, (job.item or "item not named", job.serial, job.owner)))


def _newest(jobs: Sequence[JobSummary], older: int) -> Iterator[str]:
    rows = [_row(job) for job in jobs]
    heads = _HEADINGS[:4]
    widths = [max(len(row[column]) for row in (heads, *rows)) for column in range(len(heads))]
    at = sum(widths) + 2 * len(widths)
    beside = room_beside(at) >= _BESIDE
    head = _cells(heads, widths)
    yield f"{head.ljust(at)}what" if beside else head
    for row in rows:
        cells = _cells(row, widths)
        what = ", ".join(filter(None, row[len(widths) :]))
        if beside:
            yield from paragraph(what, at, cells)
        else:
            yield cells
            yield from paragraph(what, 4) if what else ()
    if older > 0:
        yield f"{older} older jobs are not listed; --all lists every one."


def _cells(row: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False)).rstrip()


def _table(jobs: Sequence[JobSummary]) -> Iterator[str]:
    rows = [_HEADINGS, *(_row(job) for job in jobs)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(_HEADINGS))]
    for row in rows:
        yield printable(_cells(row, widths))


def _row(job: JobSummary) -> tuple[str, ...]:
    state = "fetched" if job.handed_over else "waits" if job.waits and job.status != "finished" else job.status
    cells = (
        job.id,
        state if job.purpose == "repair" else f"{state} ({job.purpose})",
        f"{job.done} of {job.of}" if job.of else "-",
        job.last.astimezone().strftime("%Y-%m-%d %H:%M"),
        job.item or "",
        job.serial or "",
        job.owner or "",
        job.title,
    )
    return tuple(map(printable, cells))
