"""The arguments of the commands that get the bench's equipment ready."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.commands.bench.options import add_bench_options
from handsfree.commands.options import (
    add_logs_option,
    add_recogniser_options,
    add_subcommand,
    add_workshop_options,
)

if TYPE_CHECKING:
    from handsfree.commands.options import Subcommands


_BENCH_CHECK = """\
Noise, hum, level, loudspeaker, recogniser, disk, and three phrases to say.
Exit code 1 where something wants looking at."""


_FETCH_MODEL = """\
40 MB; it goes on where a connection broke off. The makers publish no checksum with the model, so its structure and
every file's own checksum are verified."""


_CHECK_TOOL = """\
Each standard of its entry in the workshop's file (standards, or blades) is a
step: "blade four thou measures three point nine". The check is a job of its
own kind; handsfree tools NAME tells what all of them have shown."""


def add_devices(subcommands: Subcommands) -> None:
    """``handsfree devices``."""
    command = add_subcommand(
        subcommands, "devices", _devices, "list microphones and loudspeakers, and remember which to use"
    )
    command.add_argument("--microphone", metavar="NAME", help="remember this one: its name or a part of it")
    command.add_argument("--loudspeaker", metavar="NAME", help="remember this one: its name or a part of it")
    command.add_argument("--forget", action="store_true", help="go back to the system's own choice")


def _devices(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.devices import run_devices

    return run_devices(args)


def add_bench_check(subcommands: Subcommands) -> None:
    """``handsfree bench-check``."""
    brief = "check microphone, noise, loudspeaker, recogniser, disk"
    command = add_subcommand(subcommands, "bench-check", _bench_check, brief, _BENCH_CHECK)
    command.add_argument("--microphone", metavar="NAME", help="which microphone: its name or a part of it")
    command.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker: its name or a part of it")
    command.add_argument("--no-phrases", action="store_true", help="leave out the three phrases to say")
    add_recogniser_options(command)
    add_logs_option(command)


def _bench_check(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.bench_check import run_bench_check

    return run_bench_check(args)


def add_tools(subcommands: Subcommands) -> None:
    """``handsfree tools``."""
    brief = "the workshop's measuring tools, and what their checks showed"
    command = add_subcommand(subcommands, "tools", _tools, brief)
    command.add_argument("name", metavar="NAME", nargs="?", help="a tool's name, or what stands on it")
    add_workshop_options(command)
    add_logs_option(command)


def _tools(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.own_tools import run_tools

    return run_tools(args)


def add_check_tool(subcommands: Subcommands) -> None:
    """``handsfree check-tool``."""
    brief = "check a measuring tool of the workshop against its standards"
    command = add_subcommand(subcommands, "check-tool", _check_tool, brief, _CHECK_TOOL)
    command.add_argument("name", metavar="NAME", help="the tool's name, or what stands on it")
    command.add_argument("--job", metavar="JOB", help="take up this check, by its number")
    command.add_argument("--by", metavar="NAME", help="who is at the bench")
    add_bench_options(command)
    command.set_defaults(item=None, serial=None, owner=None)


def _check_tool(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.own_tools import run_check_tool

    return run_check_tool(args)


def add_fetch_model(subcommands: Subcommands) -> None:
    """``handsfree fetch-model``."""
    brief = "fetch the small English Vosk model, for a second ear"
    command = add_subcommand(subcommands, "fetch-model", _fetch_model, brief, _FETCH_MODEL)
    command.add_argument("--to", type=Path, metavar="FOLDER", help="where to put it (default: where run looks for it)")
    command.add_argument("--from", dest="source", metavar="FILE|URL", help="another place to get the archive from")


def _fetch_model(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.fetch_model import run_fetch_model

    return run_fetch_model(args)


def add_hear(subcommands: Subcommands) -> None:
    """``handsfree hear``."""
    command = add_subcommand(subcommands, "hear", _hear, "tell what each recording is taken for")
    command.add_argument("files", nargs="+", metavar="FILE", help="a recording (WAV, FLAC, OGG and the like)")
    command.add_argument(
        "--procedure",
        default="focusing-slide",
        metavar="P",
        help="the procedure whose names may be said (default: focusing-slide)",
    )
    command.add_argument("--json", action="store_true", help="one JSON object a line, for programs")
    add_recogniser_options(command)


def _hear(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.hear import run_hear

    return run_hear(args)
