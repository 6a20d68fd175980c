"""The arguments of the commands at the bench."""

from __future__ import annotations

import argparse
import threading
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.commands.bench.options import add_bench_options
from handsfree.commands.interrupts import interrupts_held
from handsfree.commands.options import (
    PROCEDURE_HELP,
    add_item_options,
    add_logs_option,
    add_recogniser_options,
    add_subcommand,
    add_voice_option,
)

if TYPE_CHECKING:
    from handsfree.commands.options import Subcommands
    from handsfree.speaking.ahead import VoiceKind

_RUN = """\
An unfinished job of the procedure is taken up where it was (--new begins another). Everything that can be said:
handsfree phrases PROCEDURE.

  handsfree run focusing-slide
  handsfree run focusing-slide --listen typed
  handsfree run my-procedure.yaml --item "Bench gauge" --serial 114
  handsfree run focusing-slide --listen day.wav --speak answers.wav
  handsfree run focusing-slide --job 2026-11-25-1 --by "T. Gable"
  handsfree run focusing-slide --key b --key-does stand-by
  handsfree run focusing-slide --display-address 0.0.0.0"""

_REHEARSE = """\
Everything is as at the bench, but waiting times pass fast, and the job is kept apart from the real ones
(handsfree jobs --rehearsals)."""

_STRIP = """\
Whatever comes off is said, and read back, in closed phrases:
  removed two screws, M two by five,  count, what, size (metric, BA, Whitworth,
    cheese head, from the top         BSF, unified), head, finish, left-hand
                                      thread, which way, from where
  removed the front cover             a part
  took off a spring, tail left
  shim, ten thou                      a shim with its thickness
  tray three                          everything removed since the last tray
                                      lies in it; said again, it is moved
  what is in tray three               what has no tray
  mark made at the bottom             an alignment mark
  two dots across the cover and the body
  end play two thou                   a figure as found
  new part / new place                something without a name: it gets a
                                      number and a note
  end of taking apart                 back to the procedure; in any job:
                                      begin taking apart
  note ... end of note                take back, where am I, finish the job:
                                      as in any job

handsfree phrases strip prints all of it with the words that are known; more come from the workshop's file and --words.
With --job it is a part of that job, which goes on with any procedure: handsfree run PROCEDURE --job JOB.
handsfree review JOB lists it, and handsfree draft JOB writes the procedure for putting it back."""


_DEMO = "Nothing in it is staged: where the recogniser mishears, the demo shows it, and what Handsfree makes of it."


def add_run(subcommands: Subcommands) -> None:
    """``handsfree run``."""
    command = add_subcommand(subcommands, "run", _run, "work a job by voice, or take an unfinished one up again", _RUN)
    command.add_argument("procedure", metavar="PROCEDURE", help=PROCEDURE_HELP)
    command.add_argument("--item", metavar="TEXT", help="which item is on the bench")
    add_item_options(command)
    command.add_argument("--job", metavar="JOB", help="work this job, with whatever procedure was worked in it before")
    command.add_argument("--by", metavar="NAME", help="who is at the bench: the name for sign off")
    add_bench_options(command)


def _run(args: argparse.Namespace) -> int:
    with interrupts_held():
        _load_ahead(args)
        from handsfree.commands.bench.run import run_job

    return run_job(args)


def add_rehearse(subcommands: Subcommands) -> None:
    """``handsfree rehearse``."""
    command = add_subcommand(subcommands, "rehearse", _rehearse, "try a procedure out without an item", _REHEARSE)
    command.add_argument("procedure", metavar="PROCEDURE", help=PROCEDURE_HELP)
    command.add_argument(
        "--speed", type=float, default=60.0, metavar="N", help="how many times faster a waiting time passes (60)"
    )
    add_bench_options(command, listen="typed", speak="print")
    command.add_argument("--job", metavar="JOB", help="take up this rehearsal, by its number")
    command.set_defaults(item=None, serial=None, owner=None, by=None)


def _rehearse(args: argparse.Namespace) -> int:
    with interrupts_held():
        _load_ahead(args)
        from handsfree.commands.bench.rehearse import run_rehearse

    return run_rehearse(args)


def add_strip(subcommands: Subcommands) -> None:
    """``handsfree strip``."""
    command = add_subcommand(subcommands, "strip", _strip, "take an item apart and say what comes off", _STRIP)
    command.add_argument(
        "item", metavar="ITEM", nargs="?", help="what is taken apart, in quotes (with --job: its item)"
    )
    command.add_argument(
        "--part", action="append", default=[], metavar="NAME", help="a part's name that can be said besides the usual"
    )
    add_item_options(command)
    add_bench_options(command)
    command.add_argument("--job", metavar="JOB", help="take apart as part of this job, by its number")
    command.add_argument("--by", metavar="NAME", help="who is at the bench: the name for sign off")


def _strip(args: argparse.Namespace) -> int:
    with interrupts_held():
        _load_ahead(args)
        from handsfree.commands.bench.strip import run_strip

    return run_strip(args)


def add_demo(subcommands: Subcommands) -> None:
    """``handsfree demo``."""
    brief = "play a whole job from a recording, heard and answered"
    command = add_subcommand(subcommands, "demo", _demo, brief, _DEMO)
    command.add_argument("--to", metavar="FILE.wav", help="write what a person in the room would have heard")
    command.add_argument("--quiet", action="store_true", help="print only, even where there is a loudspeaker")
    add_recogniser_options(command)
    add_voice_option(command)
    add_logs_option(command, "keep the demo's job in this folder (default: demo, in the folder of the log)")
    command.add_argument("--all", action="store_true", help="print the whole review of the job as well")


def _demo(args: argparse.Namespace) -> int:
    with interrupts_held():
        _load_ahead(argparse.Namespace(**vars(args), listen="demo", speak="print" if args.quiet else "aloud"))
        from handsfree.commands.bench.demo import run_demo

    return run_demo(args)


def _load_ahead(args: argparse.Namespace) -> None:
    """Begin to load what hears and what speaks, in threads of their own: most of it is done without the interpreter, on
    another core, while the modules of the command are loaded. Nothing is said here of what can't be had."""
    heard = args.recogniser if args.listen != "typed" else None
    spoken = args.voice if args.speak != "print" else None
    # Not a daemon: the engine must not be in the middle of it when the interpreter ends.
    threading.Thread(target=_load, args=(heard, args.vosk_model, spoken), name="loading ahead").start()


def _load(recogniser: str | None, vosk_model: Path | None, voice: VoiceKind | None) -> None:
    # What goes wrong here goes wrong again for whoever wants it, who tells it; where the program is interrupted
    # meanwhile, modules may be half loaded.
    with suppress(Exception):
        # What loads them is loaded here too: nobody waits for it. One after the other, as there may be no third core;
        # the voice is wanted last.
        if recogniser is not None:
            from handsfree.hearing.ahead import load_networks

            load_networks(recogniser, vosk_model)
        if voice is not None:
            from handsfree.speaking.ahead import wait_for_voice

            wait_for_voice(voice)
