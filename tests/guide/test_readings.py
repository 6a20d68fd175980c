"""Blades, tools, deviations, repeated readings and sums at the bench."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handsfree.job.events import ReadingLogged
from tests.support.played import SMALL, Play, Played

PROCEDURE = """
title: Proving of the spindle
item: Bench gauge
revision: 1
steps:
  - id: gap
    do: Measure the gap.
    measure:
      name: gap
      unit: thou
      limits: [3, 5]
      target: 4
      tool: {name: feeler blades, resolution: 0.5 thou, blades: "1 1.5 2 2.5 3 3.5 4 4.5 5 6 thou"}
  - id: bore
    do: Measure the bore.
    measure:
      name: bore
      unit: mm
      limits: [9.80, 10.20]
      tool: {name: rule, resolution: 0.5 mm}
  - id: run-out
    do: Measure the run-out.
    measure:
      name: run out
      unit: thou
      limits: [-3, 3]
      deviation: true
      tool: {name: dial indicator, resolution: 0.25 thou}
  - id: beat
    do: Time ten beats.
    measure: {name: beat, unit: s, limits: [9.8, 10.2], target: 10}
"""

WORKSHOP = """
english: british
tools:
  - name: micrometer
    also: mike
    resolution: 0.01 mm
    uncertainty: 0.02 mm
    range: 0 to 25 mm
  - name: shim box
    shims: 4 x 0.1, 2 x 0.05 mm
"""


@pytest.fixture
def at_bench(make_play: Callable[..., Play]) -> Play:
    return make_play(PROCEDURE, WORKSHOP)


def readings(played: Played) -> list[ReadingLogged]:
    return [event for event in played.events if isinstance(event, ReadingLogged)]


def test_two_blades_bound_a_gap_and_both_ends_are_judged(at_bench: Play) -> None:
    played = at_bench("log gap three and a half goes, four thou won't")
    (event,) = readings(played)
    assert (event.value, event.upper, event.as_said) == ("3.5", "4", "3 1/2 thou goes, 4 thou won't")
    assert played.last == "Gap, between three and a half and four thou. In limits."
    assert at_bench("yes", "read back").last.startswith("Step one: Gap, as set, between three point five and four")


@pytest.mark.parametrize(
    ("said", "decision", "words"),
    [
        # As limit gauges do, a blade of the limit's own size proves the limit (common practice).
        ("log four goes, four and a half won't", "in limits", "In limits."),
        ("log three goes, five won't", "in limits", "In limits."),
        ("log four and a half goes, five won't", "in limits", "In limits."),
        ("log two goes, three won't", "out of limits", "Out of limits, under."),
        ("log five goes, six won't", "undecided", "Undecided, too near the upper limit for the tool."),
        ("log one goes, one and a half won't", "out of limits", "Out of limits, one point five thou under."),
    ],
)
def test_a_gap_is_decided_where_both_ends_agree(at_bench: Play, said: str, decision: str, words: str) -> None:
    played = at_bench(said)
    assert readings(played)[0].decision == decision
    assert words in played.last


def test_the_blade_that_goes_is_the_thinner_one(at_bench: Play) -> None:
    played = at_bench("log five goes, four won't")
    assert played.last == "The blade that goes must be thinner than the one that won't. Not logged."
    assert not readings(played)


def test_a_blade_that_the_set_does_not_have_is_asked_again(at_bench: Play) -> None:
    played = at_bench("log four goes, five and a half won't", "four goes five and a half won't")
    assert played.said[1] == "There is no blade of five and a half thou. Say the figure again."
    assert [event.upper for event in readings(played)] == ["5.5"]


def test_easily_misheard_blades_are_said_twice(at_bench: Play) -> None:
    played = at_bench("log fourteen goes, fifteen won't", "four goes five won't", "four goes five won't")
    assert played.said[1:3] == ["Say the figure again.", "Not the same as before. Say the figure again."]
    assert [(event.value, event.upper) for event in readings(played)] == [("4", "5")]


@pytest.mark.parametrize("feel", ["drags", "free", "binds"])
def test_the_feel_is_logged_with_the_blade(at_bench: Play, feel: str) -> None:
    played = at_bench(f"log gap four thou {feel}", "read back")
    assert [(event.value, event.feel) for event in readings(played)] == [("4", feel)]
    assert played.said[1] == f"Gap, four thou, {feel}. In limits."
    assert played.last.startswith("Step one: Gap, as set, four thou, about")


def test_another_tool_changes_the_decision(at_bench: Play) -> None:
    # 9.9 mm: with the rule (U 0.25) undecided, with the micrometer (U 0.02) in limits (ISO 14253-1).
    played = at_bench("go to step two", "log bore nine point five", "log bore ten", "log bore ten with the micrometer")
    assert [(e.value, e.tool, e.decision) for e in readings(played)][-2:] == [
        ("10", "rule", "undecided"),
        ("10", "micrometer", "in limits"),
    ]
    *_, by_rule, by_micrometer = readings(played)
    assert (by_micrometer.uncertainty, by_micrometer.uncertainty_assumed) == ("0.02 mm", None), "as its tool states it"
    assert (by_rule.uncertainty, by_rule.uncertainty_assumed) == ("0.25 mm", "half the resolution")


def test_a_tool_is_known_by_its_other_names(at_bench: Play) -> None:
    played = at_bench("go to step two", "log ten point nought one with the mike")
    assert readings(played)[0].tool == "micrometer"


def test_a_tool_that_measures_something_else_is_refused(at_bench: Play) -> None:
    played = at_bench("go to step four", "log ten with the micrometer")
    assert played.last == "The micrometer does not measure seconds. Not logged."


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("log nine point nine", "The rule can't show nine point nine millimetres."),
        (
            "log ten point nought nought two with the micrometer",
            "The micrometer can't show ten point nought nought two",
        ),
        ("log twenty six with the micrometer", "Twenty six millimetres is far out of limits."),
    ],
)
def test_a_figure_that_the_tool_cannot_show_is_asked_again(at_bench: Play, said: str, why: str) -> None:
    played = at_bench("go to step two", said)
    assert played.last.startswith(why)
    assert played.last.endswith("Say the figure again.")
    assert not readings(played)


def test_beyond_the_range_of_the_tool_is_asked_again(make_play: Callable[..., Play]) -> None:
    play = make_play(PROCEDURE, WORKSHOP.replace("0 to 25 mm", "0 to 10 mm"))
    played = play("go to step two", "log ten point one with the micrometer", "ten point one")
    assert played.said[2] == "Ten point one millimetres is beyond the range of the micrometer. Say the figure again."
    assert [event.as_said for event in readings(played)] == ["10.1 mm"]


def test_half_a_division_stated_in_another_unit_is_no_doubt(at_bench: Play) -> None:
    # 0.1 mm is 3.94 thou: to one decimal it may well have been four.
    assert readings(at_bench("log gap point one millimetres"))


def test_a_figure_in_the_tools_own_unit_must_be_one_of_its_divisions(at_bench: Play) -> None:
    # Divisions of 0.25 thou: 0.3 is none of them, although 0.25 would be rounded to it; 0.25 and 0.5 are.
    played = at_bench("go to step three", "log plus nought point three thou")
    assert played.last == "The dial indicator can't show nought point three thou. Say the figure again."
    assert not readings(played)


@pytest.mark.parametrize("said", ["plus nought point two five", "minus nought point five", "minus one and a half"])
def test_every_division_of_the_tool_is_taken_at_once(at_bench: Play, said: str) -> None:
    assert len(readings(at_bench("go to step three", f"log {said} thou"))) == 1


def test_plus_and_minus_where_it_is_measured_so(at_bench: Play) -> None:
    played = at_bench("go to step three", "log plus two minus one", "log plus two thou", "log minus one", "log nought")
    assert [(e.value, e.upper, e.as_said) for e in readings(played)] == [
        ("-1", "2", "+2 -1 thou"),
        ("2", None, "+2 thou"),
        ("-1", None, "-1 thou"),
        ("0", None, "0 thou"),
    ]
    assert played.said[2] == "Run out, plus two thou, minus one thou. In limits."


def test_a_deviation_is_from_the_target(make_play: Callable[..., Play]) -> None:
    text = PROCEDURE.replace("limits: [-3, 3]", "limits: [97, 103]\n      target: 100")
    played = make_play(text)("go to step three", "log plus two minus one", "log minus four")
    assert [(e.value, e.upper, e.decision) for e in readings(played)] == [
        ("99", "102", "in limits"),
        ("96", None, "out of limits"),
    ]


def test_plus_where_it_is_not_measured_so_is_refused(at_bench: Play) -> None:
    assert at_bench("log plus two").last == "Gap is not measured as plus and minus. Not logged."


def test_a_figure_without_its_sign_is_refused_where_it_needs_one(at_bench: Play) -> None:
    assert at_bench("go to step three", "log two").last == (
        "Run out is measured from its target: say plus or minus with the figure. Not logged."
    )


def test_minus_where_it_makes_no_sense_is_refused(at_bench: Play) -> None:
    played = at_bench("log minus four thou")
    assert played.last == "Gap can't be minus. Not logged."
    assert not readings(played)


@pytest.mark.parametrize("answer", ["nine point nine five", "log nine point nine five"])
def test_digits_without_their_point_are_asked_back(at_bench: Play, answer: str) -> None:
    played = at_bench("go to step two", "log nine nine five with the micrometer", answer)
    assert played.said[2] == "Nine nine five or nine point nine five, millimetres?"
    assert [event.as_said for event in readings(played)] == ["9.95 mm"]


def test_repeated_readings_are_told_by_when_they_were_taken(at_bench: Play) -> None:
    played = at_bench(
        "log as found three thou", "log three and a half thou", "log four thou", "log four and a half thou",
        "readings of gap",
    )  # fmt: skip
    # By hand: mean of 3.5, 4 and 4.5, and the root of (0.25 + 0.25) / 2.
    assert played.last == (
        "Gap, as found, one reading, three thou. Gap, as set, three readings, mean four point nought thou, "
        "range one point nought thou, standard deviation nought point five thou."
    )


def test_a_gap_between_two_blades_is_told_to_be_left_out_of_the_mean(at_bench: Play) -> None:
    played = at_bench("log three and a half goes, four won't", "readings", "log four thou", "readings")
    assert played.said[2] == "No single readings of gap. One reading between two figures is left out."
    assert played.last == "Gap, as set, one reading, four thou. One reading between two figures is left out."


def test_readings_that_were_taken_back_do_not_count(at_bench: Play) -> None:
    assert at_bench("log four thou", "take back", "readings").last == "No readings of gap."


@pytest.mark.parametrize(
    ("step", "said", "answer"),
    [
        ("one", "convert four thou to millimetres", "Four thou: about nought point one nought two millimetres."),
        ("one", "what is ten thou minus four thou", "Ten thou minus four thou: six thou."),
        ("one", "blades for nine thou", "Blades for nine thou: six and three; or five and four thou."),
        ("two", "shims for point two five", "Shims for nought point two five: two of "
         "nought point one and nought point nought five millimetres."),
        ("two", "travel of m three in two turns", "M three, two turns: one millimetre."),
        ("two", "travel of two start m six in one turn", "M six, two starts, one turn: two millimetres."),
        ("two", "travel of two start point seven millimetres pitch in two turns",
         "Pitch nought point seven millimetres, two starts, two turns: two point eight millimetres."),
        ("one", "travel of point seven pitch in two turns",
         "Say the pitch with its unit, such as point five millimetres."),
        ("one", "what percent is four of five", "Four of five: eighty percent."),
        ("one", "error of ten point one seconds against ten seconds",
         "Ten point one seconds against ten seconds: one percent long."),
        ("four", "error of ten point one", "Ten point one: one percent long."),
        ("four", "percent of target nine point nine", "Nine point nine: ninety nine percent."),
        ("one", "convert four thou to seconds", "Thou measure length, not time."),
        ("one", "blades for one hundred thou", "Blades for one hundred thou: no blades make one hundred thou; nearest "
         "below, thirty three thou from six, five, four point five, four, three point five, three, two point five, "
         "two, one point five and one."),
    ],
)  # fmt: skip
def test_sums_by_voice(at_bench: Play, step: str, said: str, answer: str) -> None:
    played = at_bench(f"go to step {step}", said)
    assert played.last == answer
    assert not readings(played)


def test_a_spring_balance_in_grams_and_one_in_ounces_are_one_tool(make_play: Callable[..., Play]) -> None:
    # Standard gravity (NIST SP 811): 1.5 ozf is 0.4170 N, and 41 gf 0.4021 N.
    text = """
title: Proving of the drag
item: Bench gauge
revision: 1
steps:
  - id: drag
    do: Pull the carriage.
    measure: {name: drag, unit: N, limits: [0.3, 0.45], tool: {name: spring balance, resolution: 1 g}}
"""
    at_bench = make_play(text)
    played = at_bench("log drag one and a half ounces", "log drag forty one grams", "log drag point four newtons")
    logged = readings(played)
    assert [event.decision for event in logged] == ["in limits"] * 3
    assert float(logged[0].value) == pytest.approx(0.4170, abs=5e-5)
    assert float(logged[1].value) == pytest.approx(0.4021, abs=5e-5)


GAUGES = """
title: Proving of the gauge
item: Bench gauge
revision: 1
steps:
  - id: press
    do: Measure the pressure.
    measure: {name: pressure, unit: psi, limits: [15, 30], tool: {name: test gauge, resolution: 0.5 psi}}
  - id: bore
    do: Measure the bore.
    measure: {name: bore, unit: thou, limits: [390, 394.5], tool: {name: micrometer, resolution: 0.01 mm}}
  - id: hole
    do: Measure the hole.
    measure: {name: hole, unit: inch, limits: [5/32, 7/32], tool: {name: rule, resolution: 1/64}}
  - id: play
    do: Measure the play.
    measure: {name: play, unit: hundredth mm, limits: [2, 5], tool: {name: dial, resolution: 0.01 mm}}
"""


def test_readings_in_several_units_are_summed_up_to_what_the_tool_tells_apart(make_play: Callable[..., Play]) -> None:
    # psi by its definition (NIST SP 811): 1.5 bar is 21.7557 psi; mean with 22, and the difference of the two.
    play = make_play(GAUGES)
    played = play("log pressure twenty two", "log pressure one point five bar", "readings", "read back")
    assert played.said[3] == (
        "Pressure, as set, two readings, mean twenty one point nine p s i, range nought point two p s i, "
        "standard deviation about nought point one seven p s i."
    )
    assert (
        played.last == "Step one: Pressure, as set, one point five bar, about twenty one point eight p s i. In limits."
    )


def test_what_is_computed_in_another_unit_has_no_more_digits_than_the_tool_tells(
    make_play: Callable[..., Play],
) -> None:
    # 10.05 mm is 395.669 thou, 1.169 beyond 394.5; half of 0.01 mm is 0.19685 thou, to two figures 0.20 (GUM 7.2.6).
    (event,) = readings(make_play(GAUGES)("go to step two", "log bore ten point oh five millimetres"))
    assert (event.beyond, event.uncertainty, event.as_said) == ("1.17 thou", "0.2 thou", "10.05 mm")


def test_three_thou_is_told_as_no_finer_than_a_micron(at_bench: Play) -> None:
    # 0.0762 mm exactly; common practice on feeler blades is 0.076.
    assert "about nought point nought seven six millimetres" in at_bench("log three thou", "read back").last


def test_parts_of_a_rule_stay_parts(make_play: Callable[..., Play]) -> None:
    play = make_play(GAUGES)
    played = play("go to step three", "log six thirty seconds of an inch", "log eleven sixty fourths of an inch",
                  "readings", "log one quarter of an inch")  # fmt: skip
    assert "range a sixty fourth of an inch" in played.said[4]
    # 1/4 is 1/32 beyond 7/32.
    assert [(e.as_said, e.limits, e.beyond) for e in readings(played)][::2] == [
        ("3/16 in", "5/32 to 7/32 in", None),
        ("1/4 in", "5/32 to 7/32 in", "1/32 in"),
    ]


def test_hundredths_are_written_as_decimals_and_spoken_as_they_were_said(make_play: Callable[..., Play]) -> None:
    played = make_play(GAUGES)("go to step four", "log three", "read back")
    (event,) = readings(played)
    assert (event.as_said, event.limits) == ("0.03 mm", "0.02 to 0.05 mm")
    assert "three hundredths of a millimetre" in played.last


TIMES = """
title: Proving of the beat
item: Bench gauge
revision: 1
steps:
  - id: gap
    do: Measure the gap.
    measure: {name: gap, unit: thou, limits: [0.2, 5]}
  - id: beat
    do: Time it.
    measure: {name: beat, unit: s, limits: [100, 150]}
  - id: angle
    do: Measure the angle.
    measure: {name: angle, unit: degree, limits: [30, 31]}
"""


@pytest.mark.parametrize(
    ("step", "said", "as_said", "value", "words"),
    [
        ("one", "log gap six ten-thousandths", "0.6 thou", "0.6", "Gap, six tenths of a thou. In limits."),
        ("one", "log gap 0.1 mm", "0.1 mm", None, "Gap, nought point one millimetres. In limits."),
        ("one", "log gap 2 1/2 thou", "2 1/2 thou", "2.5", "Gap, two and a half thou. In limits."),
        ("two", "log beat 2:10", "2 min 10 s", "130", "Beat, two minutes ten seconds. In limits."),
        ("two", "log beat two minutes ten seconds", "2 min 10 s", "130", "Beat, two minutes ten seconds. In limits."),
        ("three", "log angle 30° 15′", "30° 15′", "30.25",
         "Angle, thirty degrees fifteen arc minutes, three nought, one five. In limits."),
    ],
)  # fmt: skip
def test_figures_are_what_was_said_or_typed(
    make_play: Callable[..., Play], *, step: str, said: str, as_said: str, value: str | None, words: str
) -> None:
    played = make_play(TIMES)(f"go to step {step}", said)
    assert played.last == words
    (event,) = readings(played)
    assert (event.as_said, event.decision) == (as_said, "in limits")
    assert value is None or event.value == value


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("log gap 4,5 thou", "4,5 can't be read: write 4.5 with a point, or the figures one by one."),
        ("log beat 2:75", "2:75 can't be read as a figure: write one figure, such as 2.5, 3/8 or 2:10."),
        ("log gap 1.2.3 thou", "1.2.3 can't be read as a figure: write one figure, such as 2.5, 3/8 or 2:10."),
    ],
)
def test_a_typed_figure_that_cannot_be_read_is_told_so(make_play: Callable[..., Play], typed: str, why: str) -> None:
    played = make_play(TIMES)(typed)
    assert played.last == why
    assert not readings(played)


COVER = """
title: Opening of the gauge
item: Bench gauge
revision: 1
steps:
  - id: open
    do: Take the cover off.
    fasteners:
      - {count: 3, size: M2 x 5}
      - {count: 1, size: M2 x 8, head: cheese head}
      - {count: 2, size: M3, head: hexagon nut}
  - id: look
    do: Look inside.
"""


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("four screws out", "Four screws out."),
        ("three screws out", "Three screws out. This step lists four screws."),
        ("five screws out", "Five screws out. This step lists four screws."),
        ("one nut out", "One nut out. This step lists two nuts."),
        ("one washer out", "One washer out."),
    ],
)
def test_a_count_is_compared_with_the_fasteners_of_the_step(
    make_play: Callable[..., Play], said: str, answer: str
) -> None:
    assert make_play(COVER)(said).last == answer


def test_counts_at_one_step_are_added_up_and_other_steps_list_nothing(make_play: Callable[..., Play]) -> None:
    assert "lists" not in make_play(COVER)("three screws out", "one screw out").last
    assert "lists" not in make_play(COVER)("go to step two", "three screws out").last


def test_a_fraction_is_said_as_one_wherever_it_is_told(make_play: Callable[..., Play]) -> None:
    play = make_play(GAUGES)
    played = play("go to step three", "log five thirty seconds of an inch", "read back", "review the job")
    assert "five thirty seconds of an inch" in played.said[2]
    assert "five thirty seconds of an inch" in played.said[3]
    assert not any("one five six" in said for said in played.said)


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        # By the avoirdupois pound of 453.59237 g (NIST SP 811).
        ("convert one pound four ounces to grams", "One pound four ounces: about five hundred and sixty seven grams."),
        ("convert two minutes ten seconds to seconds", "Two minutes ten seconds: one hundred and thirty seconds."),
        ("convert two hundred grams to ounces", "Two hundred grams: about seven point nought five ounces."),
    ],
)
def test_what_is_converted_may_be_in_units_of_the_trade_and_in_two(
    make_play: Callable[..., Play], said: str, answer: str
) -> None:
    text = SMALL.replace("unit: mm, at most: 0.5", "unit: gf, at most: 500")
    assert make_play(text)(said).last == answer


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("timer bath a minute and a half", "Timer bath, one minute and thirty seconds."),
        ("timer bath one thirty seconds", "Timer bath, one minute and thirty seconds."),
        ("timer bath eleven thirty seconds", "Timer bath, eleven minutes and thirty seconds."),
        ("timer bath one hundred and thirty seconds", "Timer bath, two minutes and ten seconds."),
        ("timer bath two and a half hours", "Timer bath, two hours and thirty minutes."),
        ("timer bath three quarters of an hour", "Timer bath, forty five minutes."),
    ],
)
def test_a_timer_takes_times_as_people_say_them(play: Play, said: str, told: str) -> None:
    assert play(said).last == told


ANOTHER = """
title: Two clearances
item: x
revision: 1
steps:
  - id: set
    do: Set both.
    measure: [{name: inlet, unit: thou, limits: [3, 5]}, {name: exhaust, unit: thou, limits: [5, 7]}]
  - {id: gap, do: Set the gap., measure: [{name: plug gap, unit: thou, limits: [24, 26], target: 25}]}
"""


INLET_IS_ELSEWHERE = "The figure was not written. Inlet is measured at step one."


@pytest.mark.parametrize(
    ("asked", "answer", "told"),
    [
        # The figure far out of limits, once more; but it is of something else.
        ("log plug gap six thou", "log inlet six thou", INLET_IS_ELSEWHERE),
        (
            "log plug gap two five oh",
            "log inlet two five",
            "The figure was not written. Inlet is measured at step one.",
        ),
        ("log plug gap four mils", "log inlet four thou", INLET_IS_ELSEWHERE),
    ],
)
def test_an_answer_that_names_something_else_is_no_answer(
    make_play: Callable[..., Play], asked: str, answer: str, told: str
) -> None:
    played = make_play(ANOTHER)("go to step two", asked, answer)
    assert played.last.startswith(told)
    assert readings(played) == []


def test_an_answer_that_names_another_characteristic_of_the_step_is_a_reading_of_that(
    make_play: Callable[..., Play],
) -> None:
    played = make_play(ANOTHER)("log inlet one hundred thou", "log exhaust six thou")
    assert played.said[-2] == "One hundred thou is far out of limits. Say the figure again."
    assert played.last == "The figure was not written. Exhaust, six thou. In limits."
    assert [event.characteristic for event in readings(played)] == ["exhaust"]
