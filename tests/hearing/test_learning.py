"""A voice learned: the networks' gradients, what is learned from, and the small file of one person."""

from __future__ import annotations

import math
import stat
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.audio.files import load_recording
from handsfree.hearing.builtin.decoder import Decoder
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.errors import HearingError
from handsfree.hearing.learning import layers
from handsfree.hearing.learning.card import CARD, card_words, drop_said, keep_said, said_folder, said_so_far
from handsfree.hearing.learning.fitting import FittingSettings, Learner
from handsfree.hearing.learning.known_voice import (
    KnownVoice,
    KnownVoiceError,
    forget_voice,
    load_voice,
    read_voice,
    save_voice,
    voice_file,
    voice_files,
)
from handsfree.hearing.learning.lessons import Said, all_spellings, lessons, spellings
from handsfree.hearing.learning.networks import encoded, foretold, learned_names
from handsfree.hearing.learning.telling import Trial, told
from handsfree.hearing.learning.weights_of_files import as_floats, onnx_arrays, ort_arrays
from handsfree.hearing.listening.endpoints import Segment, segments
from handsfree.phrases.language import Language

FIXTURES = Path(__file__).parents[2] / "audio_fixtures"
NETWORK = "0" * 64


@pytest.fixture(scope="module")
def learner() -> Learner:
    try:
        return Learner(find_model_files())
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")


def noise(seconds: float, seed: int = 1) -> np.ndarray:
    return (0.05 * np.random.default_rng(seed).standard_normal(round(16_000 * seconds))).astype(np.float32)


def said(words: str, seed: int = 1) -> Said:
    sound = noise(0.6, seed)
    sound[:3520] = sound[-3520:] = 0
    return Said(card_words(words), Segment(sound, 1.0, 1.16, noise(0.35) * 0.01))


# the networks


def test_the_error_function_agrees_with_the_standard_librarys() -> None:
    x = np.linspace(-5, 5, 1001, dtype=np.float32)
    assert layers._erf(x) == pytest.approx([math.erf(each) for each in x], abs=3e-7)


def test_features_agree_with_those_that_onnxruntime_makes(learner: Learner) -> None:
    sound = noise(1.5)
    wanted = Decoder(find_model_files()).start(sound)[0].shared["encoder_hidden_states"][0]
    found, _ = encoded(learner._encoder, sound)
    assert (found * wanted).sum() / np.linalg.norm(found) / np.linalg.norm(wanted) > 0.999


@pytest.mark.parametrize(
    "name", ["groupnorm.weight", "conv3.bias", "layers.2.mlp.fc1.bias", "layers.4.input_layernorm.weight"]
)
def test_gradients_agree_with_finite_differences(learner: Learner, name: str) -> None:
    sound, tokens = noise(0.5), [500, 600]

    def loss(weights: dict[str, np.ndarray]) -> float:
        states, _ = foretold(learner._decoder, [1, *tokens], encoded(weights, sound)[0])
        return float(learner._losses(states, [*tokens, 2])[0].astype(np.float64).sum())

    slope = learner._slopes({name: learner._encoder[name] for name in learned_names()}, [sound], [tuple(tokens)])[name]
    # Along the gradient itself, where the difference is largest against what 32 bits round away.
    way = slope / np.linalg.norm(slope)
    step = np.float32(0.01)
    further = loss({**learner._encoder, name: learner._encoder[name] + step * way})
    nearer = loss({**learner._encoder, name: learner._encoder[name] - step * way})
    assert (further - nearer) / (2 * step) == pytest.approx(float(np.linalg.norm(slope)), rel=0.03)


def test_learning_makes_what_was_said_likelier_and_the_recogniser_takes_it_up(learner: Learner) -> None:
    files = sorted((FIXTURES).rglob("*.flac"))[:2]
    spoken = [Said(("next",), segments(load_recording(file))[0]) for file in files]
    learned_from = lessons(spoken, np.random.default_rng(1))[:4]
    values = learner.learn(learned_from, FittingSettings(rounds=1, batch=4, warming=1))
    assert len(values) == len(learned_names())
    decoder = Decoder(find_model_files())
    sound = learned_from[0].plain
    token = learner._targets(learned_from[:1])[0][0]
    before = decoder.start(sound)[1][0, token]
    decoder.hear_with(values)
    assert decoder.start(sound)[1][0, token] > before
    decoder.hear_with({})
    assert decoder.start(sound)[1][0, token] == before


def test_the_weights_that_are_read_are_all_there(learner: Learner) -> None:
    files = find_model_files()
    arrays, names = onnx_arrays(files.encoder)
    assert set(learned_names()) <= as_floats(arrays).keys() & names.keys()
    assert as_floats(ort_arrays(files.decoder))["embed_tokens.weight"].shape == (32768, 288)


def test_a_file_that_is_no_network_is_told_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "no.onnx").write_bytes(b"these are words")
    with pytest.raises(HearingError, match="can't be read as a network"):
        onnx_arrays(tmp_path / "no.onnx")


# what is learned from


def test_digits_said_alone_are_learned_in_noise_and_in_strings() -> None:
    digits = [said(word, number) for number, word in enumerate(("one", "two", "three", "four", "five", "six"))]
    found = lessons(digits, np.random.default_rng(1))
    assert len(found) == 6 * 4 + 60 * 2
    assert {len(each.words) for each in found} == {1, 2, 3, 4}
    assert all(np.isfinite(each.sound).all() and len(each.sound) > 4000 for each in found)


def test_few_digits_make_no_strings_and_nothing_said_makes_no_lesson() -> None:
    assert {len(each.words) for each in lessons([said("one"), said("next")], np.random.default_rng(1))} == {1}
    assert lessons([], np.random.default_rng(1)) == []


def test_a_phrase_is_written_in_the_ways_the_network_writes() -> None:
    assert spellings("twenty one thou")[:2] == ["Twenty-one thou.", "Twenty one thou."]
    assert "One, two." in spellings("one two")
    assert "Four now." in all_spellings("four thou")


def test_every_phrase_of_the_card_is_a_command_and_every_digit_is_there_twice() -> None:
    language = Language()
    assert [phrase for phrase in CARD if not language.interpret(card_words(phrase))] == []
    for digit in ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "zero"):
        assert CARD.count(digit) == 2


# what was said so far


def test_what_was_said_is_kept_for_its_owner_only_and_taken_up_again(tmp_path: Path) -> None:
    segment = said("one").segment
    keep_said("Jo", 0, segment, tmp_path)
    keep_said("Jo", 4, segment, tmp_path)
    found = said_so_far(" jo", tmp_path)
    assert sorted(found) == [0, 4]
    assert found[4].words == ("five",)
    assert found[0].segment.samples == pytest.approx(segment.samples, abs=1e-4)
    assert said_so_far("Sam", tmp_path) == {}
    for file in said_folder("Jo", tmp_path).iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert drop_said("Jo", tmp_path)
    assert said_so_far("Jo", tmp_path) == {}
    assert not drop_said("Jo", tmp_path)


def test_a_damaged_sound_is_asked_for_again(tmp_path: Path) -> None:
    keep_said("Jo", 0, said("one").segment, tmp_path)
    (said_folder("Jo", tmp_path) / "00.npz").write_bytes(b"PK\x03\x04 cut off")
    assert said_so_far("Jo", tmp_path) == {}


# the file of one person


def a_voice(name: str = "Jo", **changed: object) -> KnownVoice:
    values = {"conv3.bias": np.linspace(-1, 1, 288, dtype=np.float32)}
    return KnownVoice(**{"name": name, "made": date(2026, 11, 26), "network": NETWORK, "values": values,
                         "phrases": 40, "told": ("Heard well.",), **changed})  # fmt: skip


def test_a_voice_is_kept_as_it_was_learned_and_only_its_owner_can_read_it(tmp_path: Path) -> None:
    path = save_voice(a_voice("T. Gable"), tmp_path / "voices")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    found = load_voice("t.  gable ", NETWORK, tmp_path / "voices")
    assert found is not None
    assert (found.name, found.made, found.phrases, found.told) == ("T. Gable", date(2026, 11, 26), 40, ("Heard well.",))
    assert np.array_equal(found.values["conv3.bias"], a_voice().values["conv3.bias"])
    assert voice_files(tmp_path / "voices") == [path]


def test_a_second_learning_replaces_the_first_and_forgetting_deletes_it(tmp_path: Path) -> None:
    save_voice(a_voice(phrases=30), tmp_path)
    save_voice(a_voice(), tmp_path)
    assert [read_voice(path).phrases for path in voice_files(tmp_path)] == [40]
    assert forget_voice("Jo", tmp_path)
    assert not forget_voice("Jo", tmp_path)
    assert load_voice("Jo", NETWORK, tmp_path) is None


def test_nobodys_file_is_taken_for_another_persons(tmp_path: Path) -> None:
    path = save_voice(a_voice("Jo"), tmp_path)
    assert load_voice("Joe", NETWORK, tmp_path) is None
    assert voice_file("J. P.", tmp_path) != voice_file("J P", tmp_path)
    path.rename(voice_file("Sam", tmp_path))
    with pytest.raises(KnownVoiceError, match="the voice of Jo, not of Sam"):
        load_voice("Sam", NETWORK, tmp_path)


def test_a_voice_of_another_version_is_not_used(tmp_path: Path) -> None:
    save_voice(a_voice(), tmp_path)
    with pytest.raises(KnownVoiceError, match="learned by another version"):
        load_voice("Jo", "1" * 64, tmp_path)


@pytest.mark.parametrize("value", [np.nan, np.inf, 1e9])
def test_numbers_that_nothing_learns_are_damage(tmp_path: Path, value: float) -> None:
    path = save_voice(a_voice(values={"conv3.bias": np.full(288, value, np.float32)}), tmp_path)
    with pytest.raises(KnownVoiceError, match="damaged"):
        read_voice(path)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(data=st.data())
def test_a_damaged_file_is_told_in_one_sentence_and_never_half_read(tmp_path: Path, data: st.DataObject) -> None:
    path = save_voice(a_voice(), tmp_path)
    whole = path.read_bytes()
    if data.draw(st.booleans()):
        path.write_bytes(whole[: data.draw(st.integers(0, len(whole) - 1))])
    else:
        at = data.draw(st.integers(0, len(whole) - 1))
        path.write_bytes(whole[:at] + bytes([whole[at] ^ data.draw(st.integers(1, 255))]) + whole[at + 1 :])
    try:
        found = read_voice(path)
    except KnownVoiceError as error:
        assert "\n" not in str(error)
    else:
        assert np.array_equal(found.values.get("conv3.bias", np.empty(0)), a_voice().values["conv3.bias"])


# what is told


def test_it_is_told_what_is_heard_well_what_is_mixed_up_and_what_to_say_instead() -> None:
    lines = told(
        [
            Trial(("one",), ("one",), ("one",), True, True),
            Trial(("zero",), ("two",), ("two",), False, False),
            Trial(("nought",), ("nought",), ("nought",), True, True),
            Trial(("six",), ("eight",), ("six",), False, True),
            Trial(("thirteen", "thou"), (), ("thirty", "thou"), False, False),
        ]
    )
    assert lines[0] == "Of 5 phrases 2 were heard rightly before learning, and 3 after it."
    assert "Heard well from the start: one, nought." in lines
    assert '"six" was heard as "eight" before.' in lines
    assert '"zero" was heard as "two" before; it still is not sure.' in lines
    assert '"thirteen thou" was not caught before; it still is not sure.' in lines
    assert "Say 'nought' rather than 'zero'." in lines
    assert any("'one three' rather than 'thirteen'" in line for line in lines)


def test_a_voice_that_is_heard_well_gets_no_advice() -> None:
    assert len(told([Trial(("one",), ("one",), ("one",), True, True)])) == 2
