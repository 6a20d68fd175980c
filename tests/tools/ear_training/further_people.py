"""Digits of further people, cut out of free recordings: ``python -m tests.tools.ear_training.further_people --help``.

Written as "digit_speaker_take.wav", like the people's digits that are there already. Speaker w: the prompts of
Debian's ``asterisk-core-sounds-en-wav``. Speakers g, h, i and j: the tiles called in Debian's ``kajongg`` ("bamboo
five"), of which the digit is cut off where the packaged network hears it best. Speakers k to s: those who say each
digit once in some package (``RECORDED``). What the packaged network hears too badly is left out: it may be another
word.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import torch

from handsfree.hearing.builtin.tokens import Tokenizer
from handsfree.hearing.learning.lessons import spellings

from .material import DIGITS, trimmed
from .network import Decoder, Encoder
from .packaged import as_floats, load_compact
from .speakers import RATE, Sound, _resampled

PROMPTS = Path("/usr/share/asterisk/sounds")
TILES = Path("/usr/share/games/kajongg/voices")
CALLERS = {"male1": "g", "male2": "h", "female1": "i", "female2": "j"}
RECORDED = {
    "k": "saytime/usr/share/saytime/{digit}.au",
    "l": "csmash-data/usr/share/games/csmash/wav/{word}.wav",
    "m": "tuxpaint-stamps-default/usr/share/tuxpaint/stamps/symbols/math/{digit}.ogg",
    "n": "tuxpaint-stamps-default/usr/share/tuxpaint/stamps/symbols/math/{digit}_en_GB.ogg",
    "o": "scid-data/usr/share/scid/sounds/{digit}.wav",
    "p": "not1mm/not1mm/data/phonetics/{digit}.wav",
    "q": "captcha/captcha/data/{digit}/default.wav",
    "r": "spokennumbers/spokennumbers/default/{digit}.wav",
    "s": "bambam/usr/share/bambam/extensions/alphanumeric-en_US/sounds/{digit}.ogg",
}
"""Where a speaker's digits lie, below the folder into which each package was unpacked under its own name."""
LEAST = -6.0
"""Log probability of the digit below which a piece is left out."""


def read(path: Path) -> Sound:
    sound, rate = soundfile.read(path, dtype="float32")
    return trimmed(_resampled(sound.mean(1) if sound.ndim > 1 else sound, rate))


class Judge:
    """How likely the packaged network hears a digit."""

    def __init__(self, base: Path) -> None:
        self._encoder, self._decoder = Encoder().eval(), Decoder().eval()
        for module, name in ((self._encoder, "encoder"), (self._decoder, "decoder")):
            arrays = as_floats(load_compact(base / f"{name}.npz"))
            module.load_state_dict({key: torch.from_numpy(value) for key, value in arrays.items()})
        self._tokenizer = Tokenizer.from_file(base / "tokenizer.bin")

    @torch.no_grad()
    def likelihood(self, sound: Sound, digit: int) -> float:
        """Log probability of the digit, as it is likeliest spelled."""
        quiet = np.zeros(round(0.3 * RATE), np.float32)
        features = self._encoder(torch.from_numpy(np.concatenate([quiet, sound, quiet]))[None])
        best = -np.inf
        for form in spellings(DIGITS[digit]):
            tokens = torch.tensor([[1, *self._tokenizer.encode(" " + form), 2]])
            found = self._decoder.logits(self._decoder(tokens[:, :-1], features)).log_softmax(-1)
            best = max(best, float(found[0].gather(1, tokens[0, 1:, None]).sum()))
        return best


def last_word(sound: Sound, digit: int, judge: Judge) -> tuple[Sound, float]:
    """The end of ``sound`` that is likeliest the digit."""
    cuts = range(round(0.35 * len(sound)), round(0.75 * len(sound)), round(0.02 * RATE))
    found: list[tuple[float, Any]] = []
    for cut in cuts:
        piece = sound[cut:].copy()
        piece[:80] *= np.linspace(0, 1, 80, dtype=np.float32)
        found.append((judge.likelihood(piece, digit), piece))
    best, piece = max(found, key=lambda each: each[0])
    return trimmed(piece), best


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.further_people", description=__doc__)
    parser.add_argument("--base", type=Path, required=True, help="folder of the packaged weights")
    parser.add_argument("--prompts", type=Path, default=PROMPTS)
    parser.add_argument("--tiles", type=Path, default=TILES)
    parser.add_argument("--unpacked", type=Path, help="folder of the unpacked packages of further speakers")
    parser.add_argument("--out", type=Path, required=True)
    arguments = parser.parse_args()
    torch.set_num_threads(1)
    out: Path = arguments.out
    out.mkdir(parents=True, exist_ok=True)
    judge = Judge(arguments.base)
    for digit in range(10):
        for take, path in enumerate(sorted(arguments.prompts.rglob(f"digits/{digit}.wav"))):
            soundfile.write(out / f"{digit}_w_{take}.wav", read(path), RATE)
    for who, where in RECORDED.items() if arguments.unpacked else ():
        for digit, word in enumerate(DIGITS):
            path = arguments.unpacked / where.format(digit=digit, word=word)
            if not path.is_file():
                continue
            sound = read(path)
            likelihood = judge.likelihood(sound, digit)
            print(f"{who} {digit}: {likelihood:.2f}, {len(sound) / RATE:.2f} s", flush=True)
            if likelihood > LEAST:
                soundfile.write(out / f"{digit}_{who}_0.wav", sound, RATE)
    for folder, who in CALLERS.items() if arguments.tiles.is_dir() else ():
        for digit in range(1, 10):
            for take, suit in enumerate("bcs"):
                piece, likelihood = last_word(read(arguments.tiles / folder / f"{suit}{digit}.ogg"), digit, judge)
                print(f"{folder} {suit}{digit}: {likelihood:.2f}, {len(piece) / RATE:.2f} s", flush=True)
                if likelihood > LEAST:
                    soundfile.write(out / f"{digit}_{who}_{take}.wav", piece, RATE)


if __name__ == "__main__":
    main()
