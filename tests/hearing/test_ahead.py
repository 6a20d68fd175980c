"""What is loaded ahead is what the recogniser then uses; what is missing is told by the recogniser alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.audio import networks
from handsfree.hearing import ahead
from handsfree.hearing.ahead import load_networks
from handsfree.hearing.builtin.model_files import TRAINED_ENCODER, find_model_files
from handsfree.hearing.errors import HearingError
from handsfree.hearing.vosk import models


@pytest.fixture
def loaded(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the files that are loaded ahead."""
    names: list[str] = []
    monkeypatch.setattr(ahead, "load_ahead", lambda path: names.append(path.name))
    monkeypatch.setattr(models, "find_vosk_model", lambda path: path)
    return names


def test_the_recogniser_that_is_chosen_is_loaded_ahead(loaded: list[str]) -> None:
    try:
        files = find_model_files()
    except HearingError as error:
        pytest.skip(str(error))
    load_networks("auto", None)
    assert {files.decoder.name, TRAINED_ENCODER.name} < set(loaded)
    loaded.clear()
    load_networks("untrained", None)
    assert files.decoder.name in loaded
    assert TRAINED_ENCODER.name not in loaded


@pytest.mark.parametrize("choice", ["vosk", "auto"])
def test_where_vosk_hears_only_the_voice_detector_is_loaded_ahead(choice: str, loaded: list[str]) -> None:
    load_networks(choice, Path("a model"))
    assert not [name for name in loaded if "coder" in name]


def test_a_missing_model_is_not_told_ahead(loaded: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(*, trained: bool) -> None:
        raise HearingError("no model")

    monkeypatch.setattr(ahead, "find_model_files", missing)
    load_networks("builtin", None)
    assert not [name for name in loaded if "coder" in name]


def test_what_was_loaded_ahead_is_not_loaded_again(monkeypatch: pytest.MonkeyPatch) -> None:
    try:
        files = find_model_files()
    except HearingError as error:
        pytest.skip(str(error))
    load_networks("builtin", None)
    monkeypatch.setattr(networks, "_loaded", lambda path: pytest.fail(f"{path} is loaded again"))
    assert networks.shared_network(files.decoder) is networks.shared_network(files.decoder)
