"""The arguments of the commands of the counter."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from handsfree.commands.options import add_logs_option, add_subcommand, add_workshop_options

if TYPE_CHECKING:
    from handsfree.commands.options import Subcommands

_ORDERS = """\
  handsfree job order 2026-11-25-1 "gib screw" --count 2 --size "M2 x 5"
  handsfree job ordered 2026-11-25-1 e12
  handsfree job arrived 2026-11-25-1 e12
As CSV, the columns are job, item, entry, what, count, size, stage, wanted."""


def add_orders(subcommands: Subcommands) -> None:
    """``handsfree orders``."""
    command = add_subcommand(subcommands, "orders", _orders, "list the parts to order, of all jobs", _ORDERS)
    command.add_argument("--csv", action="store_true", help="as CSV, for other programs")
    command.add_argument("--all", action="store_true", help="those that have arrived too")
    add_logs_option(command)


def _orders(args: argparse.Namespace) -> int:
    from handsfree.commands.counter.orders import run_orders

    return run_orders(args)


_SHEET = """\
One page to print, with a label: the code on it is the job's number, which a scanner types wherever --job or JOB wants
one. How to reach the owner is on it, so it stays in the workshop."""


def add_sheet(subcommands: Subcommands) -> None:
    """``handsfree sheet``."""
    command = add_subcommand(subcommands, "sheet", _sheet, "write the sheet that goes with an item, to print", _SHEET)
    command.add_argument("job", metavar="JOB", nargs="?", help="a job's number (default: the last one)")
    command.add_argument("--to", metavar="FILE", help="where to write it (default: sheet-JOB.html here); - to print it")
    add_workshop_options(command)
    add_logs_option(command)


def _sheet(args: argparse.Namespace) -> int:
    from handsfree.commands.counter.sheet import run_sheet

    return run_sheet(args)


_BILL = """\
  handsfree job add 2026-11-25-1 --charge "gib screws 9.00"
  handsfree job add 2026-11-25-1 --charge "clean and oil"
  handsfree bill 2026-11-25-1 --csv
Time at the bench by person and procedure, pauses out, at the price of an hour of the workshop's terms; then what was
noted as a charge, fixed prices by their names. The columns of the CSV are job, line, what, by, procedure, count, unit,
each, total, currency. No tax and no numbering of invoices: that is for bookkeeping."""


def add_bill(subcommands: Subcommands) -> None:
    """``handsfree bill``."""
    command = add_subcommand(subcommands, "bill", _bill, "list the charges of a job, as lines of an invoice", _BILL)
    command.add_argument("job", metavar="JOB", nargs="?", help="a job's number (default: the last one)")
    command.add_argument("--csv", action="store_true", help="as CSV, for other programs")
    command.add_argument("--hours", metavar="H", help="hours to charge in place of those measured (0: none)")
    add_workshop_options(command)
    add_logs_option(command)


def _bill(args: argparse.Namespace) -> int:
    from handsfree.commands.counter.bill import run_bill

    return run_bill(args)
