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
    brief = "list the workshop's measuring tools, with their checks"
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


_LEARN_VOICE = """\
Forty short phrases (digits, tens, units, the commonest commands) are said to you one by one; say each after it. What
must be said again is asked for again. It is steered by voice: "stand by" and "back at the bench" for a rest, "say
again", "drop it" for the last phrase once more, "pause the job" to go on another time by the same command. Then the
recogniser adapts itself to the voice, which takes two or three minutes. The sound is deleted; what was learned stays in
a small file on this machine that only its owner can read, and is used whenever this person is at the bench. Where the
card would be heard less well by it, nothing is kept. A second time it is learned anew.

With --from-jobs nothing is read: what is known of the voice is learned further from the newest figures (20 to 40) that
this person said at the bench on later days, that stood as they were read back, and whose sound is still kept. Figures
said with the name of what is measured ("clearance four thou") are left out."""


def add_learn_voice(subcommands: Subcommands) -> None:
    """``handsfree learn-voice``."""
    brief = "learn one person's voice, read aloud once from a card"
    command = add_subcommand(subcommands, "learn-voice", _learn_voice, brief, _LEARN_VOICE)
    command.add_argument("--by", metavar="NAME", required=True, help="who reads, by the name that is used at the bench")
    command.add_argument(
        "--listen",
        default="mic",
        metavar="mic|FILE",
        help="the microphone, or a recording of the card read in its order (default: mic)",
    )
    command.add_argument(
        "--from-jobs", action="store_true", help="learn further from figures that were said at the bench, and stood"
    )
    add_logs_option(command)
    command.add_argument("--microphone", metavar="NAME", help="which microphone: its name or a part of it")
    command.add_argument(
        "--speak", default="aloud", metavar="aloud|print", help="say the phrases, or only print them (default: aloud)"
    )
    command.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker: its name or a part of it")


def _learn_voice(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.learn_voice import run_learn_voice

    return run_learn_voice(args)


def add_voices(subcommands: Subcommands) -> None:
    """``handsfree voices``."""
    brief = "list whose voice was learned, or forget one"
    command = add_subcommand(subcommands, "voices", _voices, brief)
    command.add_argument("--forget", metavar="NAME", help="delete what was learned of this person's voice")


def _voices(args: argparse.Namespace) -> int:
    from handsfree.commands.equipment.voices import run_voices

    return run_voices(args)


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
