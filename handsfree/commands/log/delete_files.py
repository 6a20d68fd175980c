"""``handsfree delete-files``: the content of attached files, deleted on purpose."""

from __future__ import annotations

import argparse
from datetime import datetime

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.job.log.forget import delete_attached
from handsfree.text.prose import counted


def run_delete_files(args: argparse.Namespace) -> int:
    """Delete the content of files that were attached to a job; their names and hashes stay in the log."""
    why = args.reason.strip()
    if not why:
        raise UseError("--reason says nothing; say why, for it stays in the log")
    deleted, shared = delete_attached(store_of(args), args.job, datetime.now().astimezone(), why, args.entry or None)
    also = f"; {shared} belong to another entry or another job as well and stay" if shared else ""
    print(f"{args.job}  {counted(deleted, 'attached file')} deleted{also}")
    if deleted:
        print(
            "What they were called and their hashes stay in the log. Backups and reports made before still have them."
        )
    return 0
