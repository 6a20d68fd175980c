"""``handsfree history``: what was measured and noted in earlier jobs."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from handsfree import __version__
from handsfree.commands.files import size_words, write_file
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.output import columns
from handsfree.commands.problems import UseError
from handsfree.commands.progress import gone_through
from handsfree.job.catalogue.earlier import jobs_with, with_events
from handsfree.job.log.store import Store
from handsfree.review.history import figures_named, past, past_jobs_text
from handsfree.review.pages.history import history_page
from handsfree.text.columns import within


@dataclass(frozen=True)
class _Asked:
    item: str | None
    serial: str | None
    figure: str | None

    @property
    def title(self) -> str:
        parts = [self.figure, self.item, self.serial and f"serial {self.serial}"]
        return f"History of {', '.join(filter(None, parts)) or 'all jobs'}"


def run_history(args: argparse.Namespace) -> int:
    """Print the earlier jobs, or write them as a page."""
    store = store_of(args)
    asked = _asked(store, args)
    jobs = jobs_with(store, item=asked.item, serial=asked.serial, characteristic=asked.figure)
    if not jobs:
        print(f"{asked.title}: no jobs in {store.folder}.")
        return 0
    shown = with_events(store, jobs, args.most)
    past_jobs = [past(job, events) for job, events in gone_through("reading", shown, min(len(jobs), args.most))]
    if asked.figure:
        past_jobs = list(figures_named(past_jobs, asked.figure))
    more = len(jobs) - args.most
    if args.to:
        text = history_page(asked.title, past_jobs, more, written_at=datetime.now().astimezone(), version=__version__)
        write_file(Path(args.to), text)
        print(f"{asked.title}: {args.to} ({size_words(len(text.encode()))})")
        return 0
    with within(columns()):
        print(past_jobs_text(asked.title, past_jobs), end="")
    if more > 0:
        print(f"\n{more} older jobs are not shown; --most {len(jobs)} shows them all.")
    return 0


def _asked(store: Store, args: argparse.Namespace) -> _Asked:
    """What is looked for; WHAT is taken for a characteristic, an item or a serial number, whichever is in the log."""
    if args.most < 1:
        raise UseError("--most must be at least 1")
    asked = _Asked(args.item, args.serial, args.figure)
    if args.what is None:
        return asked
    if jobs_with(store, characteristic=args.what):
        return _Asked(args.item, args.serial, args.what)
    if jobs_with(store, item=args.what):
        return _Asked(args.what, args.serial, args.figure)
    if jobs_with(store, serial=args.what):
        return _Asked(args.item, args.what, args.figure)
    raise UseError(
        f'nothing in the log of {store.folder} is called "{args.what}": no item, no serial number, nothing measured; '
        "handsfree jobs lists what is there, handsfree search looks for words in notes"
    )
