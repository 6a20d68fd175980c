"""Exports an encoder for onnxruntime, in 8 bits: ``python -m tests.tools.ear_training.export --help``.

Matrix products are quantised dynamically, convolutions and norms stay as they are. ``--share`` mixes the trained
weights with the packaged ones; what comes out is compared with the unquantised network.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

import numpy as np
import torch

from .mixing import RATE
from .network import Encoder
from .packaged import Arrays, as_floats, load_compact


def mixed(trained: Arrays, packaged: Arrays, share: float) -> Arrays:
    """``share`` of the trained weights, the rest of the packaged ones."""
    return {name: share * array + (1 - share) * packaged[name] for name, array in trained.items()}


def export(weights: Arrays, path: Path) -> float:
    """Writes the quantised encoder; returns how near its features are to the unquantised (cosine)."""
    import onnxruntime
    from onnxruntime.quantization import QuantType, quantize_dynamic

    encoder = Encoder()
    encoder.load_state_dict({name: torch.from_numpy(np.asarray(array, np.float32)) for name, array in weights.items()})
    encoder.eval()
    with tempfile.TemporaryDirectory() as folder:
        plain = Path(folder, "plain.onnx")
        torch.onnx.export(
            encoder,
            (torch.zeros(1, 2 * RATE),),
            str(plain),
            input_names=["input_values"],
            output_names=["last_hidden_state"],
            dynamic_axes={"input_values": {0: "count", 1: "samples"}, "last_hidden_state": {0: "count", 1: "frames"}},
            opset_version=17,
            dynamo=False,
        )
        quantize_dynamic(plain, path, weight_type=QuantType.QUInt8, op_types_to_quantize=["MatMul"])
    session = onnxruntime.InferenceSession(str(path), providers=["CPUExecutionProvider"])
    sound = 0.1 * np.random.default_rng(1).standard_normal((1, 3 * RATE)).astype(np.float32)
    (found,) = session.run(None, {"input_values": sound})
    with torch.no_grad():
        wanted = encoder(torch.from_numpy(sound)).numpy()
    return float((found * wanted).sum() / (np.linalg.norm(found) * np.linalg.norm(wanted)))


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.tools.ear_training.export", description=__doc__)
    parser.add_argument("trained", type=Path, help="weights as ``train`` writes them")
    parser.add_argument("--base", type=Path, required=True, help="folder of the packaged encoder.npz")
    parser.add_argument("--share", type=float, default=1.0)
    parser.add_argument("--out", type=Path, required=True)
    arguments = parser.parse_args()
    packaged = as_floats(load_compact(arguments.base / "encoder.npz"))
    weights = mixed(as_floats(load_compact(arguments.trained)), packaged, arguments.share)
    near = export(weights, arguments.out)
    print(f"{arguments.out}: {arguments.out.stat().st_size / 1e6:.1f} MB; cosine {near:.4f} to the unquantised")


if __name__ == "__main__":
    main()
