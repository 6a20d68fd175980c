"""The arguments of the commands about the files of the log."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.commands.options import add_logs_option, add_subcommand

if TYPE_CHECKING:
    from handsfree.commands.options import Subcommands

_VERIFY = """\
Recomputes the chain of hashes over each job's events and looks at the sounds they name.
A chain alone does not show that its end was cut off, nor who wrote an event, nor that the clock was right: whoever can
write the file can make all of it anew. --hash compares with a hash that was noted elsewhere, as on a report that the
customer has. Exit code 1 where something does not hold."""

_RESCUE = """\
The damaged files are only read. Each job is saved up to what is lost, and after it.
Exit code 1 where something is lost."""

_DELETE_SOUNDS = """\
What was said stays as text, and the hashes of the sounds stay in the log, so that it holds."""

_DELETE_FILES = """\
Their content goes. What they were called, what they were said to show and their hashes stay in the log, so that it
holds."""

_FORGET = """\
The sounds in which they were said go as well. Hashes stay in the log, so that it holds; they tell nothing."""

_BACKUP = """\
A ZIP archive of the log as it stands at this moment (a job may be open meanwhile) and of all sounds, with the SHA-256
of each. It is read again before it counts."""


def add_verify(subcommands: Subcommands) -> None:
    """``handsfree verify``."""
    command = add_subcommand(subcommands, "verify", _verify, "prove that the log is what was written", _VERIFY)
    command.add_argument("job", metavar="JOB", nargs="?", help="a job's number (default: all jobs)")
    command.add_argument("--hash", metavar="HASH", help="a hash of the job that was noted earlier, as on its report")
    add_logs_option(command)


def _verify(args: argparse.Namespace) -> int:
    from handsfree.commands.log.verify import run_verify

    return run_verify(args)


def add_rescue(subcommands: Subcommands) -> None:
    """``handsfree rescue``."""
    command = add_subcommand(subcommands, "rescue", _rescue, "save what can be read of a damaged log", _RESCUE)
    command.add_argument("--to", type=Path, metavar="FOLDER", required=True, help="a new folder for the saved log")
    add_logs_option(command, "the damaged log (default: where the log is kept)")


def _rescue(args: argparse.Namespace) -> int:
    from handsfree.commands.log.rescue import run_rescue

    return run_rescue(args)


def add_delete_sounds(subcommands: Subcommands) -> None:
    """``handsfree delete-sounds``."""
    brief = "delete the sounds of a job, or old ones"
    command = add_subcommand(subcommands, "delete-sounds", _delete_sounds, brief, _DELETE_SOUNDS)
    command.add_argument("job", metavar="JOB", nargs="?", help="a job's number")
    command.add_argument(
        "--older-than", type=int, metavar="DAYS", help="of all jobs on which nobody worked for so many days"
    )
    add_logs_option(command)


def _delete_sounds(args: argparse.Namespace) -> int:
    from handsfree.commands.log.delete_sounds import run_delete_sounds

    return run_delete_sounds(args)


def add_delete_files(subcommands: Subcommands) -> None:
    """``handsfree delete-files``."""
    brief = "delete files that were attached to a job"
    command = add_subcommand(subcommands, "delete-files", _delete_files, brief, _DELETE_FILES)
    command.add_argument("job", metavar="JOB", help="a job's number")
    command.add_argument(
        "entry", metavar="ENTRY", nargs="*", help="its entry, as listed by handsfree review --entries (default: all)"
    )
    command.add_argument("--reason", metavar="WHY", required=True, help="why; it stays in the log")
    add_logs_option(command)


def _delete_files(args: argparse.Namespace) -> int:
    from handsfree.commands.log.delete_files import run_delete_files

    return run_delete_files(args)


def add_forget(subcommands: Subcommands) -> None:
    """``handsfree forget-owner``."""
    brief = "take an owner's name and how to reach them out of all jobs"
    command = add_subcommand(subcommands, "forget-owner", _forget, brief, _FORGET)
    command.add_argument("owner", metavar="OWNER", help="the owner's name, as handsfree jobs writes it")
    command.add_argument(
        "--attached", action="store_true", help="delete the files that are attached to those jobs, too"
    )
    add_logs_option(command)


def _forget(args: argparse.Namespace) -> int:
    from handsfree.commands.log.forget import run_forget

    return run_forget(args)


def add_where(subcommands: Subcommands) -> None:
    """``handsfree where``."""
    brief = "print where everything is kept"
    add_logs_option(add_subcommand(subcommands, "where", _where, brief, "Everything stays on this machine."))


def _where(args: argparse.Namespace) -> int:
    from handsfree.commands.log.where import run_where

    return run_where(args)


def add_backup(subcommands: Subcommands) -> None:
    """``handsfree backup``."""
    brief = "save the whole log, sounds and all, in one file"
    command = add_subcommand(subcommands, "backup", _backup, brief, _BACKUP)
    command.add_argument("file", type=Path, metavar="FILE", help="the file to make")
    add_logs_option(command)


def _backup(args: argparse.Namespace) -> int:
    from handsfree.commands.log.backup import run_backup

    return run_backup(args)


def add_restore(subcommands: Subcommands) -> None:
    """``handsfree restore``."""
    brief = "bring a saved log back, into a folder that holds none"
    command = add_subcommand(
        subcommands, "restore", _restore, brief, "Everything is compared, and a log is never overwritten."
    )
    command.add_argument("file", type=Path, metavar="FILE", help="a file made by backup")
    add_logs_option(command, "the folder to bring it back into")


def _restore(args: argparse.Namespace) -> int:
    from handsfree.commands.log.backup import run_restore

    return run_restore(args)
