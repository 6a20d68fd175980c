"""Taking apart by voice: what came off is written as it was said, and can be asked for, moved and taken back."""

from __future__ import annotations

import random
from datetime import datetime, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.job.disassembly import figures_as_found, removals
from handsfree.job.events import MarkMade, PartsRemoved, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.measure.threads import spoken_size
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import plain_words
from handsfree.phrases.quantities.fastener_sizes import SIZE
from handsfree.procedure.words import KnownWords
from handsfree.review.text.taken_apart import stripping_text
from tests.support.played import Played, played_out

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=timezone.utc)
LANGUAGE = StrippingLanguage(Vocabulary(words=KnownWords(parts=("bobbin case",))))


def _strip(folder: Path, *lines: str, at: datetime = NOON) -> Played:
    store = Store(folder)
    job = ready(stripping_procedure("Bench gauge, pattern C"), store, at, purpose="stripping", parts=["bobbin case"])
    return played_out(job, store, typed(lines, job.guide.session.language), at)


def _meaning(text: str) -> Intent:
    meanings = LANGUAGE.interpret(plain_words(text))
    assert len(meanings) == 1, (text, meanings)
    return meanings[0]


def test_screws_are_written_with_everything_that_was_said_of_them(tmp_path: Path) -> None:
    played = _strip(tmp_path, "removed two screws, M two by five, cheese head, from the top")
    assert played.last == "Two screws, M two by five, cheese head, from the top."
    (off,) = removals(played.state)
    assert (off.count, off.what, off.size, off.head, off.place) == (2, "screw", "M2 x 5", "cheese head", "the top")


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("M two by five", "M2 x 5"),
        ("M1.6 by 3", "M1.6 x 3"),
        ("m two and a half by six and a half", "M2.5 x 6.5"),
        ("eight B A by three sixteenths", "8 BA x 3/16 in"),
        ("nought b a by a half", "0 BA x 1/2 in"),
        ("six thirty two by a quarter", "6-32 x 1/4 in"),
        ("two fifty six by one and a quarter inches", "2-56 x 1 1/4 in"),
        ("m three", "M3"),
        ("quarter whitworth by one inch", "1/4 BSW x 1 in"),
        ("three sixteenths b s f by a half", "3/16 BSF x 1/2 in"),
        ("quarter twenty by one and a half", "1/4-20 x 1 1/2 in"),
        ("five sixteenths eighteen by two inches", "5/16-18 x 2 in"),
        ("nought eighty", "0-80"),
        ("zero b a", "0 BA"),
    ],
)
def test_sizes_are_written_as_in_a_procedure(said: str, written: str) -> None:
    assert SIZE.meanings(plain_words(said)) == [written]


@given(st.randoms(use_true_random=False))
def test_a_size_has_one_meaning_however_it_is_said(rng: random.Random) -> None:
    said = SIZE.sample(rng)
    assert len(SIZE.meanings(said)) == 1, said


@given(st.randoms(use_true_random=False))
def test_a_size_read_back_is_taken_for_the_same_size(rng: random.Random) -> None:
    (written,) = set(SIZE.meanings(SIZE.sample(rng)))
    assert SIZE.meanings(plain_words(spoken_size(written))) == [written]


@given(st.randoms(use_true_random=False))
def test_everything_that_can_be_sampled_is_understood_in_one_way(rng: random.Random) -> None:
    kind = rng.choice([Kind.REMOVED, Kind.PUT_IN_TRAY, Kind.MARKED, Kind.IN_TRAY])
    words = LANGUAGE.sample(rng, kind)
    assert LANGUAGE.automaton.accepts(words)
    assert {intent.kind for intent in LANGUAGE.interpret(words)} == {kind}


def test_a_whitworth_bolt_with_a_left_hand_thread_is_read_back_as_such(tmp_path: Path) -> None:
    played = _strip(tmp_path, "removed a bolt, quarter Whitworth by one inch, hexagon head, left hand thread")
    assert played.last == "One bolt, quarter Whitworth by one inch, hexagon head, left-hand thread."


def test_a_tray_takes_what_was_removed_since_the_last_one(tmp_path: Path) -> None:
    played = _strip(
        tmp_path, "removed two screws", "removed the cover", "tray three", "removed the spring", "tray four",
        "what is in tray three", "what is in tray four",
    )  # fmt: skip
    assert "Tray three: two screws and one cover." in played.said
    assert played.said[-2:] == ["Tray three. Two screws. One cover.", "Tray four. One spring."]


def test_a_tray_said_again_moves_the_same_things(tmp_path: Path) -> None:
    played = _strip(tmp_path, "removed two screws", "tray three", "tray five", "what is in tray three")
    assert "Moved. Tray five: two screws." in played.said
    assert played.last == "Tray three: nothing."


def test_taking_back_forgets_a_removal_and_its_place_in_the_tray(tmp_path: Path) -> None:
    played = _strip(tmp_path, "removed the cover", "tray one", "take back", "what is in tray one", "where am i")
    assert "Taken back. The cover." in played.said
    assert played.said[-2:] == ["Tray one: nothing.", "Nothing off."]


def test_marks_shims_and_figures_as_found(tmp_path: Path) -> None:
    played = _strip(
        tmp_path, "two dots across the cover and the body", "shim, ten thou", "bearing end play 4 thou",
    )  # fmt: skip
    events = [entry.event for entry in played.state.entries.values()]
    mark, shim = events[0], events[1]
    assert isinstance(mark, MarkMade)
    assert (mark.what, mark.parts) == ("two dots", ("cover", "body"))
    assert isinstance(shim, PartsRemoved)
    assert (shim.sort, shim.thickness) == ("shim", "10 thou")
    (figure,) = figures_as_found(played.state)
    assert (figure.characteristic, figure.occasion, figure.as_said) == ("bearing end play", "as found", "4 thou")
    assert played.last == "Bearing end play, as found, four thou."


def test_a_figure_without_a_unit_or_with_a_doubtful_one_is_not_written(tmp_path: Path) -> None:
    played = _strip(tmp_path, "end play four", "end play four mils", "drop it", "shim four mils")
    assert figures_as_found(played.state) == []
    assert removals(played.state) == []
    assert "End play. Say it with its unit. Not logged." in played.said
    assert played.last == "Mils can mean two things. Say it with thou or millimetres. Not written."


def test_a_figure_as_found_can_be_corrected(tmp_path: Path) -> None:
    played = _strip(tmp_path, "end play four thou", "wrong, it is five thou")
    assert [figure.as_said for figure in figures_as_found(played.state)] == ["5 thou"]


def test_names_of_parts_can_be_added_and_outlast_a_pause(tmp_path: Path) -> None:
    _strip(tmp_path, "removed the bobbin case", "pause the job")
    played = _strip(tmp_path, "yes", "removed the bobbin case")
    assert [off.what for off in removals(played.state)] == ["bobbin case", "bobbin case"]


def test_talk_about_parts_writes_nothing(tmp_path: Path) -> None:
    played = _strip(tmp_path, "the two screws", "two by five", "tray", "from the top", "i removed it yesterday", "yes")
    assert removals(played.state) == []


def test_finishing_asks_about_what_has_no_tray(tmp_path: Path) -> None:
    played = _strip(tmp_path, "removed the cover", "finish the job", "no", "tray two", "finish the job")
    assert "Without a tray: one cover. Finish anyway? Yes or no." in played.said
    assert played.over == "finished"


def test_what_was_taken_apart_can_be_read(tmp_path: Path) -> None:
    played = _strip(
        tmp_path, "removed two screws M two by five", "tray three", "removed the cover", "mark made at the bottom",
        "note", "stiff on the left", "end of note", "end play four thou",
    )  # fmt: skip
    text = stripping_text(played.state, "2026-03-02-1")
    for words in ("Two screws, M two by five. Tray 3.", "The cover. No tray.", "Mark made at the bottom.",
                  "end play: 4 thou", "stiff on the left"):  # fmt: skip
        assert words in text


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("shim, triple one triple one triple one triple one one thou", f"One {'one ' * 12}thou can't be a thickness."),
        ("shim, minus two thou", "Minus two thou can't be a thickness."),
        ("shim, ten ohms", "Ten ohms is no thickness."),
        ("three spacers five percent", "Five percent is no thickness."),
        ("end play triple one triple one triple one triple one one thou", "That figure is too large. Not logged."),
    ],
)
def test_a_figure_that_nobody_means_is_not_written(tmp_path: Path, said: str, answer: str) -> None:
    played = _strip(tmp_path, said)
    assert answer in played.said[-1]
    assert "Not " in played.said[-1]
    assert not any(isinstance(event, (PartsRemoved, ReadingLogged)) for event in played.events)


def test_an_answer_that_names_something_else_is_not_written_for_what_was_asked_about(tmp_path: Path) -> None:
    played = _strip(tmp_path, "end play ten tenths", "shake four thou", "shake four thou")
    assert played.said[-2] == "The figure was not written. Say what you measured, and its figure."
    assert played.last == "Shake, as found, four thou."
