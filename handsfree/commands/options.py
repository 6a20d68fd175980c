"""What the parsers of several subcommands share. Nothing heavy is imported here: help must not wait for it."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    Subcommands = argparse._SubParsersAction[argparse.ArgumentParser]
    Options = argparse._ActionsContainer
    """A parser, or a group of its options."""

PROCEDURE_HELP = "a procedure file, or the name of one that is shipped"


class Wrapped(argparse.HelpFormatter):
    """Help that fits the terminal: paragraphs are wrapped, indented lines (examples, lists) stand as they are."""

    def add_argument(self, action: argparse.Action) -> None:
        """Actions of a command stand a step further in than its arguments, which is not counted otherwise."""
        super().add_argument(action)
        if list(self._iter_indented_subactions(action)):
            self._action_max_length += self._indent_increment

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        blocks = (_wrapped(block, width) for block in text.split("\n\n"))
        return textwrap.indent("\n\n".join(blocks), indent)


def _wrapped(block: str, width: int) -> str:
    """A paragraph, or a heading with indented lines under it."""
    lines: list[str] = []
    running: list[str] = []
    for line in (*block.splitlines(), None):
        if line is not None and not line.startswith(" "):
            running.append(line)
            continue
        lines += textwrap.wrap(" ".join(running), width)
        running = []
        lines += [] if line is None else [line]
    return "\n".join(lines)


def add_subcommand(
    subcommands: Subcommands,
    name: str,
    run: Callable[[argparse.Namespace], int] | None,
    brief: str,
    more: str = "",
) -> argparse.ArgumentParser:
    """The parser of a subcommand that ``run`` carries out (None: those below it have functions of their own). ``brief``
    is its line in the list of all, ``more`` what its own help says after that."""
    command = subcommands.add_parser(
        name,
        help=brief,
        description="\n\n".join(filter(None, (f"{brief[0].upper()}{brief[1:]}.", more))),
        formatter_class=Wrapped,
    )
    command.set_defaults(run=run)
    return command


def add_recogniser_options(command: Options) -> None:
    """Which recogniser, and its model."""
    command.add_argument(
        "--recogniser",
        choices=("auto", "builtin", "untrained", "vosk", "both"),
        default="auto",
        help="auto (default): Vosk where a model for it is found, else the built-in one; untrained: that one "
        "as its network came, for comparison; both: two ears, what they differ on is asked back",
    )
    command.add_argument(
        "--vosk-model",
        type=Path,
        metavar="FOLDER",
        help="an unpacked Vosk model (default: the environment variable HANDSFREE_VOSK_MODEL, else what "
        "handsfree fetch-model has fetched)",
    )


def add_voice_option(command: Options) -> None:
    """Whose voice speaks."""
    command.add_argument(
        "--voice",
        choices=("neural", "system", "espeak"),
        default="neural",
        help="whose voice speaks: the neural one (default; the system's in its place where it can't be had), "
        "the system's, or eSpeak's",
    )


def add_workshop_options(command: Options) -> None:
    """The workshop's own file, and how figures are said."""
    command.add_argument(
        "--workshop",
        type=Path,
        metavar="FILE",
        help="the workshop's file: its tools, its sets and its English (default: workshop.yaml in your settings "
        "folder, which handsfree where names)",
    )
    command.add_argument("--english", choices=("british", "american"), help="how figures are said, for this once")


def add_item_options(command: argparse.ArgumentParser) -> None:
    """Which item it is, and whose."""
    command.add_argument("--serial", metavar="TEXT", help="its serial number")
    command.add_argument("--owner", metavar="TEXT", help="whose it is, or the owner's reference")


def add_logs_option(command: argparse.ArgumentParser, help_: str = "where the log is kept") -> None:
    """Where the log is."""
    command.add_argument("--logs", type=Path, metavar="FOLDER", help=help_)
