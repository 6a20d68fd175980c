"""``handsfree history`` and ``handsfree search``: looking back over all jobs."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from handsfree import __version__
from handsfree.commands.problems import UseError
from handsfree.commands.report import save, size
from handsfree.job.catalogue.earlier import jobs_with, with_events
from handsfree.job.catalogue.search import search as find
from handsfree.job.log.store import Store, default_folder
from handsfree.review.history import figures_named, history_text, past
from handsfree.review.pages.history import history_page

_WHAT = {
    "note kept": "note",
    "fact noted": "noted",
    "text typed": "typed",
    "step skipped": "skipped",
    "outcome given": "decided",
    "job reopened": "reopened",
}
"""What was found, by the kind of its event."""


@dataclass(frozen=True)
class _Asked:
    item: str | None
    serial: str | None
    figure: str | None

    @property
    def title(self) -> str:
        said = [self.figure, self.item, self.serial and f"serial {self.serial}"]
        return f"History of {', '.join(filter(None, said)) or 'all jobs'}"


def history(args: argparse.Namespace) -> int:
    """Print the earlier jobs, or write them as a page."""
    store = Store(args.logs or default_folder())
    asked = _asked(store, args)
    jobs = jobs_with(store, item=asked.item, serial=asked.serial, characteristic=asked.figure)
    if not jobs:
        print(f"{asked.title}: no jobs in {store.folder}.")
        return 0
    found = [past(job, events) for job, events in with_events(store, jobs, args.most)]
    if asked.figure:
        found = list(figures_named(found, asked.figure))
    more = len(jobs) - args.most
    if args.out:
        text = history_page(asked.title, found, more, written_at=datetime.now().astimezone(), version=__version__)
        save(Path(args.out), text)
        print(f"{asked.title}: {args.out} ({size(len(text.encode()))})")
        return 0
    print(history_text(asked.title, found), end="")
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


def search(args: argparse.Namespace) -> int:
    """Print the texts that hold all the words."""
    store = Store(args.logs or default_folder())
    words = " ".join(args.words)
    try:
        found = find(store.folder, words, max(1, args.most))
    except ValueError as error:
        raise UseError(str(error)) from None
    if not found:
        print(f"Nothing in the log of {store.folder} says {words}.")
    for each in found:
        where = f"{each.at.astimezone():%Y-%m-%d %H:%M}  {each.job}" + (f", step {each.step}" if each.step else "")
        text = "".join(letter if letter.isprintable() else "?" for letter in each.text)
        ended = f" ({each.ended})" if each.ended else ""
        print(f"{where}, {_WHAT.get(each.kind, each.kind)}{ended}: {text}")
    return 0
