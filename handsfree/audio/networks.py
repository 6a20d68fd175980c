"""Networks on the engine that runs them: each file is loaded once for all who use it."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from pathlib import Path
from types import MappingProxyType
from typing import Any
from weakref import WeakValueDictionary

import numpy as np

_Values = Mapping[str, np.ndarray[Any, np.dtype[np.float32]]]

_IN_USE: MutableMapping[tuple[Path, int, int], Any] = WeakValueDictionary()


def shared_network(path: Path, values: _Values = MappingProxyType({})) -> Any:
    """An onnxruntime session with the network in ``path``, on one thread; it keeps nothing from run to run, so whoever
    wants the same file at the same time is given the same session. ``values``: what stands in place of weights, by
    their names; such a network is its asker's alone.

    onnxruntime raises many kinds of errors where it can't be loaded, none of them public; OSError where it is gone.
    """
    if values:
        return _loaded(path, values)
    known = path.stat()
    key = (path, known.st_mtime_ns, known.st_size)
    found = _IN_USE.get(key)
    if found is None:
        found = _IN_USE[key] = _loaded(path, values)
    return found


def _loaded(path: Path, values: _Values) -> Any:
    import onnxruntime  # noqa: PLC0415 - takes a fifth of a second, and typed work needs none

    options = onnxruntime.SessionOptions()
    # Two threads were slower than one, and the arena costs 70 MB for no speed.
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    options.enable_cpu_mem_arena = False
    options.log_severity_level = 3
    # The session refers to what it is given and does not keep it alive.
    held = {name: onnxruntime.OrtValue.ortvalue_from_numpy(value) for name, value in values.items()}
    for name, value in held.items():
        options.add_initializer(name, value)
    session = onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
    session.weights_held = held
    return session
