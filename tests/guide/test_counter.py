"""What is arranged with the owner, by voice."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from handsfree.job.counter.orders import orders_of
from handsfree.job.events import FactNoted, HandedOver
from handsfree.phrases.intents import Changes, Intent, Kind
from handsfree.phrases.language import Language
from handsfree.text.calendar import day_from, day_words
from handsfree.text.numerals import cardinal
from handsfree.wording.tally import part_words
from tests.support.played import SMALL, Play

LANGUAGE = Language()


def test_a_promised_day_is_read_back_with_its_weekday_and_a_new_one_replaces_it(play: Play) -> None:
    played = play("promised the fourth of december", "promised for friday")
    first = next(event for event in played.events if isinstance(event, FactNoted))
    day = date.fromisoformat(first.text)
    assert (day.day, day.month) == (4, 12)
    assert played.answers("promised the fourth of december") == [f"Promised for {day_words(day)}."]
    (standing,) = played.state.facts("promised")
    assert date.fromisoformat(standing.text).weekday() == 4
    assert standing.event.corrects == first.id  # type: ignore[union-attr]


def test_a_day_that_is_not_in_the_calendar_is_not_written(play: Play) -> None:
    played = play("promised the thirty first of november")
    assert played.last == "There is no such day within a year."
    assert played.state.facts("promised") == []


def test_what_it_may_cost_and_what_was_approved_are_read_back_so_that_fifty_is_not_fifteen(play: Play) -> None:
    played = play("may cost up to fifty", "approved up to eighty by telephone", "what are the approvals")
    assert played.answers("may cost up to fifty") == ["May cost up to fifty, five nought."]
    assert played.answers("approved up to eighty by telephone") == [
        "Approved up to eighty, eight nought, by telephone."
    ]
    assert played.last == "Approval, eighty, by telephone."
    (approved,) = played.state.facts("approved")
    assert (approved.event.amount, approved.text) == ("80", "80, by telephone")  # type: ignore[union-attr]


def test_an_amount_is_read_back_in_the_currency_of_the_workshop(make_play: Callable[..., Play]) -> None:
    played = make_play(SMALL, "terms: {currency: GBP}")("approved up to eighty pounds fifty by telephone")
    assert played.last == "Approved up to eighty pounds fifty, eight nought, five nought, by telephone."
    (approved,) = played.state.facts("approved")
    assert (approved.event.amount, approved.text) == ("80.50", "80.50, by telephone")  # type: ignore[union-attr]


def test_parts_and_accessories_are_known_by_the_workshops_own_words(make_play: Callable[..., Play]) -> None:
    words = "words: {parts: [bobbin cases], fasteners: [drive screw], accessories: [dust cover]}"
    own = make_play(SMALL, words)
    said = ("order two bobbin cases", "order a drive screw m two by five", "left with it a dust cover")
    played = own(*said, "what was left with it")
    assert [played.answers(each)[-1] for each in said] == [
        "To order: two bobbin cases.", "To order: one drive screw, M two by five.", "Left with it: dust cover.",
    ]  # fmt: skip
    assert played.last == "Accessory, dust cover."


def test_the_fasteners_that_a_procedure_names_can_be_ordered_by_their_names(make_play: Callable[..., Play]) -> None:
    table = "revision: 1\nfasteners:\n  latch peg: {size: M2 x 5}\nsteps:"
    named = SMALL.replace("revision: 1\nsteps:", table).replace(
        "{count: 2, size: M2 x 5, ", "{use: latch peg, count: 2, "
    )
    assert make_play(named)("order three latch pegs").last == "To order: three latch pegs."
    assert make_play(SMALL)("order three latch pegs").last != "To order: three latch pegs."


def test_a_telephone_number_is_spelled_and_can_go_on_in_a_second_breath(play: Play) -> None:
    played = play("telephone number oh one nine one", "add to it four nine eight", "read back the contact")
    assert played.state.fact("contact") == "0191498"
    assert played.last == "Contact zero one nine, one four, nine eight."


def test_what_was_left_with_it_is_asked_for_when_it_is_handed_over(play: Play) -> None:
    played = play("left with it a case", "left with it two leads", "hand it over", "no")
    assert played.answers("hand it over") == ["Left with it: case and two leads. Is all of it given back? Yes or no."]
    assert played.state.handed_over is None
    played = play("yes", "hand it over", "yes", "hand it over")
    (handed,) = (event for event in played.events if isinstance(event, HandedOver))
    assert handed.given_back == tuple(entry.event.id for entry in played.state.facts("accessory"))
    assert played.last == "It was handed over already."


def test_what_was_left_with_it_is_told_when_it_is_asked_for(play: Play) -> None:
    played = play("left with it a case", "what was left with it")
    assert played.last == "Accessory, case."


def test_without_accessories_it_is_handed_over_at_once(play: Play) -> None:
    played = play("hand it over")
    assert played.last == "Handed over."
    assert played.state.handed_over is not None


def test_an_unanswered_hand_over_writes_nothing(play: Play) -> None:
    assert play("left with it the key", "hand it over", "~ one minute").state.handed_over is None


def test_what_is_arranged_with_the_owner_leaves_the_signature_as_it_is(play: Play) -> None:
    played = play("signed off by tango golf", "promised tomorrow", "left with it a case", "hand it over", "yes")
    assert played.state.signature is not None
    assert played.state.signature.stands


@given(st.integers(1, 999), st.sampled_from(["agreed", "approved"]))
def test_every_amount_that_is_said_is_the_amount_that_is_meant(amount: int, about: str) -> None:
    begun = {"agreed": "may cost up to", "approved": "approved up to"}[about]
    assert Intent(Kind.AMOUNT, name=about, text=str(amount)) in LANGUAGE.interpret_text(f"{begun} {cardinal(amount)}")


def test_all_of_it_is_asked_back_where_it_was_heard_doubtfully() -> None:
    for kind in (Kind.ACCESSORY, Kind.PROMISED, Kind.AMOUNT, Kind.HAND_OVER):
        assert kind.changes is Changes.LOG


def test_a_day_in_the_log_is_a_day_of_iso_8601() -> None:
    assert day_from("2026-12-04") == date(2026, 12, 4)
    assert day_from("4.12.26") is None


def test_parts_to_order_are_read_back_and_told_when_the_job_is_taken_up(
    play: Play,
) -> None:
    played = play("order two gib screws m two by five", "order a balance spring", "what is on order")
    assert played.answers("order two gib screws m two by five") == ["To order: two gib screws, M two by five."]
    assert played.last == "To order: two gib screws, M two by five; one balance spring."
    played = play("yes", "the parts have arrived", "yes", "what is on order")
    assert any("It waits for two gib screws, M two by five and one balance spring." in said for said in played.said)
    assert played.last == "No part is on order for this job."
    assert [order.stage for order in orders_of(played.state)] == ["arrived", "arrived"]


def test_a_part_to_order_can_be_taken_back_and_nothing_arrives_unasked(play: Play) -> None:
    played = play("order four screws", "the parts have arrived", "no", "take back", "the part has arrived")
    assert played.answers("take back") == ["Taken back. To order: four screws."]
    assert played.last == "No part is on order for this job."


@given(st.integers(2, 20), st.sampled_from(["screw", "bush", "spring", "circlip"]), st.sampled_from(["M2 x 5", "8 BA"]))
def test_what_is_read_back_of_an_order_is_understood_as_the_same_order(count: int, part: str, size: str) -> None:
    said = part_words(part, count, size).lower().replace(",", "")
    assert Intent(Kind.ORDER, name=part, count=count, text=size) in LANGUAGE.interpret_text(f"order {said}")
