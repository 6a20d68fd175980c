"""The networks' weights, read out of the files that onnxruntime runs: it tells nobody the weights of what it runs."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from handsfree.hearing.errors import HearingError

Arrays = dict[str, np.ndarray[Any, Any]]

_TYPES = {1: np.float32, 2: np.uint8, 3: np.int8, 7: np.int64}
_LAYER = re.compile(r"^(?:/model/decoder)?/(layers\.\d+)/(self_attn|encoder_attn|mlp)/(\w+)/MatMul_quant$")
_GROUP_NORM = re.compile(r"^onnx::(Mul|Add)_\d+$")
_EMBEDDING = "model.decoder.embed_tokens.weight_merged_0"


@dataclass(frozen=True)
class _Node:
    """A step of a network: what it is called, and the names of what it takes."""

    name: str
    inputs: tuple[str, ...]


def plain_name(name: str, array: np.ndarray[Any, Any]) -> str:
    """What an array of a file is called here."""
    if (group := _GROUP_NORM.match(name)) and array.ndim == 2 and array.shape[1] == 1:
        return "groupnorm.weight" if group[1] == "Mul" else "groupnorm.bias"
    return re.sub(r"^model\.decoder\.|_merged_\d+|_add_tensor$", "", name)


def by_plain_names(held: Mapping[str, np.ndarray[Any, Any]], nodes: Iterable[_Node]) -> Arrays:
    """The arrays of a file by the names of their layers; of a matrix in 8 bits its scale and zero point as well."""
    found: Arrays = {}
    for name, array in held.items():
        plain = plain_name(name, array)
        if re.match(r"^(layers|layer_norm|norm|conv|groupnorm)\b.*(weight|bias)$|^conv\d\.", plain):
            found[plain] = array.reshape(-1) if plain.startswith("groupnorm") else array
    if f"{_EMBEDDING}_quantized" in held:
        _take(found, held, "embed_tokens.weight", _EMBEDDING, turn=False)
    for node in nodes:
        match = _LAYER.match(node.name)
        if match:
            _take(
                found, held, f"{'.'.join(match.groups())}.weight", node.inputs[1].removesuffix("_quantized"), turn=True
            )
    return found


def _take(found: Arrays, held: Mapping[str, np.ndarray[Any, Any]], name: str, matrix: str, *, turn: bool) -> None:
    array = held[f"{matrix}_quantized"]
    found[name] = np.ascontiguousarray(array.T) if turn else array
    found[f"{name}.scale"] = np.asarray(held[f"{matrix}_scale"], np.float32)
    found[f"{name}.zero"] = np.asarray(held[f"{matrix}_zero_point"])


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


def ort_arrays(path: Path) -> Arrays:
    """What a file of onnxruntime's own form (.ort) holds, by plain names."""
    from onnxruntime.tools.ort_format_model.ort_flatbuffers_py.fbs import InferenceSession  # noqa: PLC0415 - only learning needs it

    graph = InferenceSession.InferenceSession.GetRootAsInferenceSession(path.read_bytes(), 0).Model().Graph()
    held: Arrays = {}
    nodes: list[_Node] = []
    # Of the decoder's two branches the one without a past computes the keys and values of the sound, too.
    for branch in (graph, *_branches(graph)):
        held.update((tensor.Name().decode(), _ort_array(tensor)) for tensor in _ort_tensors(branch))
        for node in (branch.Nodes(i) for i in range(branch.NodesLength())):
            inputs = tuple(node.Inputs(i).decode() for i in range(node.InputsLength()))
            nodes.append(_Node(node.Name().decode(), inputs))
    return by_plain_names(held, nodes)


def _ort_tensors(graph: Any) -> Iterator[Any]:
    return (graph.Initializers(i) for i in range(graph.InitializersLength()))


def _branches(graph: Any) -> Iterator[Any]:
    for node in (graph.Nodes(i) for i in range(graph.NodesLength())):
        for attribute in (node.Attributes(i) for i in range(node.AttributesLength())):
            if attribute.G() is not None:
                yield attribute.G()


def _ort_array(tensor: Any) -> np.ndarray[Any, Any]:
    shape = [tensor.Dims(i) for i in range(tensor.DimsLength())]
    raw = tensor.RawDataAsNumpy()
    kind = _TYPES.get(tensor.DataType())
    if kind is None or isinstance(raw, int):
        return np.zeros(0)
    array: np.ndarray[Any, Any] = np.frombuffer(raw.tobytes(), kind).reshape(shape).copy()
    return array


def onnx_arrays(path: Path) -> tuple[Arrays, dict[str, tuple[str, tuple[int, ...]]]]:
    """What an ONNX file holds, by plain names; and for each of these what the file calls it, with its shape there.

    HearingError where the file is none.
    """
    # The fields are those of onnx.proto: 7 of a model is its graph, 1 and 5 of a graph are its nodes and tensors.
    try:
        graph = next(value for field, value in _fields(path.read_bytes()) if field == 7)
        held: Arrays = {}
        nodes = []
        for field, value in _fields(graph):
            if field == 1:
                inside = list(_fields(value))
                name = next((each for number, each in inside if number == 3), b"")
                nodes.append(_Node(name.decode(), tuple(each.decode() for number, each in inside if number == 1)))
            elif field == 5:
                its, array = _onnx_array(value)
                held[its] = array
    except (StopIteration, IndexError, ValueError) as error:
        raise HearingError(f"{path} can't be read as a network ({error}).") from error
    return by_plain_names(held, nodes), {plain_name(name, each): (name, each.shape) for name, each in held.items()}


def _onnx_array(content: bytes) -> tuple[str, np.ndarray[Any, Any]]:
    shape: list[int] = []
    kind, name, raw = 0, "", b""
    numbers: list[float] = []
    for field, value in _fields(content):
        match field:
            case 1:
                shape += [value] if isinstance(value, int) else _varints(value)
            case 2:
                kind = value
            case 4:
                numbers += np.frombuffer(value, "<f4").tolist()
            case 5 | 7:
                numbers += [value] if isinstance(value, int) else _varints(value)
            case 8:
                name = value.decode()
            case 9:
                raw = value
    type_ = _TYPES.get(kind)
    if type_ is None:
        return name, np.zeros(0)
    return name, (np.frombuffer(raw, type_) if raw else np.asarray(numbers, type_)).reshape(shape)


def _fields(content: bytes) -> Iterator[tuple[int, Any]]:
    """The fields of a message of protocol buffers: number, and an integer or bytes."""
    at = 0
    while at < len(content):
        key, at = _varint(content, at)
        match key & 7:
            case 0:
                value, at = _varint(content, at)
                yield key >> 3, value
            case 1:
                yield key >> 3, content[at : at + 8]
                at += 8
            case 2:
                length, at = _varint(content, at)
                if at + length > len(content):
                    raise ValueError("it is cut off")
                yield key >> 3, content[at : at + length]
                at += length
            case 5:
                yield key >> 3, content[at : at + 4]
                at += 4
            case _:
                raise ValueError("it is no such file")


def _varint(content: bytes, at: int) -> tuple[int, int]:
    value = shift = 0
    while True:
        byte = content[at]
        value |= (byte & 127) << shift
        at, shift = at + 1, shift + 7
        if byte < 128:
            return value, at


def _varints(content: bytes) -> list[int]:
    found, at = [], 0
    while at < len(content):
        value, at = _varint(content, at)
        found.append(value)
    return found
