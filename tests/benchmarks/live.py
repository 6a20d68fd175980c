"""The live path measured through a real sound stream: ``python -m tests.benchmarks.live``.

From start to listening; from the end of speech to the answer's tone and to its first word, at the loudspeaker (the
closing silence is included, and so are the sound server's own buffers); the processor's share while listening idly;
memory. Needs the parts that ``tests/sound_room.py`` names. Prints a table with the number of trials.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from handsfree.audio.samples import SAMPLE_RATE
from tests.support.program import VOICE, Program
from tests.support.sound_room import SoundRoom

COMMANDS = ("where-am-i", "help", "read-back", "cautions", "fasteners")
TONE_BEGINS = 0.004
"""Level at the loudspeaker that counts as a sound."""
TONE_SECONDS = 0.09


def from_speech_to_answer(room: SoundRoom, program: Program, name: str) -> tuple[float, float] | None:
    """Seconds from the end of a recording's speech to the tone, and to the first word, on one clock of samples.

    Both the room and the loudspeaker are recorded, to the same moment.
    """
    with room.listening("room") as said, room.listening("loudspeaker") as heard:
        room.say(VOICE / f"{name}.flac")
        if heard_something(heard):
            program.has_spoken(heard)
        asked, answered = said.samples, heard.samples
    ends = np.flatnonzero(np.abs(asked) > 0.01)
    sounding = np.flatnonzero(np.abs(answered) > TONE_BEGINS)
    if not len(ends) or not len(sounding):
        return None
    # Both recorders run until now: their ends are the same moment.
    end_of_speech = (ends[-1] - len(asked)) / SAMPLE_RATE
    tone = (sounding[0] - len(answered)) / SAMPLE_RATE
    words = sounding[sounding > sounding[0] + TONE_SECONDS * SAMPLE_RATE]
    first_word = (words[0] - len(answered)) / SAMPLE_RATE if len(words) else tone
    return tone - end_of_speech, first_word - end_of_speech


def from_start(room: SoundRoom, folder: Path) -> tuple[float, float]:
    """Seconds from the start of the program to listening, and to its first sound, in a new log."""
    with room.listening() as heard:
        before, began = len(heard.samples), time.monotonic()
        program = Program(room, folder)
        try:
            program.shows("Listening with")
            listening = time.monotonic() - began
            program.has_spoken(heard)
        finally:
            program.stop()
        sounding = np.flatnonzero(np.abs(heard.samples[before:]) > TONE_BEGINS)
    return listening, float(sounding[0]) / SAMPLE_RATE


def heard_something(heard: object) -> bool:
    """Whether an answer begins within four seconds."""
    deadline = time.monotonic() + 4
    while time.monotonic() < deadline:
        samples = getattr(heard, "samples")  # noqa: B009
        if len(samples) and np.abs(samples).max() > TONE_BEGINS:
            return True
        time.sleep(0.05)
    return False


def processor_seconds(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def memory(pid: int) -> tuple[float, float]:
    """Megabytes in use now, and at most so far."""
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    found = {line.split(":")[0]: int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("Vm")}
    return found["VmRSS"], found["VmHWM"]


def main() -> int:
    parser = argparse.ArgumentParser(description="Measure the live path through a real sound stream.")
    parser.add_argument("--rounds", type=int, default=3, help="how often each of the five commands is said")
    parser.add_argument("--starts", type=int, default=5, help="how often the program is started")
    parser.add_argument("--idle", type=float, default=20.0, help="seconds of idle listening")
    args = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="handsfree-live-"))
    room = SoundRoom(folder)
    if not room.ready():
        print("The PulseAudio server does not start here.", file=sys.stderr)
        return 1
    try:
        starts = []
        for number in range(args.starts):
            (place := folder / f"start {number}").mkdir()
            starts.append(from_start(room, place))
        program = Program(room, folder)
        program.shows("Listening with")
        try:
            with room.listening() as heard:
                program.shows("Step one")
                program.has_spoken(heard)
            pid = program.process.pid
            before, since = processor_seconds(pid), time.monotonic()
            time.sleep(args.idle)
            idle = (processor_seconds(pid) - before) / (time.monotonic() - since)
            pairs = [
                pair
                for _ in range(args.rounds)
                for name in COMMANDS
                if (pair := from_speech_to_answer(room, program, name)) is not None
            ]
            now, most = memory(pid)
        finally:
            program.stop()
    finally:
        room.close()
    tones, words = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
    load = os.getloadavg()[0]
    for what, times in zip(("listening  ", "first sound"), zip(*starts, strict=True), strict=False):
        print(
            f"from start to {what}      {statistics.median(times):6.2f} s median, {max(times):.2f} most ({len(times)})"
        )
    print(
        f"end of speech to tone          {statistics.median(tones):6.2f} s median, {max(tones):.2f} most ({len(tones)})"
    )
    print(
        f"end of speech to first word    {statistics.median(words):6.2f} s median, {max(words):.2f} most ({len(words)})"
    )
    print(f"idle listening                 {idle:6.1%} of a core over {args.idle:.0f} s")
    print(f"memory                         {now:6.0f} MB, {most:.0f} MB at most")
    print(f"unanswered                     {args.rounds * len(COMMANDS) - len(pairs):6d}")
    print(f"(load of this machine meanwhile: {load:.1f} on {os.cpu_count()} cores)")
    return 0


if __name__ == "__main__":
    sys.exit(main())
