"""What is looked up in a dictionary's text is what Python's own reader of JSON makes of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handsfree.audio.weights import package_folders
from handsfree.speaking.voice.dictionary_text import NestedEntries, SortedEntries, unpacked
from handsfree.speaking.voice.neural import PACKAGE

_LETTERS = st.characters(codec="utf-8", exclude_characters='{}"\\', exclude_categories=["Cc", "Cs"])
_WORDS = st.text(_LETTERS, min_size=1).filter(lambda word: not word.endswith(","))
_ENTRIES = st.dictionaries(_WORDS, _WORDS | st.dictionaries(_WORDS, _WORDS, min_size=1))


def compact(entries: object) -> bytes:
    return json.dumps(entries, ensure_ascii=False, separators=(",", ":")).encode()


@given(_ENTRIES, _WORDS)
@example({"a": {"b": "c", "d": "e"}, "d": "f", "é": {"g": ",h"}}, "b")
def test_every_entry_of_a_sorted_dictionary_is_found_and_no_other(entries: dict[str, object], other: str) -> None:
    dictionary = SortedEntries(compact(dict(sorted(entries.items()))))
    assert {word: dictionary.get(word) for word in entries} == entries
    assert dictionary.get(other) == entries.get(other)


@given(st.dictionaries(_WORDS | st.just('"'), st.dictionaries(_WORDS, st.integers(), min_size=1), min_size=1))
def test_every_object_among_others_is_found(entries: dict[str, dict[str, int]]) -> None:
    dictionary = NestedEntries(compact(entries))
    assert {key: dictionary.get(key) for key in entries} == entries
    assert dictionary.get("none of them, {}") is None


def packaged(name: str) -> bytes:
    folders = package_folders(PACKAGE)
    if not folders:
        pytest.skip("the neural voice's package is not installed")
    return unpacked(Path(folders[0], "assets", name))


@pytest.mark.parametrize("name", ["lexicon_us_gold.json.gz", "lexicon_us_silver.json.gz"])
def test_the_voice_s_lexicons_are_read_as_they_stand(name: str) -> None:
    text = packaged(name)
    entries: dict[str, object] = json.loads(text)
    tried = [*list(entries)[::97], *(word for word, said in entries.items() if isinstance(said, dict))]
    dictionary = SortedEntries(text)
    assert {word: dictionary.get(word) for word in tried} == {word: entries[word] for word in tried}
    for word in ("", "DEFAULT", "NOUN", "None", "gibbet-screw", "zzz", "é"):
        assert dictionary.get(word) == entries.get(word)
