"""``handsfree search``: words in the free text of all jobs."""

from __future__ import annotations

import argparse

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.catalogue.search import search as find

_WHAT = {
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
    store = store_of(args)
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
