"""The job as a whole in the review: what was noted about it, who signed which state, parts, and what was corrected."""

from __future__ import annotations

import re
from typing import Any

from handsfree.job.events import Event, FactNoted, PartsCounted, StepDone
from handsfree.job.state import JobState, fold
from handsfree.review.source import procedure_of
from handsfree.review.text.job_facts import corrections_text, entries_text, of_the_job, taken_in_text
from tests.support.story import OPENED, STORY, at, reading


def fact(id_: str, about: str, text: str, **more: Any) -> FactNoted:
    return FactNoted.model_validate({"at": at(30), "id": id_, "about": about, "text": text, **more})


def after(*events: Event) -> JobState:
    return fold([OPENED, *events])


def lines(*events: Event) -> list[str]:
    """Each line with its heading and what stands beside it, parted by one blank."""
    return [re.sub(" +", " ", line) for line in of_the_job(after(*events))]


def test_nothing_is_told_where_nothing_was_noted() -> None:
    assert lines() == []


def test_what_was_noted_stands_under_its_name_with_its_entry() -> None:
    assert lines(
        fact("f1", "finding", "lug cracked", severity="serious"),
        fact("f2", "material", "thin oil"),
        fact("f3", "condition", "", to_type=True),
    ) == [
        "Condition as found [f3] (kept as sound) (to type)",
        "Finding [f1] serious: lug cracked",
        "Material used [f2] thin oil",
    ]


def test_which_item_it_is_stands_at_the_head_and_not_here() -> None:
    assert lines(fact("f1", "serial", "0418")) == []


def test_a_signature_says_of_which_state_it_is_and_whether_that_still_stands() -> None:
    signed = [StepDone(at=at(5), step="strip"), fact("f1", "signed off", "Bo")]
    # The opening is entry 1, the step 2.
    assert lines(*signed)[1:] == ["Signed the state of entry 2; nothing was altered since"]
    altered = lines(*signed, reading(40, "4 thou"))
    assert (
        " ".join(" ".join(altered[1:]).split())
        == "Signed the state of entry 2; not signed off since: the job was altered after it"
    )


def test_parts_are_told_with_what_is_still_out() -> None:
    counted = PartsCounted.model_validate({"at": at(6), "id": "p1", "part": "screw", "count": 2, "way": "out"})
    assert lines(counted) == ["Parts tally two screws still out"]


def test_the_history_tells_what_each_entry_was_before_and_what_the_item_was_taken_for() -> None:
    told = corrections_text(after(*STORY, fact("f1", "serial", "0418")))
    assert "Serial number: 0418, was 0417 when the job was opened" in told
    assert re.search(r"\[r10\] .* End float, as set: 9 thou", told)
    assert "taken back" in told
    assert "[n1]" not in told
    assert corrections_text(after(reading(10, "4 thou"))).endswith("Every entry is as it was first written.\n")


def test_the_entries_are_those_that_stand() -> None:
    told = entries_text(
        {OPENED.procedure_name: procedure_of(OPENED)}, after(*STORY, fact("f1", "material", "thin oil"))
    )
    assert re.search(r"^r14 +Step 2: end float, as set: 1 thou, out of limits", told, re.MULTILINE)
    assert not re.search(r"^r1[0236] ", told, re.MULTILINE)
    assert re.search(r"^f1 .*material used.*thin oil", told, re.MULTILINE | re.IGNORECASE)
    assert entries_text({}, after()).endswith("None.\n")


def test_a_job_that_was_only_taken_in_says_what_is_known_and_how_to_work_it() -> None:
    opened = OPENED.model_copy(update={"procedure_name": "", "owner": None})
    told = taken_in_text(fold([opened, fact("f1", "complaint", "it sticks")]), "2026-11-25-3")
    assert told.startswith("JOB 2026-11-25-3, TAKEN IN AND NOT YET WORKED\n")
    assert [re.sub(" +", " ", line) for line in told.splitlines()[2:6]] == [
        "Item micrometer no. 2", "Serial 0417", "Owner not given", "Complaint [f1] it sticks",
    ]  # fmt: skip
    assert told.endswith("\nWork it: handsfree run PROCEDURE --job 2026-11-25-3\n")


def test_words_that_would_steer_a_terminal_are_shown_as_question_marks() -> None:
    told = entries_text({}, after(fact("f1", "material", "oil\x1b[2J")))
    assert "\x1b" not in told
    assert "oil?[2J" in told
