"""The options of every command that works at the bench, in groups as its help shows them."""

from __future__ import annotations

import argparse
from pathlib import Path

from handsfree.commands.options import add_logs_option, add_recogniser_options, add_voice_option, add_workshop_options

_LISTENING = """\
With the microphone, Ctrl-C leaves a job that can be taken up again. Through a loudspeaker it does not listen while it
speaks. Of typed lines each is a phrase; "~ ten minutes" lets time pass, and # begins a comment."""

_KEYS = """\
--key: Linux, macOS, Windows; any key of this terminal, which must be in the foreground; only the press is seen, so one
press is good for one utterance (on Windows: keys that type a character). --pedal: Linux; any input device that you
may read; press and release are seen, in whatever window."""

_DISPLAY = """\
On a terminal the full view shows where the job stands: the act, the figure asked for, the last reading between its
limits, dangers, timers, what was heard. A page shows the same to a device across the bench; to other machines only
with the key in its address, which is new for each job. The connection is not encrypted: whoever can listen in on the
network can read along."""

_WORKSHOP = """\
The workshop's file is written like this:
  english: british  # or american: "zero", "two hundred five", "millimeters"
  answers: full     # or short
  voices: two       # or one
  pronunciations: {gib: /ɡɪb/, Wyre: wire}
  tools:
    - {name: micrometer, also: mike, resolution: 0.01 mm,
       uncertainty: 0.004 mm, range: 0 to 25 mm}
    - {name: feeler blades, resolution: 0.5 thou,
       blades: "1, 1.5, 2, 3, 4, 5, 6, 8, 10 thou"}
    - {name: shim box, shims: "4 x 0.1, 2 x 0.05 mm"}
  words:                        # for taking apart; a file for --words has
    parts: [feed dog]           # these keys at its top; further sorts are
    places: [bed]               # fasteners, heads, finishes, sizes and ways
    accessories: [dust cover]   # what is left with items and given back
    measured: [thread tension, {name: lift of the foot, unit: mm}]"""


def add_bench_options(command: argparse.ArgumentParser, listen: str = "mic", speak: str = "aloud") -> None:
    """What every command that works at the bench takes; ``listen`` and ``speak`` are what it does if nobody says."""
    add_logs_option(command)
    command.add_argument("--new", action="store_true", help="begin a new job although an unfinished one is there")
    _add_listening(command, listen)
    _add_speaking(command, speak)
    _add_keys(command)
    _add_display(command)
    workshop = command.add_argument_group("the workshop", _WORKSHOP)
    add_workshop_options(workshop)
    workshop.add_argument(
        "--words", type=Path, metavar="FILE", help="further words for taking apart: parts, places, what is measured"
    )


def _add_listening(command: argparse.ArgumentParser, listen: str) -> None:
    group = command.add_argument_group("listening", _LISTENING)
    group.add_argument(
        "--listen",
        default=listen,
        metavar="mic|typed|FILE",
        help=f"the microphone, typed lines from standard input, or a recording (default: {listen})",
    )
    group.add_argument(
        "--microphone",
        metavar="NAME",
        help="which microphone: its name or a part of it (default: what handsfree devices remembers)",
    )
    group.add_argument(
        "--barge-in", action="store_true", help="listen while speaking too: with a headset, speech may be cut into"
    )
    group.add_argument(
        "--keep-heard",
        action="store_true",
        help="keep the sound of everything heard at the bench, in the folder heard of the log, to tune hearing by",
    )
    add_recogniser_options(group)


def _add_speaking(command: argparse.ArgumentParser, speak: str) -> None:
    group = command.add_argument_group("speaking")
    group.add_argument(
        "--speak",
        default=speak,
        metavar="aloud|print|FILE.wav",
        help=f"through the loudspeaker, only printed, or into a sound file (default: {speak})",
    )
    add_voice_option(group)
    group.add_argument(
        "--one-voice",
        action="store_true",
        help="dangers and questions in the same voice as the rest (also: voices: one in the workshop's file)",
    )
    group.add_argument(
        "--loudspeaker",
        metavar="NAME",
        help="which loudspeaker or headset: its name or a part of it (default: what handsfree devices remembers)",
    )


def _add_keys(command: argparse.ArgumentParser) -> None:
    group = command.add_argument_group("a key or a pedal", _KEYS)
    group.add_argument(
        "--key", metavar="NAME", help="a key of this terminal, or a pedal that types it: space, f9, b ..."
    )
    group.add_argument(
        "--pedal", type=Path, metavar="DEVICE", help="a pedal as a Linux input device (/dev/input/by-id/...)"
    )
    group.add_argument(
        "--key-does",
        choices=("talk", "stand-by"),
        default="talk",
        help="what the key or pedal does: listen only when it is pressed (default), or stand by and come back",
    )


def _add_display(command: argparse.ArgumentParser) -> None:
    group = command.add_argument_group("the display", _DISPLAY)
    group.add_argument(
        "--display",
        action="store_true",
        help="serve a page that shows where the job stands, to this machine only (http://127.0.0.1:8740/)",
    )
    group.add_argument(
        "--display-address",
        metavar="HOST[:PORT]",
        help="serve it there, to whoever has the key in the address: 0.0.0.0 for the workshop's network",
    )
    group.add_argument(
        "--display-buttons", action="store_true", help="with two buttons on the page: stand by, and next"
    )
    group.add_argument("--plain", action="store_true", help="plain lines on a terminal, without the full view")
