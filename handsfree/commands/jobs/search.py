"""``handsfree search``: words in the free text of all jobs."""

from __future__ import annotations

import argparse

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.catalogue.search import search as find
from handsfree.text.terminal import printable

_WHAT = {
    "job opened": "owner",
    "file attached": "file",
    "note kept": "note",
    "fact noted": "noted",
    "text typed": "typed",
    "step skipped": "skipped",
    "outcome given": "decided",
    "job reopened": "reopened",
}
"""What was found, by the kind of its event."""


def run_search(args: argparse.Namespace) -> int:
    """Print the texts that hold all the words."""
    if args.most < 1:
        raise UseError("--most must be at least 1")
    store = store_of(args)
    words = " ".join(args.words)
    try:
        matches = find(store.folder, words, args.most, store.watch)
    except ValueError as error:
        raise UseError(str(error)) from None
    if not matches:
        print(f"Nothing in the log of {store.folder} says {words}.")
    for match in matches:
        place = f"{match.at.astimezone():%Y-%m-%d %H:%M}  {match.job}" + (f", step {match.step}" if match.step else "")
        ended = f" ({match.ended})" if match.ended else ""
        print(f"{place}, {_WHAT.get(match.kind, match.kind)}{ended}: {printable(match.text)}")
    return 0
