"""Makes the recording of the demo: ``python -m tests.tools.recordings.demo``.

One technician works to the script in ``demo_script.txt``; the result is ``audio_fixtures/demo/technician.flac``,
with the words that were said beside it in ``script.txt``, for comparison only. Needs what ``make`` needs.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.tools.recordings import noises, table
from tests.tools.recordings.make import rng_for
from tests.tools.recordings.sound import RATE, Sound, level, mixed, save, speech
from tests.tools.recordings.voices import VOICES, MissingNeeds, check_needs, voice

SCRIPT = Path(__file__).with_name("demo_script.txt")
FOLDER = table.FOLDER / "demo"
TECHNICIAN = "heart"
"""The voice that the built-in recogniser hears best, so that the demo shows the work and not the voice."""
VISITOR = "pico-gb"
DEFAULT_PAUSE = 3.0
CLOSING_PAUSE = 4.0
NOISE_DECIBELS = 25.0
"""How far the noise of the bench is under the speech."""

_LINE = re.compile(
    r"(?:\[(?P<pause>\d+(?:\.\d+)?)\]\s*)?"
    r"(?:(?P<kind>talk|dictated|noise|pause)(?:\((?P<voice>[\w-]+)\))?:\s*)?(?P<text>[^\[\]():]+)"
)


class ScriptError(ValueError):
    """A line of the script that can't be read; the message names it."""


@dataclass(frozen=True)
class Line:
    """One thing that is heard, after ``pause`` seconds.

    ``kind``: "said" by the technician as a command, "dictated" by the technician, somebody's "talk", "noise", or a
    "pause" that is left out of the recording ("10 minutes").
    """

    text: str
    pause: float = DEFAULT_PAUSE
    kind: str = "said"
    voice: str = TECHNICIAN


def read_script(text: str, technician: str = TECHNICIAN) -> list[Line]:
    """The lines of a script; ScriptError names the first that can't be read."""
    lines = []
    for number, raw in enumerate(text.splitlines(), 1):
        stripped = raw.strip()
        if not stripped or stripped.startswith("#"):
            continue
        found = _LINE.fullmatch(stripped)
        if not found:
            raise ScriptError(f"line {number} of the script can't be read: {stripped!r}; write [SECONDS] words")
        kind = found["kind"] or "said"
        who = found["voice"] or (VISITOR if kind == "talk" else technician)
        words = found["text"].strip()
        if kind == "noise" and words not in noises.NOISES:
            raise ScriptError(
                f"line {number} of the script: there is no noise {words!r}; there are {', '.join(noises.NOISES)}"
            )
        if kind == "pause" and not re.fullmatch(r"\d+ minutes", words):
            raise ScriptError(f"line {number} of the script: {words!r} is no pause; write it like 10 minutes")
        if who not in {each.name for each in VOICES}:
            raise ScriptError(f"line {number} of the script: there is no voice {who!r}")
        pause = DEFAULT_PAUSE if found["pause"] is None else float(found["pause"])
        lines.append(Line(words, pause, kind, who))
    return lines


def render(script: Sequence[Line], technician: str = TECHNICIAN) -> tuple[Sound, list[float]]:
    """The whole recording at 16 kHz, and the second at which each line begins."""
    pieces, starts, length = [], [], 0
    for line in script:
        sound = _sound_of(line, technician)
        length += round(line.pause * RATE)
        starts.append(length / RATE)
        pieces.append((length, sound))
        length += len(sound)
    whole = np.zeros(length + round(CLOSING_PAUSE * RATE), np.float32)
    for at, sound in pieces:
        whole[at : at + len(sound)] += sound
    return mixed(whole, _bench(len(whole) / RATE, starts), NOISE_DECIBELS), starts


def _sound_of(line: Line, technician: str) -> Sound:
    if line.kind == "pause":
        return np.zeros(0, np.float32)
    if line.kind == "noise":
        make, seconds, decibels = noises.NOISES[line.text]
        return (make(rng_for(line.text), seconds) * (10 ** (decibels / 20) / 0.1)).astype(np.float32)
    sound = speech(voice(line.voice).say(line.text))
    # A visitor stands further away.
    return sound * np.float32(0.6) if line.voice != technician else sound


def _bench(seconds: float, starts: Iterable[float]) -> Sound:
    """The noise of the bench: low pink noise, a soft hum, and a tap now and then in the pauses."""
    rng = rng_for("bench")
    total = noises.pink(rng, seconds) + 0.5 * noises.hum(rng, seconds)[: round(seconds * RATE)]
    for start in list(starts)[2::4]:
        tap = noises.clicks(rng, 0.5)
        at = max(0, round((start - rng.uniform(1.2, 1.6)) * RATE))
        total[at : at + len(tap)] += 1.5 * tap * level(total) / level(tap)
    return np.asarray(total, np.float32)


def script_for_comparison(script: Sequence[Line], starts: Sequence[float]) -> str:
    """What is heard and when, one line each: seconds, who, words."""
    who = {"said": "technician", "dictated": "dictated", "talk": "talk", "noise": "noise", "pause": "pause"}
    return "".join(
        f"{start:7.2f}  {who[line.kind]:<10}  {line.text}\n" for line, start in zip(script, starts, strict=True)
    )


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.recordings.demo", description=__doc__)
    parser.add_argument("script", nargs="?", type=Path, default=SCRIPT, help="default: demo_script.txt")
    parser.add_argument("--voice", default=TECHNICIAN, help=f"the technician's voice (default: {TECHNICIAN})")
    parser.add_argument("--to", type=Path, default=FOLDER, metavar="FOLDER", help="default: audio_fixtures/demo")
    args = parser.parse_args(arguments)
    try:
        check_needs()
        script = read_script(args.script.read_text(encoding="utf-8"), args.voice)
    except (MissingNeeds, ScriptError, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    sound, starts = render(script, args.voice)
    save(args.to / "technician.flac", sound)
    (args.to / "script.txt").write_text(script_for_comparison(script, starts), encoding="utf-8")
    size = (args.to / "technician.flac").stat().st_size
    print(f"{len(script)} lines, {len(sound) / RATE:.0f} s, {size / 1e6:.1f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
