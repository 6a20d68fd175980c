"""A voice learned: the encoder's norms and biases moved until what was said is likelier to be read.

Of what was tried (features shifted, scaled or turned; the last layers alone; all weights) this heard a stranger's other
digits best, and it stays small: 13,824 numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from handsfree.audio.samples import Samples
from handsfree.hearing.builtin.decoder import SHORTEST
from handsfree.hearing.builtin.model_files import ModelFiles
from handsfree.hearing.builtin.tokens import END, SPACE, START, Tokenizer
from handsfree.hearing.learning.layers import Array
from handsfree.hearing.learning.lessons import Lesson, SaidWords, all_spellings
from handsfree.hearing.learning.networks import encoded, foretold, learned_names
from handsfree.hearing.learning.weights_of_files import as_floats, onnx_arrays, ort_arrays


@dataclass(frozen=True)
class FittingSettings:
    """How far and how fast is learned."""

    rounds: int = 4
    """How often every lesson is heard."""
    rate: float = 0.01
    batch: int = 20
    warming: int = 5
    """Steps until the whole rate is reached; from there it falls to nothing."""
    momentum: float = 0.9
    memory: float = 0.98
    share: float = 0.3
    """Of the way to what was learned: other people's talk becomes doubtful the oftener the further one goes, while the
    digits gain most of what they gain on the first third."""


AT_A_TIME = 4
"""Sounds whose inner numbers are held at once."""


class Learner:
    """The networks as they came, ready to be moved towards a voice."""

    def __init__(self, files: ModelFiles) -> None:
        """HearingError where a file is no network."""
        arrays, self._names = onnx_arrays(files.encoder)
        self._encoder = {name: np.asarray(array, np.float32) for name, array in as_floats(arrays).items()}
        self._decoder = {
            name: np.asarray(array, np.float32) for name, array in as_floats(ort_arrays(files.decoder)).items()
        }
        self._tokenizer = Tokenizer.from_file(files.tokenizer)

    def learn(
        self,
        lessons: Sequence[Lesson],
        settings: FittingSettings | None = None,
        progress: Callable[[float], None] = lambda share: None,
        known: Mapping[str, Array] = MappingProxyType({}),
    ) -> dict[str, Array]:
        """What stands in place of the encoder's norms and biases, by the names and in the shapes of its file.

        ``progress`` is told what share is done. ``known`` is what was learned before, to go on from.
        """
        settings = settings or FittingSettings()
        begun = {name: self._begun(name, known) for name in learned_names()}
        targets = self._targets(lessons)
        moved = {name: value.copy() for name, value in begun.items()}
        first = {name: np.zeros_like(value) for name, value in moved.items()}
        second = {name: np.zeros_like(value) for name, value in moved.items()}
        rng = np.random.default_rng(1)
        batches = -(-len(lessons) // settings.batch)
        steps = settings.rounds * batches
        for step in range(steps):
            if step % batches == 0:
                order = rng.permutation(len(lessons))
            chosen = order[step % batches * settings.batch :][: settings.batch]
            slopes = self._slopes(moved, [lessons[i].sound for i in chosen], [targets[i] for i in chosen])
            rate = settings.rate * min(1, (step + 1) / settings.warming) * 0.5 * (1 + np.cos(np.pi * step / steps))
            for name, value in moved.items():
                slope = slopes[name] / len(chosen)
                first[name] += (1 - settings.momentum) * (slope - first[name])
                second[name] += (1 - settings.memory) * (np.square(slope) - second[name])
                mean = first[name] / (1 - settings.momentum ** (step + 1))
                spread = np.sqrt(second[name] / (1 - settings.memory ** (step + 1))) + 1e-8
                np.subtract(value, np.float32(rate) * mean / spread, out=value)
            progress((step + 1) / steps)
        found = {}
        for name, value in moved.items():
            its_name, shape = self._names[name]
            part_way = begun[name] + np.float32(settings.share) * (value - begun[name])
            found[its_name] = part_way.reshape(shape)
        return found

    def _begun(self, name: str, known: Mapping[str, Array]) -> Array:
        value = known.get(self._names[name][0])
        return self._encoder[name] if value is None else value.reshape(self._encoder[name].shape)

    def _targets(self, lessons: Sequence[Lesson]) -> list[tuple[int, ...]]:
        """The tokens of each lesson: of the ways to write it the likeliest, by its sound without noise."""
        found: list[tuple[int, ...]] = []
        known: dict[tuple[SaidWords, int], tuple[int, ...]] = {}
        for lesson in lessons:
            key = lesson.words, id(lesson.plain)
            if key not in known:
                features, _ = encoded(self._encoder, _long_enough(lesson.plain))
                forms = [self._tokenizer.encode(SPACE + form) for form in all_spellings(" ".join(lesson.words))]
                known[key] = max(forms, key=lambda form: self._likelihood(features, form))
            found.append(known[key])
        return found

    def _likelihood(self, features: Array, form: tuple[int, ...]) -> float:
        states, _ = foretold(self._decoder, [START, *form], features)
        return -float(self._losses(states, [*form, END])[0].sum())

    def _losses(self, states: Array, wanted: list[int]) -> tuple[Array, Array]:
        """Of each token that is wanted its negative log probability, and the gradient of their sum along the states."""
        embedding = self._decoder["embed_tokens.weight"]
        logits = states @ embedding.T
        logits -= logits.max(axis=-1, keepdims=True)
        shares = np.exp(logits)
        shares /= shares.sum(axis=-1, keepdims=True)
        rows = np.arange(len(wanted))
        losses = -np.log(np.maximum(shares[rows, wanted], 1e-30))
        shares[rows, wanted] -= 1
        return losses, shares @ embedding

    def _slopes(
        self, moved: dict[str, Array], sounds: Sequence[Samples], targets: Sequence[tuple[int, ...]]
    ) -> dict[str, Array]:
        """The gradient of what is learned, summed over the sounds."""
        weights = {**self._encoder, **moved}
        found = {name: np.zeros_like(value) for name, value in moved.items()}
        for at in range(0, len(sounds), AT_A_TIME):
            held = []
            for sound, target in zip(sounds[at : at + AT_A_TIME], targets[at : at + AT_A_TIME], strict=True):
                features, back = encoded(weights, _long_enough(sound))
                held.append((back, *foretold(self._decoder, [START, *target], features)))
            wanted = [token for target in targets[at : at + AT_A_TIME] for token in (*target, END)]
            _, slopes = self._losses(np.concatenate([states for _, states, _ in held]), wanted)
            place = 0
            for back, states, back_to_features in held:
                for name, slope in back(back_to_features(slopes[place : place + len(states)])).items():
                    found[name] += slope
                place += len(states)
        return found


def _long_enough(sound: Samples) -> Samples:
    return np.pad(sound, (0, max(0, SHORTEST - len(sound))))
