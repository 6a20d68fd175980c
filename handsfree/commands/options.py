"""Options that several commands share."""

from __future__ import annotations

import argparse
from pathlib import Path


def recogniser_options(command: argparse.ArgumentParser) -> None:
    """Which recogniser, and its model."""
    command.add_argument(
        "--recogniser",
        choices=("auto", "builtin", "vosk", "both"),
        default="auto",
        help="auto (default): Vosk where a model for it is found, else the built-in one; both: two ears",
    )
    command.add_argument("--vosk-model", type=Path, metavar="FOLDER", help="an unpacked Vosk model")


def workshop_options(command: argparse.ArgumentParser) -> None:
    """The workshop's own file, and how figures are said."""
    command.add_argument("--workshop", type=Path, metavar="FILE", help="the workshop's file: its tools and its English")
    command.add_argument("--english", choices=("british", "american"), help="how figures are said")


def display_options(command: argparse.ArgumentParser) -> None:
    """The page across the bench, and the terminal."""
    command.add_argument(
        "--display", action="store_true", help="serve a page that shows where the job stands, to this machine only"
    )
    command.add_argument(
        "--display-address",
        metavar="HOST[:PORT]",
        help="serve it there, to whoever has the key in the address: 0.0.0.0 for the workshop's network",
    )
    command.add_argument(
        "--display-buttons", action="store_true", help="with two buttons on the page: stand by, and next"
    )
    command.add_argument("--plain", action="store_true", help="plain lines on a terminal, without the full view")


def bench_options(command: argparse.ArgumentParser, listen: str = "mic", speak: str = "aloud") -> None:
    """What every command that works at the bench takes."""
    command.add_argument(
        "--listen",
        default=listen,
        metavar="mic|typed|FILE",
        help=f"the microphone, typed lines from standard input, or a recording (default: {listen})",
    )
    command.add_argument("--microphone", metavar="NAME", help="which microphone: its name or a part of it")
    command.add_argument(
        "--speak",
        default=speak,
        metavar="aloud|print|FILE.wav",
        help=f"through the loudspeaker, only printed, or into a sound file (default: {speak})",
    )
    command.add_argument("--loudspeaker", metavar="NAME", help="which loudspeaker or headset: its name or a part of it")
    command.add_argument(
        "--barge-in", action="store_true", help="listen while speaking too: with a headset, speech may be cut into"
    )
    command.add_argument(
        "--key", metavar="NAME", help="a key of this terminal, or a pedal that types it: space, f9, b ..."
    )
    command.add_argument(
        "--pedal", type=Path, metavar="DEVICE", help="a pedal as a Linux input device (/dev/input/...)"
    )
    command.add_argument(
        "--key-does",
        choices=("talk", "stand-by"),
        default="talk",
        help="what the key or pedal does: listen only when it is pressed (default), or stand by and come back",
    )
    command.add_argument(
        "--keep-heard",
        action="store_true",
        help="help to improve hearing: keep the sound of everything heard at the bench, in the folder heard of the log",
    )
    display_options(command)
    recogniser_options(command)
    logs_option(command)
    command.add_argument("--new", action="store_true", help="begin a new job although an unfinished one is there")
    workshop_options(command)


def whose_options(command: argparse.ArgumentParser) -> None:
    """Which item it is, and whose."""
    command.add_argument("--serial", metavar="TEXT", help="its serial number")
    command.add_argument("--owner", metavar="TEXT", help="whose it is, or the owner's reference")


def logs_option(command: argparse.ArgumentParser, help_: str = "where the log is kept") -> None:
    """Where the log is."""
    command.add_argument("--logs", type=Path, metavar="FOLDER", help=help_)
