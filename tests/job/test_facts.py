"""Facts about a job: one row of the table is enough for one to be noted, said, told and given on the command line."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime

import pytest
from pydantic import ValidationError

from handsfree.commands.jobs.job_arguments import add_job
from handsfree.guide.desk import Desk
from handsfree.job.events import FactNoted, JobOpened, from_json, to_json
from handsfree.job.facts import FACTS, SEVERITIES, Fact
from handsfree.job.state import fold
from handsfree.phrases.language import Language
from handsfree.review.text.job_facts import of_the_job, taken_in_text
from tests.support.played import Play

AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
OPENED = JobOpened(at=AT, title="", revision="", procedure_sha256="", procedure_text="", procedure_name="")
ALL = [pytest.param(fact, id=fact.name) for fact in FACTS.values()]


@pytest.fixture(scope="module")
def language() -> Language:
    return Language()


@pytest.mark.parametrize("fact", ALL)
def test_every_fact_can_be_said_and_means_itself(fact: Fact, language: Language) -> None:
    for words in fact.phrases:
        more = "alpha" if fact.spelled else "friday" if fact.dated else "eighty" if fact.priced else ""
        said = f"{SEVERITIES[0]} {words}" if fact.graded else f"{words} {more}".strip()
        assert {intent.name for intent in language.interpret_text(said)} == {fact.name}


@pytest.mark.parametrize("fact", ALL)
def test_every_fact_is_kept_and_told(fact: Fact) -> None:
    noted = FactNoted(at=AT, id="f1", about=fact.name, text="AB 417")
    assert from_json(to_json(noted)) == noted
    state = fold([OPENED, noted])
    assert state.fact(fact.name) == "AB 417"
    assert "AB 417" in taken_in_text(state, "1")
    assert any("AB 417" in line for line in of_the_job(state)) is not fact.identifies


def test_a_fact_that_there_is_none_of_is_refused_with_the_ones_that_there_are() -> None:
    with pytest.raises(ValidationError, match='"colour" is no fact about a job; there are item, serial'):
        FactNoted(at=AT, id="f1", about="colour", text="green")


@pytest.mark.parametrize("fact", [each for each in ALL if each.values[0].help])  # type: ignore[attr-defined]
def test_facts_are_given_on_the_command_line_once_or_again_as_they_stand(fact: Fact) -> None:
    parser = argparse.ArgumentParser()
    add_job(parser.add_subparsers())
    given = parser.parse_args(["job", "add", "1", f"--{fact.option}", "one"])
    assert getattr(given, fact.attribute) == ("one" if fact.only_one else ["one"])


@pytest.mark.parametrize("name", ["item", "serial", "owner", "complaint", "signed off"])
def test_of_some_facts_only_the_newest_stands(name: str) -> None:
    desk = Desk(fold([OPENED]), AT)
    desk.note_fact(name, "one")
    desk.note_fact(name, "other")
    assert [entry.text for entry in desk.state.facts(name)] == ["other"]


@pytest.mark.parametrize("name", ["condition", "finding", "part replaced", "material", "for the owner"])
def test_of_the_others_each_stands_beside_those_before(name: str) -> None:
    desk = Desk(fold([OPENED]), AT)
    desk.note_fact(name, "one")
    desk.note_fact(name, "other")
    assert [entry.text for entry in desk.state.facts(name)] == ["one", "other"]


def test_more_letters_belong_to_a_code_and_never_to_free_speech(play: Play) -> None:
    played = play("serial number alpha one", "note the complaint", "it sticks", "end of note", "add to it seven")
    assert played.last == "Nothing was spelled just before. Say serial number, and spell it."
    assert (played.state.fact("serial"), played.state.fact("complaint")) == ("A1", "it sticks")


def test_a_note_for_the_owner_is_said_read_back_heard_again_and_taken_back(play: Play) -> None:
    told = ("note for the owner", "the stop was bent and is straight again", "end of note")
    played = play(*told, "read back the notes for the owner", "take back", "yes")
    assert played.answers("note for the owner") == ["Note for the owner. Say end of note."]
    assert played.answers("end of note") == ["Kept. Note for the owner: the stop was bent and is straight again."]
    assert played.answers("read back the notes for the owner") == [
        "Note for the owner, the stop was bent and is straight again."
    ]
    assert not played.state.facts("for the owner")
