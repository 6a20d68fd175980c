"""Entries in a sentence each: figures, checks, notes, facts, parts, marks; and what became of them."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from fractions import Fraction
from typing import Any

import pytest

from handsfree.job.events import (
    CheckAnswered,
    EntryWithdrawn,
    Event,
    FactNoted,
    JobOpened,
    MarkMade,
    NoteKept,
    OutcomeGiven,
    PartsCounted,
    PartsRemoved,
    ProcedureTakenUp,
    ReadingLogged,
    StepRedone,
    TextTyped,
)
from handsfree.job.state import JobState, fold
from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.limits import Decision, Verdict
from handsfree.phrases.intents import Intent, Kind
from handsfree.procedure.file.loader import parse_procedure
from handsfree.wording import corrections
from handsfree.wording.disassembly import mark_words, removed_words, written_text
from handsfree.wording.entries import at_step, entry_named, entry_sentences, entry_words, entry_written
from handsfree.wording.facts import told_apart
from handsfree.wording.readings import (
    command,
    decision_words,
    digit_by_digit,
    margin_words,
    outcome_words,
    read_back,
    reading_words,
    stated_figure,
    verdict_words,
    with_digits,
)
from handsfree.wording.repeated import series, summed_up

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
TEXT = "title: Latch\nitem: i\nrevision: 1\nsteps:\n  - {id: a, do: Press.}\n  - {id: b, do: Press.}\n"
LATCH = parse_procedure(TEXT.encode(), "p.yaml").procedure
OPENED = JobOpened(
    at=AT, title="Latch", revision="1", procedure_sha256="0", procedure_text=TEXT, procedure_name="latch"
)
CLEANING = ProcedureTakenUp(
    at=AT, procedure_name="cleaning", title="Cleaning", revision="1", procedure_sha256="1", procedure_text=TEXT
)


def after(*events: Event) -> JobState:
    return fold([OPENED, *events])


def words(*events: Event) -> str:
    """The sentence of the first entry."""
    return entry_words(next(iter(after(*events).entries.values())))


def reading(id_: str = "r1", value: str = "4", **slots: Any) -> ReadingLogged:
    usual = {"at": AT, "step": "a", "characteristic": "end float", "occasion": "as set", "unit": "thou"}
    judged = {"decision": "in limits", "limits": "2 to 5 thou", "as_said": f"{value} thou"}
    return ReadingLogged.model_validate({"id": id_, "value": value, **usual, **judged, **slots})


def fact(about: str, text: str, id_: str = "f1", **slots: Any) -> FactNoted:
    return FactNoted.model_validate({"at": AT, "id": id_, "about": about, "text": text, **slots})


def parts(count: int, way: str, id_: str = "p1", **slots: Any) -> PartsCounted:
    return PartsCounted.model_validate({"at": AT, "id": id_, "part": "screw", "count": count, "way": way, **slots})


def note(text: str, id_: str = "n1", step: str = "a") -> NoteKept:
    return NoteKept(at=AT, step=step, id=id_, text=text, seconds=1.0)


def check(passed: bool) -> CheckAnswered:
    return CheckAnswered(at=AT, step="a", id="c1", question="Is it free?", passed=passed)


@pytest.mark.parametrize(
    ("event", "said"),
    [
        (reading(), "End float, as set, four thou, about nought point one nought two millimetres. In limits."),
        (reading(decision="no limits", unit="g", occasion="as found"), "End float, as found, four grams."),
        (reading(decision="out of limits", unit="g"), "End float, as set, four grams. Out of limits."),
        (check(True), "the check, passed."),
        (check(False), "the check, failed."),
        (fact("complaint", "it sticks"), "Complaint, it sticks."),
        (fact("complaint", "", to_type=True), "Complaint, kept as sound."),
        (fact("finding", "the thread is cracked", severity="serious"), "Serious finding, the thread is cracked."),
        (fact("finding", "the rim is dull"), "Finding, the rim is dull."),
        # A code is read back letter by letter, a name as it is.
        (fact("serial", "AB40"), "Serial number alpha bravo, four zero."),
        (fact("serial", "no plate", to_type=True), "Serial number, no plate."),
        (fact("owner", "Mrs Wren"), "Owner Mrs Wren."),
        (fact("signed off", "AB"), "Signed off by alpha bravo."),
        (fact("serial", "AB 12"), "Serial number alpha bravo, one two."),
        (fact("owner", "Smith"), "Owner Smith."),
        (fact("owner", "MILL LANE"), "Owner MILL LANE."),
        (fact("contact", "0191 498 0143"), "Contact zero one nine, one four nine, eight zero one, four three."),
        (fact("signed off", "Ann Wren"), "Signed off by Ann Wren."),
        (parts(8, "out"), "Eight screws out."),
        (parts(1, "replaced"), "One screw replaced."),
        (PartsRemoved(at=AT, id="o1", sort="part", what="cover"), "The cover."),
        (MarkMade(at=AT, id="m1", what="mark", place="the bottom"), "Mark made at the bottom."),
        (note("shim is bent"), "The note, shim is bent."),
        (note(""), "A note, kept as sound."),
    ],
)
def test_an_entry_is_told_in_a_sentence(event: Event, said: str) -> None:
    assert words(event) == said


def test_what_was_decided_of_a_figure_out_of_limits_is_told_with_it() -> None:
    out = reading(decision="out of limits", unit="g")
    told = words(out, OutcomeGiven(at=AT, id="r1", outcome="accepted"))
    assert told == "End float, as set, four grams. Out of limits, accepted."


def test_what_somebody_typed_is_told_in_place_of_what_was_understood() -> None:
    assert words(note("shim is bend"), TextTyped(at=AT, id="n1", text="shim is bent")) == "The note, shim is bent."


def test_an_entry_is_told_with_its_step_and_what_belongs_to_the_job_without() -> None:
    state = after(note("x", step="b"), fact("owner", "Mrs Wren", step="b"), parts(1, "out", step="b"),
                  note("y", "n2", step="gone"))  # fmt: skip
    assert [at_step(LATCH, entry) for entry in state.entries.values()] == ["Step two: ", "", "", ""]


def test_the_entries_of_several_procedures_are_told_with_their_titles() -> None:
    cleaning = parse_procedure(TEXT.replace("Latch", "Cleaning").encode(), "p.yaml").procedure
    state = after(note("x"), fact("owner", "Mrs Wren"), CLEANING, note("y", "n2"), note("z", "n3", step="gone"))
    alone = entry_sentences({"cleaning": cleaning}, state)
    assert alone["n2"] == "Step one: The note, y."
    both = entry_sentences({"latch": LATCH, "cleaning": cleaning}, state)
    assert both == {
        "n1": "Latch, step one: The note, x.",
        "f1": "Owner Mrs Wren.",
        "n2": "Cleaning, step one: The note, y.",
        "n3": "Cleaning: The note, z.",
    }


# What came off


@pytest.mark.parametrize(
    ("event", "said"),
    [
        ({"sort": "part", "what": "cover"}, "the cover"),
        ({"sort": "part", "what": "spring", "count": 2}, "two springs"),
        ({"sort": "fastener", "what": "screw"}, "one screw"),
        ({"sort": "fastener", "what": "screw", "count": 2, "size": "M2 x 5", "head": "cheese head",
          "finish": "blued", "left_hand": True, "place": "the top"},
         "two screws, M two by five, cheese head, blued, left-hand thread, from the top"),
        ({"sort": "shim", "what": "shim", "thickness": "0.1 mm", "way": "burr up"},
         "one shim, nought point one millimetres, burr up"),
    ],
)  # fmt: skip
def test_what_came_off_is_read_back(event: dict[str, Any], said: str) -> None:
    assert removed_words(PartsRemoved.model_validate({"at": AT, "id": "o1", **event})) == said


@pytest.mark.parametrize(
    ("event", "said"),
    [
        ({"what": "mark"}, "mark made"),
        ({"what": "mark", "place": "the bottom"}, "mark made at the bottom"),
        ({"what": "one dot", "place": "the cover", "parts": ("cover",)}, "one dot on the cover"),
        ({"what": "two dots", "place": "the cover and the body", "parts": ("cover", "body")},
         "two dots across the cover and the body"),
    ],
)  # fmt: skip
def test_a_mark_is_read_back(event: dict[str, Any], said: str) -> None:
    assert mark_words(MarkMade.model_validate({"at": AT, "id": "m1", **event})) == said


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        (figure_from_text("0.10"), "0.10"),
        (Figure(Fraction(1, 4), None), "0.25"),
        (Figure(Fraction(1, 3), None), "1/3"),
        (Figure(Fraction(5, 64), None), "0.078125"),
        # No rule has sixty-fifths of an inch, and no file nine decimals.
        (Figure(Fraction(1, 65), None), "0.0154"),
        (Figure(Fraction(123456789, 10**9), 9), "0.123457"),
        (Figure(Fraction(1234567, 10**6), 6), "1.234567"),
    ],
)
def test_a_figure_is_written_as_a_file_takes_it(figure: Figure, text: str) -> None:
    assert written_text(figure) == text


# Readings


@pytest.mark.parametrize(
    ("verdict", "said"),
    [
        (Verdict(Decision.IN), "in limits"),
        (Verdict(Decision.OUT, "high", Fraction(2)), "out of limits, two thou over"),
        (Verdict(Decision.OUT, "low", Fraction(1, 2)), "out of limits, half a thou under"),
        (Verdict(Decision.UNDECIDED, "high", Fraction(0)), "undecided, too near the upper limit for the tool"),
        (Verdict(Decision.UNDECIDED, "low", Fraction(0)), "undecided, too near the lower limit for the tool"),
        (Verdict(Decision.NO_LIMITS), ""),
    ],
)
def test_a_verdict_is_told_with_how_far_it_is_beyond(verdict: Verdict, said: str) -> None:
    beyond = None if verdict.beyond is None else Figure(verdict.beyond, None, "thou")
    assert verdict_words(verdict, beyond) == said


def test_a_reading_is_read_back_with_when_it_was_taken_unless_it_is_as_set() -> None:
    assert read_back("end float", "four thou", "as set", "in limits") == "End float, four thou. In limits."
    assert read_back("end float", "four thou", "as left", "") == "End float, as left, four thou."


def test_a_figure_that_is_easily_misheard_is_said_digit_by_digit_too() -> None:
    assert with_digits("fifteen thou", figure_from_text("15", "thou")) == "fifteen thou, one five"
    assert with_digits("four thou", figure_from_text("4", "thou")) == "four thou"


@pytest.mark.parametrize(
    ("figure", "said"),
    [
        (figure_from_text("15", "thou"), "one five"),
        (figure_from_text("0.05", "mm"), "nought point nought five"),
        # The divisions of a rule have no digits to be told by.
        (Figure(Fraction(5, 32), None, "inch"), "five thirty seconds"),
        (Figure(Fraction(9, 64), None, "inch"), "nine sixty fourths"),
    ],
)
def test_a_figure_is_told_digit_by_digit(figure: Figure, said: str) -> None:
    assert digit_by_digit(figure) == said


def test_a_figure_is_told_as_it_was_stated_and_two_blades_by_both() -> None:
    assert stated_figure(reading()) == "four thou"
    assert stated_figure(reading(upper="5", as_said="between 4 and 5 thou")) == "between four and five thou"


def test_an_item_is_told_from_others_by_its_number_and_its_owner() -> None:
    assert told_apart(after()) == []
    both = after(fact("serial", "AB4"), fact("owner", "Mrs Wren", id_="f2"))
    assert told_apart(both) == ["serial number alpha bravo four", "owner Mrs Wren"]


@pytest.mark.parametrize(
    ("entry", "said"),
    [(check(True), "yes"), (check(False), "no"), (note("bent"), "bent"), (note(""), "(not understood)"),
     (parts(7, "back"), "7 back"), (reading(), "4 thou")],
)  # fmt: skip
def test_what_an_entry_says_is_told_as_it_was_stated(entry: Any, said: str) -> None:
    assert corrections.stated_words(entry) == said


def test_a_logged_reading_is_told_with_its_feel_or_between_its_two_blades() -> None:
    assert reading_words(reading(unit="g")) == "four grams"
    assert reading_words(reading(unit="g", feel="drags")) == "four grams, drags"
    assert reading_words(reading(upper="5")) == "between four and five thou"


def test_a_command_in_a_few_words() -> None:
    four = figure_from_text("4", "thou")
    assert command(Intent(Kind.LOG, characteristic="end float", figure=four)) == "log end float four thou"
    assert command(Intent(Kind.NEXT)) == "next"


@pytest.mark.parametrize(
    ("slots", "decided", "margin"),
    [
        ({}, "in limits", ""),
        ({"decision": "no limits"}, "no limits", ""),
        ({"decision": "out of limits", "beyond": "4 thou", "side": "high"}, "out of limits, 4 thou over",
         "4 thou over"),
        ({"decision": "out of limits", "beyond": "4 thou", "side": "low"}, "out of limits, 4 thou under",
         "4 thou under"),
        ({"decision": "out of limits"}, "out of limits", ""),
        ({"decision": "undecided", "beyond": "-0.1 thou", "side": "high"},
         "undecided, 0.1 thou inside the upper limit: nearer than the tool can tell",
         "too near the upper limit for the tool"),
        ({"decision": "undecided", "beyond": "0.1 thou", "side": "low"},
         "undecided, 0.1 thou beyond the lower limit: nearer than the tool can tell",
         "too near the lower limit for the tool"),
        ({"decision": "undecided", "beyond": "0 thou", "side": "low"},
         "undecided, on the lower limit: nearer than the tool can tell", "too near the lower limit for the tool"),
        ({"decision": "undecided", "side": "low"},
         "undecided, too near the lower limit: nearer than the tool can tell", "too near the lower limit for the tool"),
    ],
)  # fmt: skip
def test_what_a_logged_figure_proves_is_told_with_how_near_it_is(
    slots: dict[str, Any], decided: str, margin: str
) -> None:
    event = reading(**slots)
    assert (decision_words(event), margin_words(event)) == (decided, margin)


def test_what_was_decided_is_told_with_the_reason() -> None:
    def outcome(*given: Event) -> str:
        return outcome_words(after(reading(), *given).entries["r1"])

    assert outcome() == ""
    assert outcome(OutcomeGiven(at=AT, id="r1", outcome="left open")) == "left open"
    assert outcome(OutcomeGiven(at=AT, id="r1", outcome="accepted", reason="for show")) == "accepted: for show"


@pytest.mark.parametrize(
    ("event", "named"),
    [
        (reading(), "end float, as set, 4 thou"),
        (reading(place="left end"), "end float, left end, as set, 4 thou"),
        (check(True), "the check"),
        (fact("owner", "Mrs Wren"), "owner, Mrs Wren"),
        (parts(8, "out"), "eight screws out"),
        (note("shim is bent"), "the note, shim is bent"),
        (note(""), "the note"),
    ],
)
def test_an_entry_is_named_where_something_else_is_told_of_it(event: Any, named: str) -> None:
    assert entry_named(event) == named


@pytest.mark.parametrize(
    ("event", "shown"),
    [
        (reading(decision="out of limits", beyond="1 thou", side="low"),
         "End float, as set: 4 thou, out of limits, 1 thou under."),
        (reading(decision="no limits"), "End float, as set: 4 thou."),
        (fact("serial", "AB40"), "Serial number: AB40."),
        (fact("finding", "cracked", severity="serious"), "Serious finding: cracked."),
        (fact("complaint", "", to_type=True), "Complaint: (kept as sound)."),
        (check(True), "The check, passed."),
    ],
)  # fmt: skip
def test_an_entry_for_the_eye_shows_figures_and_codes_as_they_were_stated(event: Event, shown: str) -> None:
    assert entry_written(next(iter(after(event).entries.values()))) == shown


def test_repeated_figures_are_kept_apart_by_when_they_were_taken() -> None:
    state = after(
        reading("r1"), reading("r2", "5"),
        reading("r3", "6", occasion="as left"), reading("r4", "2", occasion="as found"),
        reading("r5", "7", upper="8"), reading("r6", "9", characteristic="play"),
        EntryWithdrawn(at=AT, id="r2", why="taken back"),
    )  # fmt: skip
    found = {when: [event.value for event in events] for when, events in series(state, "end float").items()}
    assert found == {(None, "as found"): ["2"], (None, "as set"): ["4"], (None, "as left"): ["6"]}
    assert [occasion for _, occasion in found] == ["as found", "as set", "as left"]


@pytest.mark.parametrize(
    ("stated", "mean", "range_", "deviation"),
    [
        # A mean has one decimal more than was stated, where it needs it; a deviation has two figures.
        (("4", "5"), "4.5", "1", ("0.71", True)),
        (("4", "6"), "5", "2", ("1.4", True)),
        (("0.10", "0.11", "0.12"), "0.11", "0.02", ("0.01", False)),
        (("4",), "4", "0", None),
    ],
)
def test_what_repeated_figures_come_to(
    stated: tuple[str, ...], mean: str, range_: str, deviation: tuple[str, bool] | None
) -> None:
    found = summed_up([reading(f"r{number}", text) for number, text in enumerate(stated)])
    assert found.count == len(stated)
    assert (found.mean.text, found.range.text) == (mean, range_)
    assert found.about == (deviation is not None and deviation[1])
    assert (found.deviation and found.deviation.text) == (deviation and deviation[0])


# What became of an entry


def later(seconds: float, id_: str, value: str, corrects: str | None = None) -> ReadingLogged:
    return reading(id_, value, at=AT + timedelta(seconds=seconds), corrects=corrects)


def test_a_corrected_figure_tells_each_value_before_it_and_how_much_later() -> None:
    state = after(later(0, "r1", "14"), later(20, "r2", "41", "r1"), later(20.5, "r3", "4", "r2"))
    assert corrections.history_of_entry(state, state.entries["r3"]) == [
        "corrected from 41 thou, at once",
        "corrected from 14 thou, twenty seconds later",
    ]
    assert corrections.history_of_entry(state, state.entries["r1"]) == ["corrected"]


def test_what_was_taken_back_or_stands_no_more_is_told_first() -> None:
    state = after(
        later(0, "r1", "14"), later(1, "r2", "4", "r1"), StepRedone(at=AT, step="a", stale_steps=("a",)),
        EntryWithdrawn(at=AT, id="r2", why="taken back"),
    )  # fmt: skip
    assert corrections.history_of_entry(state, state.entries["r2"]) == [
        "no longer stands, its step was done again",
        "taken back",
        "corrected from 14 thou, one second later",
    ]


def test_the_history_of_a_job_tells_each_chain_of_corrections_once() -> None:
    state = after(
        later(0, "r1", "14"), later(1, "r2", "4", "r1"), note("x"), parts(8, "out"),
        parts(7, "out", "p2", corrects="p1"),
        fact("owner", "Mrs Wrn"), fact("owner", "Mrs Wren", "f2", corrects="f1"),
        CLEANING, later(2, "r3", "5"), EntryWithdrawn(at=AT, id="r3", why="taken back"),
    )  # fmt: skip
    assert {entry.event.id: told for entry, told in corrections.history_of_job(state)} == {
        "r2": ["corrected from 14 thou, one second later"],
        "p2": ["corrected from 8 out, at once"],
        "f2": ["corrected from Mrs Wrn, at once"],
        "r3": ["taken back"],
    }


def test_a_log_in_which_two_figures_correct_each_other_is_told_to_its_end() -> None:
    state = after(later(0, "r1", "14", "r2"), later(1, "r2", "4", "r1"))
    assert corrections.history_of_entry(state, state.entries["r2"])[-1] == "corrected from 14 thou, one second later"
