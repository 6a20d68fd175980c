"""Networks on the engine that runs them: each file is loaded once for all who use it."""

from __future__ import annotations

import threading
from collections.abc import Mapping, MutableMapping
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType
from typing import Any
from weakref import WeakValueDictionary

import numpy as np

_Values = Mapping[str, np.ndarray[Any, np.dtype[np.float32]]]
_NONE: _Values = MappingProxyType({})

_IN_USE: MutableMapping[tuple[Path, int, int], Any] = WeakValueDictionary()
_AHEAD: list[Any] = []
"""Loaded before anybody wanted them; what was asked for since is its asker's."""
_loading = threading.Lock()


def shared_network(path: Path, values: _Values = _NONE) -> Any:
    """An onnxruntime session with the network in ``path``, on one thread; it keeps nothing from run to run, so whoever
    wants the same file at the same time is given the same session. ``values``: what stands in place of weights, by
    their names; such a network is its asker's alone.

    onnxruntime raises many kinds of errors where it can't be loaded, none of them public; OSError where it is gone.
    """
    if values:
        return _loaded(path, values)
    with _loading:
        found = _found_or_loaded(path)
        _AHEAD[:] = [each for each in _AHEAD if each is not found]
    return found


def load_ahead(path: Path) -> None:
    """Load a network that will be asked for soon, and keep it until then: most of it is done without the interpreter,
    on another core; who asks for it meanwhile waits. Raises nothing: who asks for it will be told what is wrong."""
    with _loading, suppress(Exception):
        _AHEAD.append(_found_or_loaded(path))


def _found_or_loaded(path: Path) -> Any:
    known = path.stat()
    key = (path, known.st_mtime_ns, known.st_size)
    found = _IN_USE.get(key)
    if found is None:
        found = _IN_USE[key] = _loaded(path)
    return found


def _loaded(path: Path, values: _Values = _NONE) -> Any:
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
