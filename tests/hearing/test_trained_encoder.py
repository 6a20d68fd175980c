"""The encoder that was trained for the bench, and the packaged one in its place."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from handsfree.audio.errors import SoundError
from handsfree.audio.files import load_recording
from handsfree.bench.ears import open_recogniser
from handsfree.bench.setting_up import language_of, load_named
from handsfree.hearing.builtin import model_files
from handsfree.hearing.builtin.decoder import Decoder
from handsfree.hearing.builtin.model_files import TRAINED_ENCODER, find_model_files
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.errors import HearingError
from tests.support.places import FIXTURES


@pytest.fixture(autouse=True)
def _installed() -> None:
    try:
        find_model_files()
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")


def test_the_trained_encoder_is_used_unless_the_packaged_one_is_asked_for() -> None:
    assert find_model_files().encoder == TRAINED_ENCODER
    assert find_model_files(trained=False).encoder.name == "encoder_model.ort"
    assert find_model_files().decoder == find_model_files(trained=False).decoder


def test_an_encoder_that_was_altered_is_refused_with_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    altered = tmp_path / "encoder.onnx"
    altered.write_bytes(TRAINED_ENCODER.read_bytes()[:-1] + b"\x00")
    monkeypatch.setattr(model_files, "TRAINED_ENCODER", altered)
    with pytest.raises(SoundError, match=r"its checksum differs.*--recogniser untrained"):
        BuiltinRecogniser(find_model_files())
    altered.unlink()
    with pytest.raises(SoundError, match="can't be"):
        BuiltinRecogniser(find_model_files())


def test_it_is_no_larger_than_the_network_it_replaces_by_more_than_a_tenth() -> None:
    packaged = find_model_files(trained=False).encoder.stat().st_size
    assert TRAINED_ENCODER.stat().st_size < 1.1 * packaged < 15_000_000


def test_both_encoders_begin_a_decoding_of_the_same_shape() -> None:
    sound = load_recording(FIXTURES / "heart/next.flac")
    (trained, first), (packaged, other) = (
        Decoder(files).start(sound) for files in (find_model_files(), find_model_files(trained=False))
    )
    assert first.shape == other.shape
    features = [steps.shared["encoder_hidden_states"] for steps in (trained, packaged)]
    assert features[0].shape == features[1].shape
    # Clean speech: the training held the features where they were.
    cosine = (features[0] * features[1]).sum() / np.prod([np.linalg.norm(each) for each in features])
    assert cosine > 0.9


def test_the_log_tells_which_of_them_has_heard() -> None:
    language = language_of(load_named(str(FIXTURES / "procedure.yaml")).procedure)
    for choice in ("builtin", "untrained"):
        recogniser = open_recogniser(choice)  # type: ignore[arg-type]
        recogniser.set_grammar(language.automaton)
        heard = recogniser.recognise(load_recording(FIXTURES / "heart/next.flac"), language.meaning)
        assert (heard.recogniser, heard.alternatives[0].words) == (choice, ("next",))
