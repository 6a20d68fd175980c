"""The arguments of the commands about procedure files, what can be said with them, and bench sums."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.commands.options import PROCEDURE_HELP, add_logs_option, add_subcommand, add_workshop_options

if TYPE_CHECKING:
    from handsfree.commands.options import Subcommands

_DRAFT = """\
The reverse order, with fasteners, trays and marks filled in, notes at their step, and figures as found as the first
proposal for a target. What must be in before is written where it follows from what was said. What only the writer can
know is marked with GAP, and handsfree check lists it."""

_PROPOSE = """\
From the real jobs done with it: figures set give a target and limits, with the number of jobs behind them; a step that
was always done earlier or later is moved, unless another rests on it; steps from which people went back, and figures
that were out of limits at first, get a comment. They are shown as a patch; nothing is changed unless --apply is given.
What can't be put into the patch is told with the reason."""

_CHECK = "Every problem is told with its line, and how to mend it. Exit code 2 where a file can't be used."

_SUMS = """\
Sums are asked for as at the bench:
  convert 4 thou to mm
  what is 10 thou minus 0.1 mm
  blades for 0.35 mm
  shims for 0.27 mm
  travel of M3 in two turns
  travel of two start 1.5 mm pitch in one turn
  what percent is 4 thou of 5 thou
  error of 1.05 seconds against 1 second"""


def add_draft(subcommands: Subcommands) -> None:
    """``handsfree draft``."""
    brief = "write the procedure for putting back what a job took apart"
    command = add_subcommand(subcommands, "draft", _draft, brief, _DRAFT)
    command.add_argument("job", metavar="JOB", nargs="?", help="the job's number (default: the last one of strip)")
    command.add_argument("--to", type=Path, metavar="FILE.yaml", help="write it there (default: to standard output)")
    add_logs_option(command)


def _draft(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures.draft import run_draft

    return run_draft(args)


def add_propose(subcommands: Subcommands) -> None:
    """``handsfree propose``."""
    brief = "propose changes to a procedure from the jobs done with it"
    command = add_subcommand(subcommands, "propose", _propose, brief, _PROPOSE)
    command.add_argument("procedure", metavar="PROCEDURE", help=PROCEDURE_HELP)
    command.add_argument("--jobs", type=int, default=3, metavar="N", help="the fewest jobs behind a proposal (3)")
    command.add_argument("--apply", action="store_true", help="change the file as proposed")
    add_logs_option(command)


def _propose(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures.propose import run_propose

    return run_propose(args)


def add_card(subcommands: Subcommands) -> None:
    """``handsfree card``."""
    brief = "make a bench card and tray list of a procedure, to print on A4"
    command = add_subcommand(subcommands, "card", _card, brief)
    command.add_argument("procedure", metavar="PROCEDURE", help=PROCEDURE_HELP)
    command.add_argument("--to", type=Path, metavar="FILE.html", help="where to (default: the procedure's name, here)")


def _card(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures.card import run_card

    return run_card(args)


def add_figure(subcommands: Subcommands) -> None:
    """``handsfree figure``."""
    command = add_subcommand(subcommands, "figure", _figure, "tell what a figure means, or do a bench sum", _SUMS)
    command.add_argument("text", nargs="+", metavar="TEXT", help="as it is said, or written")
    command.add_argument("--json", action="store_true", help="one JSON object, for programs")
    command.add_argument("--blades", metavar="SET", help='a set of blades, such as "0.05, 0.1, 0.2 mm"')
    command.add_argument("--shims", metavar="SET", help='a set of shims, such as "4 x 0.1, 2 x 0.2 mm"')
    add_workshop_options(command)


def _figure(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures.figure import run_figure

    return run_figure(args)


def add_check(subcommands: Subcommands) -> None:
    """``handsfree check``."""
    command = add_subcommand(subcommands, "check", _check, "check procedure files", _CHECK)
    command.add_argument(
        "procedures", nargs="+", metavar="PROCEDURE", help="a file, or the name of a shipped procedure"
    )


def _check(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures.check import run_check

    return run_check(args)


def add_schema(subcommands: Subcommands) -> None:
    """``handsfree schema``."""
    add_subcommand(subcommands, "schema", _schema, "print the JSON Schema of procedure files, for editors")


def _schema(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures.schema import run_schema

    return run_schema(args)


def add_phrases(subcommands: Subcommands) -> None:
    """``handsfree phrases``."""
    command = add_subcommand(subcommands, "phrases", _phrases, "show everything that can be said")
    command.add_argument(
        "procedure",
        nargs="?",
        metavar="PROCEDURE",
        help='with its names; "strip": while taking apart',
    )
    command.add_argument("--words", type=Path, metavar="FILE", help="with these words, while taking apart")


def _phrases(args: argparse.Namespace) -> int:
    from handsfree.commands.procedures.phrases import run_phrases

    return run_phrases(args)
