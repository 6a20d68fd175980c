"""``handsfree sheet``: the sheet that goes with an item."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path

from handsfree import __version__
from handsfree.bench.workshop import load_workshop
from handsfree.commands.files import safe_name, size_words, write_file
from handsfree.commands.jobs.choosing import chosen_job, store_of
from handsfree.commands.jobs.proving import told_if_broken
from handsfree.commands.output import data
from handsfree.job.state import fold
from handsfree.review.pages.job_sheet import job_sheet


def run_sheet(args: argparse.Namespace) -> int:
    """Write the sheet of a job, of the last one where none is named; 1 where its log does not hold."""
    store, terms = store_of(args), load_workshop(args.workshop, args.english).terms
    job = chosen_job(store, args.job)
    page = job_sheet(
        fold(store.events(job)),
        job,
        workshop=terms.name,
        currency=terms.currency,
        written_at=datetime.now().astimezone(),
        version=__version__,
    )
    code = 1 if told_if_broken(store, job) else 0
    if args.to == "-":
        with data():
            sys.stdout.write(page)
        return code
    to = Path(args.to or f"{safe_name(f'sheet {job}')}.html")
    write_file(to, page)
    print(f"Sheet of job {job}: {to} ({size_words(len(page.encode()))})")
    return code
