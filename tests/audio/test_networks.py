"""Each network is loaded once for all who use it, and given back when nobody does."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from weakref import WeakValueDictionary

import numpy as np
import pytest

from handsfree.audio import networks
from handsfree.audio.networks import load_ahead, shared_network
from handsfree.hearing.listening.voice_activity import find_network


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A network's file."""
    found = find_network()
    if found is None:
        pytest.skip("no network is installed")
    return Path(shutil.copy(found, tmp_path))


def test_who_wants_the_same_file_is_given_the_same_network(file: Path) -> None:
    assert shared_network(file) is shared_network(file)


def test_a_file_that_was_replaced_is_loaded_anew(file: Path) -> None:
    before = shared_network(file)
    os.utime(file, (1, 1))
    assert shared_network(file) is not before


def test_a_network_with_other_weights_is_its_askers_alone(file: Path) -> None:
    plain = shared_network(file)
    other = shared_network(file, {"none of its names": np.zeros(1, np.float32)})
    assert other is not plain
    assert shared_network(file) is plain


def test_what_nobody_uses_any_more_is_not_kept(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(networks, "_IN_USE", WeakValueDictionary())
    used = shared_network(file)
    assert len(networks._IN_USE) == 1
    del used
    assert len(networks._IN_USE) == 0


def test_what_was_loaded_ahead_is_kept_until_it_is_asked_for(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(networks, "_IN_USE", WeakValueDictionary())
    load_ahead(file)
    (ahead,) = networks._IN_USE.values()
    used = shared_network(file)
    assert used is ahead
    del used, ahead
    assert len(networks._IN_USE) == 0


def test_what_can_t_be_loaded_ahead_is_told_to_who_asks_for_it(tmp_path: Path) -> None:
    missing = tmp_path / "none.onnx"
    load_ahead(missing)
    with pytest.raises(OSError, match=r"none\.onnx"):
        shared_network(missing)
