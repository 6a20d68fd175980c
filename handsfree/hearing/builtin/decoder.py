"""The built-in model's two networks: sound to features once, then one token after another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from handsfree.audio.networks import shared_network
from handsfree.hearing.builtin.model_files import ModelFiles
from handsfree.hearing.builtin.tokens import START
from handsfree.hearing.errors import HearingError

Float32Array = np.ndarray[Any, np.dtype[np.float32]]
LAYERS = 6
ATTENTION_HEADS = 8
HEAD_SIZE = 36
SHORTEST = 4_000
"""Samples; the encoder's convolutions need about 0.1 s, and anything shorter is padded with silence."""

_DECODER_PAST = [f"past_key_values.{n}.decoder.{kind}" for n in range(LAYERS) for kind in ("key", "value")]
_ENCODER_PAST = [f"past_key_values.{n}.encoder.{kind}" for n in range(LAYERS) for kind in ("key", "value")]
_DECODER_PRESENT = [f"present.{n}.decoder.{kind}" for n in range(LAYERS) for kind in ("key", "value")]
_ENCODER_PRESENT = [f"present.{n}.encoder.{kind}" for n in range(LAYERS) for kind in ("key", "value")]


@dataclass
class Steps:
    """A decoding under way: what all hypotheses share, and the past of each of them."""

    shared: dict[str, Any]
    past: list[Float32Array]
    """Keys and values of the tokens so far, shape (hypotheses, heads, tokens, head size), two per layer."""


Begun = tuple[Steps, Float32Array]
"""A decoding before its first token, and that token's log probabilities (1, V)."""


class Decoder:
    """Log probabilities of the next token, given sound and the tokens so far."""

    def __init__(self, files: ModelFiles) -> None:
        self._file = files.encoder
        self._encoder = _session(files.encoder)
        self._masked = any(each.name == "attention_mask" for each in self._encoder.get_inputs())
        self._decoder = _session(files.decoder)

    def hear_with(self, values: Mapping[str, Float32Array]) -> None:
        """From now on these stand in place of weights of the encoder, by the names that its file has for them.

        HearingError where they do not fit it; then it hears on as before.
        """
        try:
            session = _session(self._file, values)
            session.run(None, self._wanted(np.zeros((1, SHORTEST), np.float32)))
        except Exception as error:  # onnxruntime raises many kinds, none of them public
            raise HearingError("What was learned of this voice does not fit; learn the voice again.") from error
        self._encoder = session

    def _wanted(self, batch: Float32Array) -> dict[str, Any]:
        """What the encoder is given of a batch of sound."""
        mask = {"attention_mask": np.ones(batch.shape, np.int64)} if self._masked else {}
        return {"input_values": batch, **mask}

    def start(self, sound: Float32Array) -> Begun:
        """Encodes ``sound`` (mono, 16 kHz); returns the decoding and the first token's log probabilities (1, V)."""
        if len(sound) < SHORTEST:
            sound = np.pad(sound, (0, SHORTEST - len(sound)))
        batch = np.ascontiguousarray(sound[None], dtype=np.float32)
        (features,) = self._encoder.run(["last_hidden_state"], self._wanted(batch))
        shared: dict[str, Any] = {
            # The network thins the mask by 384 itself: one as long as the features fails from 9 s of sound on.
            "encoder_attention_mask": np.ones(batch.shape, np.int64),
            "encoder_hidden_states": features,
        }
        empty = np.zeros((1, ATTENTION_HEADS, 0, HEAD_SIZE), np.float32)
        feed = dict.fromkeys(_DECODER_PAST + _ENCODER_PAST, empty)
        feed.update(shared)
        feed["input_ids"] = np.array([[START]], np.int64)
        feed["use_cache_branch"] = np.array([False])
        outputs = self._decoder.run(["logits", *_DECODER_PRESENT, *_ENCODER_PRESENT], feed)
        # A batch of one serves every hypothesis: the network broadcasts it.
        shared.update(zip(_ENCODER_PAST, outputs[1 + len(_DECODER_PRESENT) :], strict=True))
        shared["use_cache_branch"] = np.array([True])
        return Steps(shared, outputs[1 : 1 + len(_DECODER_PRESENT)]), log_softmax(outputs[0][:, -1])

    def step(self, steps: Steps, rows: list[int], tokens: list[int]) -> Float32Array:
        """Appends ``tokens[i]`` to the hypothesis ``rows[i]`` of the step before; log probabilities (len(rows), V).

        ``steps`` is carried forward in place: its hypotheses are then those of this call.
        """
        feed = dict(steps.shared)
        same = rows == list(range(len(steps.past[0])))
        for name, past in zip(_DECODER_PAST, steps.past, strict=True):
            feed[name] = past if same else past[rows]
        feed["input_ids"] = np.array(tokens, np.int64)[:, None]
        outputs = self._decoder.run(["logits", *_DECODER_PRESENT], feed)
        steps.past = outputs[1:]
        return log_softmax(outputs[0][:, -1])


def log_softmax(logits: Float32Array) -> Float32Array:
    """Log probabilities along the last axis (numpy's logaddexp.reduce is many times slower)."""
    shifted: Float32Array = logits - logits.max(axis=-1, keepdims=True)
    shifted -= np.log(np.exp(shifted).sum(axis=-1, keepdims=True))
    return shifted


def _session(path: Path, values: Mapping[str, Float32Array] = MappingProxyType({})) -> Any:
    try:
        return shared_network(path, values)
    except Exception as error:  # onnxruntime raises many kinds, none of them public
        raise HearingError(f"{path}: the model can't be loaded; install its package again ({error}).") from error
