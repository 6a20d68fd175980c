"""A day of a workshop, from the counter in to the counter out, through the commands that a user types."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest

from tests.support.workshop_day import Played, play

pytestmark = pytest.mark.xdist_group("the day of a workshop")


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Played:
    return play(tmp_path_factory.mktemp("day"))


def _sections(printed: str) -> dict[str, list[str]]:
    """The list of the morning: the jobs of each section, by its heading."""
    found: dict[str, list[str]] = {}
    for block in printed.split("\n\n"):
        heading, *lines = block.splitlines()
        if heading.isupper():
            found[re.sub(r" \(\d+\)$", "", heading)] = [line.split()[0] for line in lines if line[:1].isdigit()]
    return found


def test_an_item_that_comes_back_is_known_at_the_counter(day: Played) -> None:
    told = day.printed["gauge in"].splitlines()
    assert told[0].startswith(f"Here before: job {day.before}, ")
    assert told[0].endswith("(three weeks ago): Slide of the bench gauge")
    assert told[1] == "  to be watched: the pin is worn"
    assert told[2].startswith("  under warranty until ")
    assert "Here before" not in day.printed["lathe in"] + day.printed["microscope in"]


def test_the_morning_tells_what_is_promised_the_soonest_first(day: Played) -> None:
    assert _sections(day.printed["morning"]) == {"PROMISED": [day.gauge, day.lathe]}
    assert f"{day.gauge}  tomorrow" in day.printed["morning"]


def test_the_sheet_has_what_the_shelf_needs_to_know(day: Played) -> None:
    for told in (day.gauge, "Bench gauge", "114", "wooden case", "The slide sticks again", "0191 498 0143"):
        assert told in day.printed["sheet"]


def test_what_was_said_is_answered_in_the_words_of_the_bench(day: Played) -> None:
    said = day.printed["apprentice"]
    for sentence in (
        "Tray one: four screws.",
        "Taken apart, seven things off.",
        "Pin diameter, five point nine nine millimetres. In limits. Micrometer three was due in",
        "To order: two gib screws, M two by five.",
        "Microscope. Left with it: dust cover.",
        "Back. Step one. Lay the rack in the bath. Timer bath runs, five minutes left.",
        "Microscope. Timer bath runs on, five minutes.",
        "Bench gauge. Gib clearance, five thou. Out of limits, one thou over.",
        "Microscope. Timer bath: time is up.",
        "Step three waits for the check of another. Step four. Put the cover on.",
    ):
        assert sentence in said, sentence
    assert "not caught" not in said


def test_at_noon_the_list_tells_what_waits_for_parts_and_for_the_master(day: Played) -> None:
    noon = _sections(day.printed["noon"])
    assert noon["WAITS FOR PARTS"] == noon["WAITS FOR A CHECK"] == [day.gauge]
    assert "2 gib screws, M2 × 5 (to order)" in day.printed["noon"]
    assert "step 3, Set the gib and lock its screws (Jo Tern)" in day.printed["noon"]
    assert day.printed["orders"].startswith("to order")
    assert day.printed["arrived"] == "Arrived: 2 gib screws, M2 × 5\n"
    assert day.printed["nothing on order"].startswith("No part is waited for")


def test_the_master_checks_the_apprentices_step_and_nothing_is_left_over(day: Played) -> None:
    said = day.printed["master"]
    assert "Waiting for a check. Step three, Set the gib and lock its screws, by Jo Tern." in said
    assert "Check passed." in said
    assert "All parts accounted for." in said
    assert "Job finished. The review is ready." in said


def test_a_wait_that_ran_while_another_item_was_at_the_bench_is_not_asked_for_again(day: Played) -> None:
    said = day.printed["microscope"]
    assert "Step one. Lay the rack in the bath. |" in said
    assert "the waiting time has not run" not in said


def test_in_the_evening_two_are_done_and_not_fetched_with_how_to_reach_their_owners(day: Played) -> None:
    assert _sections(day.printed["evening"]) == {
        "PROMISED": [day.lathe], "DONE, NOT FETCHED": [day.gauge, day.microscope],
    }  # fmt: skip
    assert "0191 498 0143" in day.printed["evening"]
    assert "office@harbour.invalid" in day.printed["evening"]


def test_two_are_handed_over_and_what_was_left_with_them_is_asked_for(day: Played) -> None:
    assert "left with it: wooden case; say --all-back, or --kept TEXT" in day.printed["asked for"]
    assert day.printed["gauge out"] == f"Job {day.gauge} is handed over.\n"
    assert day.printed["microscope out"].endswith("Not given back: dust cover\n")
    night = day.printed["night"]
    assert _sections(night) == {"PROMISED": [day.lathe]}
    states = {line.split()[0]: line.split()[1:5] for line in night.splitlines() if line[:1].isdigit()}
    assert states[day.gauge] == ["fetched", "4", "of", "4"]
    assert states[day.microscope] == ["fetched", "3", "of", "3"]


def test_the_bill_has_the_time_of_both_and_the_parts_and_adds_up(day: Played) -> None:
    lines = list(csv.DictReader(io.StringIO(day.printed["bill as csv"])))
    assert {line["by"] for line in lines if line["unit"] == "h"} == {"Jo Tern", "T. Gable"}
    assert [line["total"] for line in lines if line["what"] == "gib screws"] == ["9.00"]
    for line in lines:
        # An hour costs sixty: a hundredth of it is sixty pence.
        assert line["unit"] != "h" or round(100 * float(line["total"])) == 60 * round(100 * float(line["count"]))
    total = sum(round(100 * float(line["total"])) for line in lines)
    assert f"{total / 100:.2f} GBP" in day.printed["bill"]
    # What the wait and the standing by took is nobody's work at the gauge.
    assert sum(float(line["count"]) for line in lines if line["unit"] == "h") < 0.25
    charged = json.loads(day.printed["report"])["charges"]
    assert [line["total"] for line in charged["lines"]] == [line["total"] for line in lines]
    assert (charged["total"], charged["currency"], charged["agreed"]) == (f"{total / 100:.2f}", "GBP", "120")
    assert day.printed["bill at a fixed price"].splitlines()[-1].split() == ["total", "45.00", "GBP"]


def test_the_record_names_the_overdue_tool_the_checker_and_the_signature(day: Played) -> None:
    record = json.loads(day.printed["report"])
    pin = next(figure for figure in record["figures"] if figure["characteristic"] == "pin diameter")
    assert (pin["value"], pin["tool_identity"], pin["by"]) == ("5.99", "M-3", "Jo Tern")
    assert pin["tool_overdue"] > pin["tool_calibrated"]
    found = next(figure for figure in record["figures"] if figure["occasion"] == "as found")
    assert (found["as_said"], found["decision"], found["beyond"]) == ("5 thou", "out of limits", "1 thou")
    assert found["judged_by"] == "bench-gauge"
    (logged,) = (event for event in record["events"] if event.get("id") == found["id"] and "decision" in event)
    assert logged["decision"] == "no limits"
    (check,) = record["checks"]
    assert (check["answer"], check["by"]) == ("yes", "T. Gable")
    assert record["head"]["signed"]["name"] == "T. Gable"
    assert record["head"]["signed"]["stands"]
    assert record["head"]["handed_over"] is not None
    assert record["head"]["not_given_back"] is None
    assert [order["stage"] for order in record["orders"]] == ["arrived"]
    facts = {fact["about"]: fact for fact in record["facts"]}
    assert facts["returns"]["text"] == day.before
    assert (facts["approved"]["amount"], facts["approved"]["text"]) == ("120", "120, by telephone")
    assert {part["part"]: part["still_out"] for part in record["parts"]} == {"screw": 0, "cover": 0}


def test_the_review_is_of_one_glance_and_the_log_holds(day: Played) -> None:
    review = day.printed["review"]
    attention = review[review.index("NEEDS ATTENTION") : review.index("THE JOB AS A WHOLE")]
    assert "Taken with a tool that was due (1)" in attention
    assert attention.count("\n  step ") == 1
    assert "gib screws, 9.00" in review
    assert "gib clearance: 5 thou; out of limits, 1 thou over, by the limits of bench-gauge: 1.5 to 4 thou" in " ".join(
        review.split()
    )
    at_bench, in_all = re.findall(r"(\d+) min", review.split("Duration", 1)[1])[:2]
    assert int(at_bench) <= int(in_all)
    assert day.printed["verify"].count(" holds: ") == 4
