"""``handsfree backup`` and ``handsfree restore``."""

from __future__ import annotations

import argparse

from handsfree.commands.files import size_words
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.progress import progress
from handsfree.job.log import backup as log_backup


def run_backup(args: argparse.Namespace) -> int:
    """Save the log in one file."""
    folder = store_of(args).folder
    with progress("files") as tell:
        saved = log_backup.save(folder, args.file, tell)
    print(f"Saved and read again: {_words(saved)}, in {args.file} ({size_words(saved.bytes)}). The log is in {folder}.")
    return 0


def run_restore(args: argparse.Namespace) -> int:
    """Bring a saved log back."""
    folder = store_of(args).folder
    with progress("files") as tell:
        saved = log_backup.restore(args.file, folder, tell)
    print(f"Restored and compared: {_words(saved)}, in {folder}. To prove the events: handsfree verify")
    return 0


def _words(saved: log_backup.Saved) -> str:
    counts = ((saved.jobs, "job"), (saved.events, "event"), (saved.clips, "sound"))
    return ", ".join(f"{count} {one}{'' if count == 1 else 's'}" for count, one in counts)
