"""The commands: arguments in, exit codes out (0 good, 2 wrong use or input, 1 otherwise)."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from functools import cache

from handsfree import __version__
from handsfree.commands.bench import arguments as bench
from handsfree.commands.counter import arguments as counter
from handsfree.commands.equipment import arguments as equipment
from handsfree.commands.jobs import arguments as jobs
from handsfree.commands.jobs.job_arguments import add_job
from handsfree.commands.log import arguments as log
from handsfree.commands.options import Wrapped
from handsfree.commands.output import clean_streams, give_up_output
from handsfree.commands.procedures import arguments as procedures

GOOD, OTHERWISE = 0, 1
_MADE_BEFORE_A_LOOK = 200_000

_DESCRIPTION = """\
A bench assistant for repairers with both hands in the work. It listens offline to short spoken phrases,
walks a procedure aloud step by step, decides each measurement against its limits, and keeps the log."""

_BEGIN = """\
begin here:
  handsfree demo                     a whole job from a recording, heard and
                                     answered
  handsfree run focusing-slide       the same job yourself, with the microphone
  handsfree run focusing-slide --listen typed
                                     the same, typed: one phrase a line
  handsfree phrases focusing-slide   everything that can be said
  handsfree COMMAND --help           what a command does, and its options"""

_END = """\
Exit codes: 0 good, 2 wrong use or input, 1 otherwise.
The maker's data, local rules and licensed practice come before anything a procedure says."""

_SUBCOMMANDS = {
    "work at the bench": (
        bench.add_run, bench.add_strip, bench.add_rehearse, bench.add_demo,
    ),
    "take in, and look back": (
        add_job, jobs.add_jobs, counter.add_orders, counter.add_sheet, counter.add_bill, jobs.add_review,
        jobs.add_report, jobs.add_history, jobs.add_search,
    ),
    "procedures and figures": (
        procedures.add_check, procedures.add_phrases, procedures.add_card, procedures.add_draft,
        procedures.add_propose, procedures.add_schema, procedures.add_figure,
    ),
    "the bench's equipment": (
        equipment.add_bench_check, equipment.add_devices, equipment.add_hear, equipment.add_fetch_model,
        equipment.add_learn_voice, equipment.add_voices,
        equipment.add_tools, equipment.add_check_tool,
    ),
    "the log": (
        log.add_where, log.add_verify, log.add_backup, log.add_restore, log.add_rescue, log.add_delete_sounds,
        log.add_delete_files, log.add_forget,
    ),
}  # fmt: skip
"""Each adds the parser of one command: by what they are for, in the order of the help."""


@cache
def command_line_parser() -> argparse.ArgumentParser:
    """The parser of every command with its options; ``run`` in what it parses is the function to call. Made once."""
    parser = argparse.ArgumentParser(
        prog="handsfree",
        usage="handsfree [-h] [--version] COMMAND ...",
        description=_DESCRIPTION,
        formatter_class=Wrapped,
    )
    parser.add_argument("--version", action="version", version=f"handsfree {__version__}")
    # argparse knows no groups of commands, so the list of them is ours.
    subcommands = parser.add_subparsers(
        prog="handsfree", dest="command", metavar="COMMAND", required=True, help=argparse.SUPPRESS
    )
    lists = []
    for purpose, commands in _SUBCOMMANDS.items():
        before = len(subcommands._choices_actions)
        for add in commands:
            add(subcommands)
        briefs = ((each.dest, each.help or "") for each in subcommands._choices_actions[before:])
        lists.append("\n".join((f"{purpose}:", *(f"  {name:<14} {brief}" for name, brief in briefs))))
    parser.epilog = "\n\n".join((_BEGIN, *lists, _END))
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; the exit code. Problems of use or input are one sentence on standard error."""
    # Most of what is made while the program starts stays: to look it through for unused circles as often as Python does
    # takes a tenth of the time.
    gc.set_threshold(_MADE_BEFORE_A_LOOK)
    # Nothing large is multiplied by numpy here: its other threads would only spin, for a tenth of a second at first.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with clean_streams():
        return _run(command_line_parser().parse_args(arguments))


def _run(args: argparse.Namespace) -> int:
    try:
        _refuse_what_is_no_text(args)
        code: int = args.run(args)
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        # Whoever read our output has enough of it (head, less).
        give_up_output()
        return GOOD
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return OTHERWISE
    except Exception as error:
        from handsfree.commands.problems import exit_code_of, sentence_of  # noqa: PLC0415 - only when something went wrong

        known = exit_code_of(error)
        if known is None:
            raise
        if isinstance(error, OSError) and error.filename is None:
            give_up_output()
        print(f"handsfree {args.command}: {sentence_of(error)}", file=sys.stderr)
        return known


def _refuse_what_is_no_text(args: argparse.Namespace) -> None:
    """UseError for an argument whose bytes are no text in the system's encoding. Names of files may be anything."""
    for name, given in vars(args).items():
        for each in given if isinstance(given, list) else [given]:
            if isinstance(each, str) and any("\ud800" <= letter <= "\udfff" for letter in each):
                from handsfree.commands.problems import UseError  # noqa: PLC0415 - only when something went wrong

                raise UseError(
                    f"what was given for {name.replace('_', ' ')} is no text in UTF-8: {each}; type it again"
                )


if __name__ == "__main__":
    sys.exit(main())
