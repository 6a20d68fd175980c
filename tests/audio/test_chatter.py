"""What libraries in C write to standard error: let through, but not without end."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.devices import library
from handsfree.audio.devices.chatter import ENDLESS, MOST_ALIKE, REMEMBERED, Bounded, Repeats


def test_a_line_that_comes_again_and_again_is_let_through_three_times() -> None:
    repeats = Repeats()
    through = b"".join(repeats.let_through(b"no room\n" * 7) for _ in range(5))
    assert through == b"no room\n" * 3


def test_lines_that_alternate_are_held_back_like_one() -> None:
    repeats = Repeats()
    assert repeats.let_through(b"here\nthere\n" * 50) == b"here\nthere\n" * 3
    assert repeats.most == 50


def test_a_line_is_told_whole_however_it_is_written() -> None:
    repeats = Repeats()
    assert [repeats.let_through(piece) for piece in (b"no ro", b"om\nno ", b"room\n")] == [
        b"",
        b"no room\n",
        b"no room\n",
    ]
    assert repeats.let_through(b"the last") == b""
    assert (repeats.rest(), repeats.rest()) == (b"the last", b"")


def test_a_line_without_end_is_not_kept_for_ever() -> None:
    assert Repeats().let_through(b"x" * 5000) == b"x" * 5000


def test_a_line_is_new_again_after_enough_others() -> None:
    repeats = Repeats()
    repeats.let_through(b"no room\n" * 9)
    repeats.let_through(b"".join(b"line %d\n" % number for number in range(REMEMBERED)))
    assert repeats.let_through(b"no room\n") == b"no room\n"


@given(st.lists(st.binary(max_size=12), max_size=30), st.lists(st.integers(0, 200), max_size=6))
def test_what_never_repeats_is_let_through_whole(lines: list[bytes], cuts: list[int]) -> None:
    text = b"".join(
        b"%d %s\n" % (number, line.replace(b"\r", b"").replace(b"\n", b"")) for number, line in enumerate(lines)
    )
    places = sorted(min(cut, len(text)) for cut in cuts)
    repeats = Repeats()
    pieces = [text[start:end] for start, end in zip([0, *places], [*places, len(text)], strict=True)]
    assert b"".join(repeats.let_through(piece) for piece in pieces) + repeats.rest() == text


def test_a_descriptor_is_as_it_was_afterwards_and_nothing_is_lost(tmp_path: Path) -> None:
    with (tmp_path / "err").open("wb", buffering=0) as file:
        bounded = Bounded(file.fileno(), lambda: None)
        os.write(file.fileno(), b"one\n" * 9 + b"two")
        bounded.close()
        os.write(file.fileno(), b", and three")
    assert (tmp_path / "err").read_bytes() == b"one\n" * MOST_ALIKE + b"two, and three"


def test_what_comes_for_ever_is_told_once_and_stays_away(tmp_path: Path) -> None:
    told = []
    endless = threading.Event()

    def tell() -> None:
        told.append(1)
        endless.set()

    with (tmp_path / "err").open("wb", buffering=0) as file:
        bounded = Bounded(file.fileno(), tell)
        for _ in range(3):
            os.write(file.fileno(), b"again\n" * ENDLESS)
        assert endless.wait(30)
        bounded.close()
        os.write(file.fileno(), b"again\n" * ENDLESS)
    assert told == [1]
    assert (tmp_path / "err").read_bytes() == b"again\n" * MOST_ALIKE


def test_nobody_need_read_what_libraries_write(tmp_path: Path) -> None:
    read, write = os.pipe()
    bounded = Bounded(write, lambda: None)
    os.close(read)
    os.write(write, b"one\n")
    bounded.close()
    os.close(write)


_PROGRAM = """
import os, sys, threading
from handsfree.audio.devices.library import hangs
from handsfree.commands.output import clean_streams, libraries_bounded
with clean_streams(), libraries_bounded():
    print("ours", file=sys.stderr)
    while not hangs():
        os.write(2, b"again\\n" * 100)
    for _ in range(9):
        print("ours", file=sys.stderr)
"""


def test_what_the_program_itself_prints_is_all_there_beside_a_library_that_writes_for_ever() -> None:
    run = subprocess.run([sys.executable, "-c", _PROGRAM], capture_output=True, text=True, timeout=60, check=True)
    assert sorted(run.stderr.splitlines()) == ["again"] * MOST_ALIKE + ["ours"] * 10


class _Stream:
    """A stream whose end never comes, or one that is ended at once."""

    def __init__(self, *, ends: bool) -> None:
        self.ends, self.ended, self.may_end = ends, [], threading.Event()

    def abort(self) -> None:
        if not self.ends:
            self.may_end.wait(60)
        self.ended.append("abort")
        raise OSError("the device is gone")

    def close(self) -> None:
        self.ended.append("close")


def test_a_stream_whose_end_never_comes_is_left_to_itself_and_the_library_is_not_started_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(library, "LONGEST_END", 0.2)
    monkeypatch.setattr(library, "_hanging", threading.Event())
    stuck, well = _Stream(ends=False), _Stream(ends=True)
    library.let_go(well)
    assert (well.ended, library.hangs()) == (["abort", "close"], False)
    before = library.generation()
    library.let_go(stuck)
    assert library.hangs()
    assert not library.start_anew(object())
    assert library.generation() == before
    # Others are still ended.
    well.ended.clear()
    library.let_go(well)
    assert well.ended == ["abort", "close"]
    stuck.may_end.set()
