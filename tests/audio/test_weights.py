"""Networks are run only where their files are those known here."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from handsfree.audio.errors import SoundError
from handsfree.audio.weights import package_folders, verified_meanwhile, verify_weights
from handsfree.hearing.builtin import model_files
from handsfree.hearing.builtin.model_files import ModelFiles, find_model_files
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.errors import HearingError

ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
"""The SHA-256 of "abc": the first example of FIPS 180-2, appendix B.1."""
INSTALL = "python -m pip install the-package"


@pytest.fixture
def weights(tmp_path: Path) -> Path:
    path = tmp_path / "network.bin"
    path.write_bytes(b"abc")
    return path


def test_the_known_file_is_taken(weights: Path) -> None:
    verify_weights(weights, ABC, INSTALL)
    with verified_meanwhile({weights: ABC}, INSTALL):
        pass


def test_another_file_is_named_with_the_command_that_brings_the_right_one(weights: Path) -> None:
    weights.write_bytes(b"abd")
    said = r"network\.bin is not the network that is known here \(its checksum differs\); run: .* the-package"
    with pytest.raises(SoundError, match=said):
        verify_weights(weights, ABC, INSTALL)


def test_what_a_loader_makes_of_a_damaged_file_is_told_as_the_damage(weights: Path) -> None:
    weights.write_bytes(b"abd")
    with pytest.raises(SoundError, match="checksum"), verified_meanwhile({weights: ABC}, INSTALL):
        raise RuntimeError("the graph has no output")


def test_a_loader_s_own_failure_with_the_right_file_is_passed_on(weights: Path) -> None:
    with pytest.raises(RuntimeError, match="no memory"), verified_meanwhile({weights: ABC}, INSTALL):
        raise RuntimeError("no memory")


def test_a_package_that_is_not_installed_has_no_folders() -> None:
    assert package_folders("no_such_package_here") == []
    assert package_folders("no_such_package_here.inside") == []


def test_the_recogniser_does_not_start_with_a_changed_network(tmp_path: Path) -> None:
    try:
        found = find_model_files(trained=False)
    except HearingError as error:
        pytest.skip(str(error))
    copies = ModelFiles(
        *(Path(shutil.copy(path, tmp_path)) for path in (found.encoder, found.decoder, found.tokenizer))
    )
    content = bytearray(copies.encoder.read_bytes())
    content[len(content) // 2] ^= 1
    copies.encoder.write_bytes(content)
    with pytest.raises(SoundError, match=r"encoder_model\.ort is not the network.*moonshine-voice==") as caught:
        BuiltinRecogniser(copies)
    assert model_files.INSTALL_MOONSHINE in str(caught.value)
