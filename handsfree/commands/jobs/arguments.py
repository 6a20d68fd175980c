"""The arguments of the commands about jobs."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from handsfree.commands.options import add_logs_option, add_subcommand

if TYPE_CHECKING:
    from handsfree.commands.options import Subcommands

_JOB_HELP = "a job's number as listed by jobs (default: the last one)"

_REPORT = """\
One page for the whole job that needs nothing else, runs no script, and prints on A4 and Letter: one sheet for the
owner, then the technical record with charts, notes with their sound, and the log's last hash. What stands in it is a
choice (--with, --without), once for all under "report" in workshop.yaml. Or the same as data: handsfree/review/DATA.md
lists the fields of the JSON and the CSV."""

_PARTS = ("owner", "record", "time line", "charts", "sounds", "charges", "remarks")
"""Of a report, as in ``procedure.settings.report_parts``, which is not loaded for the sake of an option."""

_HISTORY = "WHAT is an item, a serial number, or the name of something that is measured."


def add_jobs(subcommands: Subcommands) -> None:
    """``handsfree jobs``."""
    brief = "list what is promised and what waits, and the newest jobs"
    command = add_subcommand(subcommands, "jobs", _jobs, brief)
    command.add_argument("--all", action="store_true", help="every job, in one table as wide as it needs")
    command.add_argument("--rehearsals", action="store_true", help="the rehearsals in place of the real jobs")
    add_logs_option(command)


def _jobs(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.listing import run_jobs

    return run_jobs(args)


def add_review(subcommands: Subcommands) -> None:
    """``handsfree review``."""
    command = add_subcommand(subcommands, "review", _review, "print the review of a job")
    command.add_argument("job", metavar="JOB", nargs="?", help=_JOB_HELP)
    command.add_argument("--history", action="store_true", help="what was corrected or taken back, and when")
    command.add_argument("--entries", action="store_true", help="every entry with its name, as job correct wants it")
    command.add_argument("--spoken", action="store_true", help="only what is read aloud at the bench")
    add_logs_option(command)


def _review(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.review import run_review

    return run_review(args)


def _part(text: str) -> str:
    return text.replace("-", " ")


def add_report(subcommands: Subcommands) -> None:
    """``handsfree report``."""
    a_part: Any = {"metavar": "PART", "action": "append", "default": [], "type": _part, "choices": _PARTS}
    command = add_subcommand(subcommands, "report", _report, "write the report of a job", _REPORT)
    command.add_argument("job", metavar="JOB", nargs="?", help=_JOB_HELP)
    command.add_argument("--to", metavar="FILE", help="where to write it (default: job-JOB.html here); - to print it")
    command.add_argument(
        "--format", choices=("html", "csv", "json", "text"), help="what to write (default: by the file's ending)"
    )
    command.add_argument("--say", metavar="TEXT", help="what the workshop has to say to the owner, on the first page")
    command.add_argument("--with", dest="include", help=f"a part that it has besides: {', '.join(_PARTS)}", **a_part)
    command.add_argument(
        "--without",
        dest="leave_out",
        help='a part that it is without; the usual ones: "report" in workshop.yaml',
        **a_part,
    )
    command.add_argument("--charges", action="store_true", help="the same as --with charges")
    command.add_argument(
        "--sound",
        choices=("notes", "all", "none"),
        default="notes",
        help="which sounds to put into the page: of the notes (default), of every entry, or none",
    )
    add_logs_option(command)


def _report(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.report import run_report

    return run_report(args)


def add_history(subcommands: Subcommands) -> None:
    """``handsfree history``."""
    brief = "show what was measured and noted in earlier jobs"
    command = add_subcommand(subcommands, "history", _history, brief, _HISTORY)
    command.add_argument("what", metavar="WHAT", nargs="?", help="an item, a serial number, or what was measured")
    command.add_argument("--item", metavar="TEXT", help="only jobs on this item")
    command.add_argument("--serial", metavar="TEXT", help="only jobs on this serial number")
    command.add_argument("--figure", metavar="NAME", help="only this characteristic")
    command.add_argument("--most", type=int, default=20, metavar="N", help="how many jobs at most (default: 20)")
    command.add_argument("--to", metavar="FILE.html", help="write a page, with charts over the jobs")
    add_logs_option(command)


def _history(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.history import run_history

    return run_history(args)


def add_search(subcommands: Subcommands) -> None:
    """``handsfree search``."""
    brief = "find words in notes, reasons and other free text of all jobs"
    command = add_subcommand(subcommands, "search", _search, brief)
    command.add_argument("words", nargs="+", metavar="WORD", help="words, or beginnings of words; all have to be there")
    command.add_argument("--most", type=int, default=50, metavar="N", help="how many at most (default: 50)")
    add_logs_option(command)


def _search(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.search import run_search

    return run_search(args)
