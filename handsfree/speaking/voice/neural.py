"""The neural voice: the small network of the package hibari-tts, which speaks only if its files are those known here.

The package has one voice in it. A second, lower one is made of the same network's output: with a lower pitch before it
becomes sound, and played more slowly.
"""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from handsfree.audio.errors import SoundError
from handsfree.audio.samples import SAMPLE_RATE, Samples
from handsfree.audio.weights import package_folders, verified_meanwhile
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.voice.dictionary_text import NestedEntries, SortedEntries, unpacked

PACKAGE = "hibari"
INSTALL = "python -m pip install --force-reinstall --no-deps hibari-tts==0.2.1"

_GOLD, _SILVER = "lexicon_us_gold.json.gz", "lexicon_us_silver.json.gz"
_TAGGER, _EXCEPTIONS = "tagger.json.gz", "tokenizer_exceptions.json"
_SHA256 = {
    "hibari.onnx": "5f70741d4e900f4e85d0037498736cc1b3e1b9a63a13546a5da1e63abf4fccd8",
    "oov.onnx": "d3cfd8122c5f172a98c8de38268bf1213ee09f2c2ae4df6e055fc6532590fe76",
    _GOLD: "63ae94f8ef0e906d5b24fe9b59ffcbd1529aca5686a774610e43973cbaa86ad2",
    _SILVER: "c4c2546ebf1eb07010331e7ef785a431aa17ba8e7bfb6b4af8d654ee96a71fd3",
    _TAGGER: "d2da7502284bbbe45d49e0b7ce3ce67bdab82254150f4317f1b8559b4d38d0eb",
    "vocab.json": "70abefbe8a1c8865e43e0a43bbdc25b91a33e4aa053479d443ccf23e20a59e5d",
}

NATURAL_RATE = 170
"""Words per minute at which the network speaks of itself."""
_NEAR = 0.26
"""How far from its own pace its sound is stretched rather than made anew: it makes each phone a whole number of frames
long, so that a pace a tenth slower would come out anywhere between the same and a fifth slower."""

Frames = NDArray[np.float32]

_SLOWEST, _FASTEST = 0.5, 2.0
_SEED = 1
"""Of the breath in the voice: with the same the same words are the same sound, and what was prepared is no other."""


@dataclass(frozen=True)
class Timbre:
    """What is made of the network's voice.

    ``pitch`` is a factor of the pitch that it asks for; ``size`` a factor of all its frequencies, as of a larger
    speaker; ``gain`` brings the sound to the loudness of the other voices.
    """

    name: str
    pitch: float = 1.0
    size: float = 1.0
    gain: float = 2.0


_HEART = Timbre("heart")
_LOW = Timbre("heart, low", pitch=0.92, size=0.84, gain=1.7)
TIMBRES = {timbre.name: timbre for timbre in (_HEART, _LOW)}


class NeuralVoice:
    """The network and its rules of pronunciation, on one thread of the engine.

    Raises SpeakingError where the package is missing, or its files are others than those known here.
    """

    def __init__(self) -> None:
        folders = package_folders(PACKAGE)
        if not folders:
            raise SpeakingError(f"The package hibari-tts is not installed; run: {INSTALL}")
        files = {folders[0] / "assets" / name: sha256 for name, sha256 in _SHA256.items()}
        try:
            with verified_meanwhile(files, INSTALL), ThreadPoolExecutor(1, "rules") as pool:
                from hibari import Hibari, dsp  # noqa: PLC0415 - may be missing, and loads the engine

                rules = pool.submit(_rules, folders[0] / "assets")
                self._network: Any = Hibari()
                self._network._g2p = rules.result()
                self._wave: Any = dsp.synth
        except SoundError as error:
            raise SpeakingError(str(error)) from error
        except Exception as error:  # whatever an incomplete package or an engine that does not fit raises
            raise SpeakingError(f"The neural voice can't be loaded ({error}); run: {INSTALL}") from error

    def phones(self, text: str) -> str:
        """The phones of ``text`` in the network's alphabet (that of misaki), "θˈW" for "thou"."""
        return " ".join(self._network.phonemize(text))

    def speak(self, text: str, words_per_minute: float = NATURAL_RATE, timbre: Timbre = _HEART) -> Samples:
        """``text`` as mono samples at SAMPLE_RATE; empty where there is nothing that can be said."""
        # What is made larger by playing it more slowly is spoken as much faster.
        speed = min(_FASTEST, max(_SLOWEST, words_per_minute / NATURAL_RATE)) / timbre.size
        parts = [self._spoken(phones, speed, timbre) for phones in self._network.phonemize(text)]
        return np.concatenate(parts) if parts else np.zeros(0, np.float32)

    def _spoken(self, phones: str, speed: float, timbre: Timbre) -> Samples:
        ids = self._network.ids(phones)
        if len(ids) < 3:
            return np.zeros(0, np.float32)
        found = self._frames(ids, 1.0)
        count = max(1, round(len(found[-1]) / speed))
        if abs(speed - 1) > _NEAR:
            found = self._frames(ids, speed)
        *spectra, pitch = _stretched(found, count)
        breath = np.random.default_rng(_SEED)
        sound = self._wave(*spectra, pitch * np.float32(timbre.pitch), breath) * np.float32(timbre.gain)
        rate = self._network.sample_rate * timbre.size
        return np.asarray(soxr.resample(sound, rate, SAMPLE_RATE), dtype=np.float32)

    def _frames(self, ids: list[int], speed: float) -> list[Frames]:
        """The spectra (shape (601, n)) and, last, the pitch (n,) of n frames."""
        given = {"ids": np.asarray([ids], np.int64), "speed": np.asarray([speed], np.float32)}
        return [part[0] for part in self._network.sess.run(None, given)]


def _rules(folder: Path) -> Any:
    """The package's rules of pronunciation, made as it makes them, but for dictionaries that stay text."""
    from hibari import g2p  # noqa: PLC0415 - may be missing

    rules = g2p.G2P.__new__(g2p.G2P)
    rules.lexicon = g2p.Lexicon(*(SortedEntries(unpacked(folder / name)) for name in (_GOLD, _SILVER)))
    rules.tokenizer = g2p.Tokenizer(json.loads((folder / _EXCEPTIONS).read_bytes()))
    tags, weights = unpacked(folder / _TAGGER).removesuffix(b"}").split(b',"weights":')
    rules.tagger = g2p.Tagger({**json.loads(tags + b"}"), "weights": NestedEntries(weights)})
    rules.unk, rules.british, rules._oov = "", False, None
    # Its first use would load it: in the middle of a sentence.
    rules.oov("gib")
    return rules


def _stretched(frames: list[Frames], count: int) -> list[Frames]:
    """As many frames as ``count``: each of the new ones is the old one nearest to it in time."""
    before = frames[-1].shape[-1]
    if before == count:
        return frames
    nearest = np.minimum(((np.arange(count) + 0.5) * before / count).astype(int), before - 1)
    return [part[..., nearest] for part in frames]
