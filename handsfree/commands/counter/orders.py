"""``handsfree orders``, and the actions of ``handsfree job`` about parts to order."""

from __future__ import annotations

import argparse
import csv
import sys

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.jobs.job import at_the_desk
from handsfree.commands.problems import UseError
from handsfree.job.catalogue.summaries import Sought
from handsfree.job.counter.orders import orders_of
from handsfree.review.exports import safe_cell
from handsfree.text.prose import counted
from handsfree.text.terminal import printable

_COLUMNS = ("job", "item", "entry", "what", "count", "size", "stage", "wanted")
MOST_PARTS = 9999


def run_orders(args: argparse.Namespace) -> int:
    """The parts that jobs wait for, the one wanted first at the top."""
    store = store_of(args)
    rows = [
        (job, order)
        for job in store.jobs(Sought(purpose="repair", with_parts=True))
        if args.all or job.handed_over is None
        for order in job.orders
        if args.all or order.is_waited_for
    ]
    rows.sort(key=lambda row: row[1].at)
    if args.csv:
        writer = csv.writer(sys.stdout)
        writer.writerow(_COLUMNS)
        for job, order in rows:
            cells = (job.item or "", order.id, order.what, str(order.count), order.size or "", order.stage)
            writer.writerow([job.id, *map(safe_cell, cells), order.at.isoformat()])
        return 0
    for job, order in rows:
        at = f"{order.at.astimezone():%Y-%m-%d}"
        whose = printable(", ".join(filter(None, (job.item, job.owner))))
        print(f"{order.stage:<9} {at}  {job.id} {order.id:<5} {printable(order.text)}{f' ({whose})' if whose else ''}")
    if not rows:
        print(f"No part is waited for in {store.folder}.")
    return 0


def run_order(args: argparse.Namespace) -> int:
    """Put a part on the list."""
    if not 1 <= args.count <= MOST_PARTS:
        raise UseError(f"--count is {args.count}, and must be from 1 to {MOST_PARTS}")
    with at_the_desk(args) as desk:
        entry = desk.order(args.part, args.count, args.size)
        waiting = sum(each.stage == "to order" for each in orders_of(desk.state))
    print(f"{counted(waiting, 'part').capitalize()} to order for job {args.job}. This one is entry {entry}.")
    return 0


def run_followed(args: argparse.Namespace) -> int:
    """A part is ordered, or has arrived."""
    with at_the_desk(args, finished_too=True) as desk:
        words = desk.follow_order(args.entry, args.job_action)
    print(f"{args.job_action.capitalize()}: {words}")
    return 0
