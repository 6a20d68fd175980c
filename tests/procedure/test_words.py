"""A workshop's own words for taking apart: from its file, from a file of words, from its procedures."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.words import KnownWords, read_words, words_of
from handsfree.procedure.workshop import read_workshop

FILE = """
parts: [Feed dog, the bobbin-case]
places: the bed
measured: [thread tension, {name: lift, unit: mm}]
"""
READ = KnownWords(
    parts=("feed dog", "bobbin case"), places=("bed",), measured={"thread tension": (), "lift": ("length",)}
)


def _file(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "words.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_words_stand_in_a_file_of_their_own_or_in_the_workshops(tmp_path: Path) -> None:
    assert read_words(_file(tmp_path, FILE)) == READ
    inset = "words:" + FILE.replace("\n", "\n  ")
    assert read_workshop(_file(tmp_path, inset)).words == READ
    assert read_words(_file(tmp_path, "")) == KnownWords()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("- a\n", "the words stand under keys such as parts and places, not in a list"),
        ("colours: [red]\n", 'words.yaml:1:1: "colours" is no sort of word; sorts are parts, fasteners, places, heads'),
        ("parts: [gear 7]\n", 'words.yaml:1:9: "gear 7" has digits in it'),
        ("measured: [{name: lift, unit: foo}]\n", 'words.yaml:1:12: "foo" is not a known unit'),
        ("measured: [{unit: mm}]\n", "words.yaml:1:12"),
    ],
)
def test_what_is_wrong_with_a_word_is_told_at_its_place(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(ProcedureError) as error:
        read_words(_file(tmp_path, text))
    assert says in str(error.value).replace(" error:", "")


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(ProcedureError, match="the file can't be read"):
        read_words(tmp_path / "absent.yaml")


def test_what_procedures_measure_and_name_is_known() -> None:
    text = """
title: t
item: i
revision: 1
steps:
  - {id: a, do: x, works on: the rockers, measure: {name: lash, also: tappet gap, unit: thou, tool: blades}}
  - {id: b, do: y, fasteners: {size: M2, head: cross head, finish: grey}, measure: {name: lash, unit: thou}}
"""
    found = words_of([parse_procedure(text.encode(), "p.yaml").procedure])
    assert (found.parts, found.heads, found.finishes) == (("rockers",), ("cross head",), ("grey",))
    assert found.measured == {"lash": ("length",), "tappet gap": ("length",)}


def test_two_lists_of_words_agree_on_what_a_thing_is_measured_in() -> None:
    both = KnownWords(parts=("a",), measured={"play": ("length",), "lift": ()}) | KnownWords(
        parts=("b", "a"), measured={"play": ("angle",), "lift": ("length",)}
    )
    assert both.parts == ("a", "b")
    assert both.measured == {"play": ("length", "angle"), "lift": ()}
