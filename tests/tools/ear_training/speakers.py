"""The synthetic speakers of the training, each with a range of pitch and pace.

Only voices of the tune side of ``tests/tools/recordings/voices.py`` speak here; one of them, "kal", is left out, so
that thresholds can be derived from a voice that the trained ear does not know.
"""

from __future__ import annotations

import random
import re
import subprocess
import tempfile
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any

import numpy as np

Sound = np.ndarray[Any, np.dtype[np.float32]]
RATE = 16_000

_ACCENTS = ("en-us", "en-gb", "en-gb-x-rp", "en-029", "en-gb-x-gbclan", "en-gb-x-gbcwmd", "en-us-nyc")
_VARIANTS = (
    "adam", "Alicia", "Andrea", "anika", "Annie", "antonio", "aunty", "belinda", "benjamin", "boris", "caleb", "david",
    "Diogo", "ed", "edward", "Gene", "grandma", "grandpa", "gustave", "iven", "john", "Lee", "linda", "marcelo",
    "Mario", "michel", "Mike", "norbert", "pablo", "pedro", "quincy", "rob", "sandro", "shelby", "steph", "travis",
    "victor", "zac",
)  # fmt: skip
_PLAIN_VARIANTS = ("m1", "m2", "m3", "m4", "m5", "m6", "m7", "m8", "f1", "f2", "f4", "f5", "klatt", "klatt2", "klatt3")


def _respelt(text: str, thou: str) -> str:
    """ "thou" rhymes with "cow" and begins like "thin"; "read back" is an order."""
    text = re.sub(r"\bread back\b", "reed back", re.sub(r"\bi\b", "I", text))
    return re.sub(r"\bthou\b", lambda _: thou, text) if thou else text


@cache
def _hibari() -> Any:
    from hibari import Hibari

    return Hibari()


def _heart(text: str, rng: random.Random) -> Sound:
    words = _respelt(text, "[thou](/θˈW/)") + rng.choice((".", "", "?", ","))
    sound = np.asarray(_hibari()(words, seed=rng.randrange(1000), speed=rng.uniform(0.75, 1.35)), np.float32)
    return _resampled(sound, 24_000)


def _pico(text: str, rng: random.Random) -> Sound:
    from py_nanotts import NanoTTS

    raw = NanoTTS().speak(
        _respelt(text, ""), voice="en-US", speed=rng.uniform(0.75, 1.3), pitch=rng.choice((1.0, rng.uniform(0.6, 1.5)))
    )
    return np.asarray(np.frombuffer(raw, np.int16) / 32768, np.float32)


def _flite(voice: str, text: str, rng: random.Random) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        lexicon, sound = Path(folder, "lexicon"), Path(folder, "said.wav")
        lexicon.write_text("thou : th aw1\n", encoding="utf-8")
        pace = ["--setf", f"duration_stretch={rng.uniform(0.75, 1.35):.2f}"]
        pitch = ["--setf", f"int_f0_target_mean={rng.uniform(80, 170):.0f}"] if rng.random() < 0.5 else []
        text = _respelt(text, "").replace("metres", "meters")
        _run("flite", "-voice", voice, "-add_lex", str(lexicon), *pace, *pitch, "-t", text, "-o", str(sound))
        return _read(sound)


def _espeak(text: str, rng: random.Random) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        sound = Path(folder, "said.wav")
        variant = rng.choice(_PLAIN_VARIANTS if rng.random() < 0.5 else _VARIANTS)
        voice = f"{rng.choice(_ACCENTS)}+{variant}"
        pitch, pace, gap = str(rng.randint(15, 80)), str(rng.randint(115, 215)), str(rng.choice((0, 0, 0, 1, 3)))
        words = _respelt(text, "[[T'aU]]")
        _run("espeak-ng", "-v", voice, "-p", pitch, "-s", pace, "-g", gap, "-w", str(sound), words)
        return _read(sound)


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True, timeout=60)


def _read(path: Path) -> Sound:
    import soundfile

    sound, rate = soundfile.read(path, dtype="float32")
    return _resampled(sound, rate)


def _resampled(sound: Sound, rate: int) -> Sound:
    import soxr

    return np.asarray(sound if rate == RATE else soxr.resample(sound, rate, RATE), np.float32)


ACCENTED = {
    "zero": ("sero", "zairo", "zeero", "tsero"), "one": ("wan", "van", "won"), "two": ("too", "tu"),
    "three": ("tree", "sree", "free", "threh"), "four": ("for", "foar", "foh"), "five": ("fife", "fyve", "faiv"),
    "six": ("seeks", "sicks"), "seven": ("sevven", "zeven", "saven"), "eight": ("ate", "eit", "et"),
    "nine": ("nyne", "nain"), "nought": ("nort", "not"), "point": ("poynt",),
}  # fmt: skip
"""Words of figures as foreign or regional tongues say them, in an English speller's letters."""


def accented(text: str, rng: random.Random) -> str:
    """``text`` with about half of its words of figures spelled as an accent has them."""
    return " ".join(
        rng.choice(ACCENTED[word]) if word in ACCENTED and rng.random() < 0.5 else word for word in text.split()
    )


Speaker = Callable[[str, random.Random], Sound]
SPEAKERS: dict[str, tuple[Speaker, float]] = {
    "heart": (_heart, 0.3),
    "pico-us": (_pico, 0.14),
    "rms": (partial(_flite, "rms"), 0.14),
    "awb": (partial(_flite, "awb"), 0.14),
    "espeak": (_espeak, 0.28),
}
"""Who speaks, and how often."""


def draw(rng: random.Random) -> str:
    """The name of a speaker."""
    return rng.choices(list(SPEAKERS), [share for _, share in SPEAKERS.values()])[0]


def say(name: str, text: str, rng: random.Random) -> Sound:
    """``text`` as this speaker says it, at 16 kHz."""
    return SPEAKERS[name][0](text, rng)
