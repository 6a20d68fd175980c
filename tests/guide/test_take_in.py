"""The job as a whole by voice: codes spelled, facts in free speech, materials, sign-off, and the parts tally."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.setting_up import language_of
from handsfree.job.events import FactNoted, PartsCounted
from handsfree.job.tally import tally, unreconciled
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language
from handsfree.phrases.quantities.spelling import CODE, LETTERS, MOST_SIGNS, SIGNS, spelled
from handsfree.procedure.file.loader import Loaded, load_procedure
from tests.support.played import SMALL, Play

# ICAO Annex 10, volume II, chapter 5, figure 5-1 (from memory; the spellings "alfa" and "juliett" are the annex's).
ICAO = (
    "alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november oscar papa quebec romeo "
    "sierra tango uniform victor whiskey x-ray yankee zulu"
)


def test_the_alphabet_is_that_of_the_icao() -> None:
    said = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    language = Language()
    for letter, word in zip(said, ICAO.split(), strict=True):
        (intent,) = language.interpret_text(f"serial number {word}")
        assert (intent.kind, intent.name, intent.text) == (Kind.CODE, "serial", letter)


@given(st.text(alphabet="ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-/.", min_size=1, max_size=MOST_SIGNS))
def test_what_is_read_back_in_groups_is_understood_as_the_same_code(text: str) -> None:
    words = spelled(text).replace(",", "").split()
    assert text in CODE.meanings(words)


def test_the_alphabet_has_three_marks() -> None:
    assert len(LETTERS) + len(SIGNS) == 29


def test_a_serial_number_is_spelled_read_back_and_replaced_by_a_later_one(play: Play) -> None:
    played = play(
        "serial number alpha bravo four double oh",
        "add to it seven",
        "serial number alpha bravo four double oh nine",
        "owner mike lima",
    )
    assert played.answers("serial number alpha bravo four double oh") == ["Serial number alpha bravo four, zero zero."]
    assert played.answers("add to it seven") == ["Serial number alpha bravo four, zero zero seven."]
    assert played.state.fact("serial") == "AB4009"
    assert played.state.fact("owner") == "ML"
    assert len(played.state.facts("serial")) == 1
    assert sum(isinstance(event, FactNoted) for event in played.events) == 4


def test_take_back_brings_nothing_false_back(play: Play) -> None:
    played = play("serial number alpha one", "take back")
    assert played.last == "Taken back. Serial number alpha one."
    assert played.state.fact("serial") is None


def test_free_speech_about_the_job_is_kept_and_marked_to_type(play: Play) -> None:
    played = play(
        "note the complaint", "it sticks when it is cold", "end of note",
        "serious finding", "the pivot is oval", "end of note",
        "material used", "two drops of thin oil", "end of note",
    )  # fmt: skip
    assert played.answers("note the complaint") == ["Complaint. Say end of note."]
    (complaint,) = played.state.facts("complaint")
    assert (complaint.text, complaint.to_type) == ("it sticks when it is cold", True)
    (finding,) = played.state.facts("finding")
    assert isinstance(finding.event, FactNoted)
    assert (finding.event.severity, finding.text) == ("serious", "the pivot is oval")
    assert [entry.text for entry in played.state.facts("material")] == ["two drops of thin oil"]


def test_the_lubricant_of_a_step_is_logged_as_used(play: Play) -> None:
    played = play("lubricant used", "next", "lubricant used")
    assert "No lubricant belongs to this step" in played.said[1]
    assert played.last == "Used: Instrument oil."
    assert [entry.text for entry in played.state.facts("material")] == ["instrument oil, the pivot"]


def test_without_a_name_the_sign_off_asks_for_the_name(play: Play) -> None:
    played = play("sign off", "signed off by tango golf")
    assert played.answers("sign off") == ["No name was given. Say this is, and the name."]
    assert played.state.fact("signed off") == "TG"


def test_parts_out_and_back_are_reconciled(play: Play) -> None:
    played = play("eight screws out", "seven screws back", "what is still out", "one screw replaced", "parts tally")
    assert played.answers("seven screws back") == ["Seven screws back. One screw still out."]
    assert played.answers("what is still out") == ["Eight screws out and seven back: one screw still out."]
    assert played.answers("one screw replaced") == ["One screw replaced. All screws accounted for."]
    assert played.answers("parts tally") == ["All parts accounted for."]
    assert unreconciled(played.state) == []


def test_a_miscount_is_corrected_and_taken_back(play: Play) -> None:
    played = play("eight screws out", "wrong nine", "three washers out", "take back", "ten screws back")
    assert played.answers("wrong nine") == ["Corrected. Nine screws out."]
    assert [(each.part, each.out, each.back) for each in tally(played.state)] == [("screw", 9, 10)]
    assert played.last == "Ten screws back. One screw more in than came out."
    assert sum(isinstance(event, PartsCounted) for event in played.events) == 4


def test_a_count_that_is_easily_misheard_is_read_back_figure_by_figure(play: Play) -> None:
    assert play("fifteen screws out").last == "Fifteen screws, one five, out."


def test_finishing_with_a_part_still_out_says_so_and_asks(play: Play) -> None:
    played = play("eight screws out", "seven screws back", "finish the job", "no")
    asked = next(said for said in played.said if "Finish anyway" in said)
    assert "eight screws out and seven back: one screw still out" in asked
    played = play("yes", "finish the job", "yes")
    assert played.over == "finished"
    assert any("one screw still out" in point for point in played.events[-1].open_points)  # type: ignore[union-attr]


COVER = SMALL.replace("    do: Put one drop", "    closes cover: true\n    do: Put one drop").replace(
    "  - id: release\n", "  - id: release\n    fasteners: {count: 4, size: M2 x 6}\n"
)


@pytest.fixture
def small(tmp_path: Path) -> Loaded:
    """The small procedure with a step that closes a cover, and four screws that go in after it."""
    path = tmp_path / "gate-latch.yaml"
    path.write_text(COVER, encoding="utf-8")
    return load_procedure(path)


def test_before_a_cover_is_closed_a_part_still_out_is_asked_about(play: Play) -> None:
    played = play("next", "eight screws out", "three screws back", "log clearance four thou", "next", "no")
    assert played.answers("next") == [
        "Eight screws out and three back: five screws still out. Four fasteners needed from here on. "
        "Go on to close the cover? Yes or no.",
    ]
    assert played.last == "Staying here. The cover stays off."
    assert played.state.step == "set"
    played = play("yes", "next", "yes")
    assert played.state.step == "cure"


def test_at_the_step_that_closes_the_cover_nothing_is_asked_a_second_time(play: Play) -> None:
    played = play("next", "eight screws out", "log clearance four thou", "next", "yes", "go to step three")
    assert sum("Go on to close the cover?" in said for said in played.said) == 1
    assert played.last.startswith("Step three.")


def test_screws_that_belong_after_the_cover_are_rightly_out(play: Play) -> None:
    played = play("next", "eight screws out", "four screws back", "log clearance four thou", "next")
    assert played.state.step == "cure"


def test_another_part_is_asked_about_although_the_screws_are_right(play: Play) -> None:
    played = play("next", "four screws out", "one spring out", "log clearance four thou", "next")
    assert played.state.step == "set"
    assert "One spring still out." in played.last
    assert "screws" not in played.last


def test_counts_and_codes_survive_the_grammar_of_a_procedure(small: Loaded) -> None:
    language = language_of(small.procedure)
    rng = random.Random(5)
    for kind in (Kind.CODE, Kind.COUNT_PARTS, Kind.FACT, Kind.MORE_CODE):
        for _ in range(100):
            words = language.sample(rng, kind)
            assert language.automaton.accepts(words)
            assert kind in [intent.kind for intent in language.interpret(words)]
