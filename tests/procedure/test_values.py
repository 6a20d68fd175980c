"""Numbers, names, units and times as procedure files write them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.units import UNITS
from handsfree.procedure import values
from handsfree.procedure.model import Characteristic, Fastener, Step

decimals = st.decimals(min_value=-(10**6), max_value=10**6, allow_nan=False, places=4)


@given(decimals, st.integers(0, 4))
def test_a_number_keeps_its_value_and_its_stated_decimals(number: Decimal, places: int) -> None:
    written = f"{number:.{places}f}"
    figure = values.exact_figure(written)
    assert (figure.value, figure.decimals) == (Fraction(written), places)
    assert Fraction(figure.text) == Fraction(written)


@given(st.integers(1, 63), st.integers(0, 20))
def test_inch_fractions_are_exact(part: int, whole: int) -> None:
    assert values.exact_figure(f"{part}/64").value == Fraction(part, 64)
    assert values.exact_figure(f"{whole} {part}/64").value == whole + Fraction(part, 64)


def test_a_figure_in_two_units_is_told_in_both() -> None:
    figure = values.figure_with_unit("2 min 10.5 s")
    assert (figure.value, figure.unit, figure.decimals, figure.larger) == (Fraction("130.5"), "s", 1, "min")
    turned = values.figure_with_unit("-1 ft 2 in")
    assert (turned.value, turned.unit, turned.larger) == (-14, "inch", "ft")
    assert values.figure_with_unit("130.5 s").larger is None


def test_numbers_given_in_code_are_exact_and_binary_floats_are_refused() -> None:
    assert values.exact_figure(3).text == "3"
    assert values.exact_figure(Decimal("0.10")).text == "0.10"
    assert values.exact_figure(Fraction(1, 3)).value == Fraction(1, 3)
    with pytest.raises(ValueError, match="not as a binary float"):
        values.exact_figure(0.1)


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("1,5", "write 1.5 with a point"),
        (".5", "write 0.5"),
        ("-.5", "write -0.5"),
        ("2 thou", 'the unit goes under "unit"'),
        ("two", "must be a number such as"),
        ("nan", "must be a number such as"),
        ("1e3", "must be a number such as"),
        ("1/0", "must be a number"),
        ("", "must be a number"),
        (True, "not true"),
        ([1], "not a list"),
    ],
)
def test_what_is_no_number_is_refused_with_the_way_to_write_it(written: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        values.exact_figure(written)


@given(st.lists(st.text("abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=9), min_size=1, max_size=4))
def test_names_of_up_to_four_words_are_taken_and_case_and_hyphens_do_not_count(words: list[str]) -> None:
    assert values.spoken_name("-".join(words).upper()) == " ".join(words)


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("gap 2", "write numbers as words"),
        ("gap/play", "letters a to z"),
        ("größe", "letters a to z"),
        ("one long name for play", "at most 4 words"),
        ("  ", "is empty"),
        (["a"], "must be text"),
    ],
)
def test_a_name_that_can_not_be_said_is_refused(written: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        values.spoken_name(written)


@given(st.sampled_from([(key, form) for key, unit in UNITS.items() for form in (key, *unit.spoken_forms) if form]))
def test_every_spoken_form_of_a_unit_is_a_way_to_write_it(pair: tuple[str, str]) -> None:
    key, form = pair
    assert values.unit_key(form) == key


@pytest.mark.parametrize(
    ("written", "key"),
    [("Ncm", "N cm"), ("Newton-centimetres", "N cm"), ("Millimetres", "mm"), ("MM", "mm"), ("Inches", "inch"),
     ("mV", "mV"), ("V", "V"), ("mNm", "mN m"), ("Nm", "N m"), ("°", "degree")],
)  # fmt: skip
def test_obvious_spellings_of_units_are_taken(written: str, key: str) -> None:
    assert values.unit_key(written) == key


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("mil", 'write "mm" or "thou"'),
        ("tenths", 'write "tenth thou" or "tenth mm"'),
        ("thuo", 'did you mean "thou"'),
        ("furlongs per fortnight", "known units are thou, inch, mm"),
    ],
)
def test_an_unknown_or_ambiguous_unit_is_refused_with_what_to_write(written: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        values.unit_key(written)


@given(st.integers(0, 300), st.integers(0, 59), st.integers(0, 59))
def test_times_add_up_as_pint_adds_them(hours: int, minutes: int, seconds: int) -> None:
    registry = pint.get_application_registry()
    total = hours * registry.hour + minutes * registry.minute + seconds * registry.second
    written = f"{hours} hours, {minutes} min and {seconds}s"
    if total.to("second").magnitude:
        assert values.seconds(written) == round(total.to("second").magnitude)


@pytest.mark.parametrize(("written", "seconds"), [("10 minutes", 600), ("1.5 h", 5400), ("90s", 90), ("1 Hour", 3600)])
def test_times_in_usual_spellings(written: str, seconds: int) -> None:
    assert values.seconds(written) == seconds


@pytest.mark.parametrize("written", ["ten minutes", "10", "10 fortnights", "0 s", "0.5 s", "900 hours", "", "5 min x"])
def test_what_is_no_time_is_refused(written: str) -> None:
    with pytest.raises(ValueError, match=r"is not a length of time|must be a whole number of seconds|is empty"):
        values.seconds(written)


@pytest.mark.parametrize(
    ("size", "thread", "length"),
    [("M2 x 5", "M2", "5"), ("M2 × 5", "M2", "5"), ("8 BA x 3/16 in", "8 BA", "3/16 in"), ("6-32 x 1/4", "6-32", "1/4"),
     ("M18", "M18", None)],
)  # fmt: skip
def test_a_fastener_knows_its_thread_and_length(size: str, thread: str, length: str | None) -> None:
    fastener = Fastener(size=size)
    assert (fastener.thread, fastener.length, fastener.count) == (thread, length, 1)


def test_a_tool_given_in_another_unit_counts_in_the_unit_of_the_characteristic() -> None:
    taken = Characteristic.model_validate(
        {"name": "gap", "unit": "thou", "limits": ["1.5", "3"], "tool": {"name": "gauge", "resolution": "0.0254 mm"}}
    )
    assert taken.resolution == 1  # 1 thou is 0.0254 mm exactly (NIST SP 811)
    assert taken.uncertainty == Fraction(1, 2)
    assert taken.limits.low == Fraction(3, 2)


def test_a_step_in_degrees_celsius_is_a_difference_and_not_a_temperature() -> None:
    taken = Characteristic.model_validate(
        {"name": "heat", "unit": "fahrenheit", "tool": {"name": "probe", "resolution": "5 °C"}}
    )
    assert taken.resolution == 9


def test_steps_can_be_made_in_code_by_their_own_names_and_are_immutable() -> None:
    step = Step(id="a", act="Fit it.", rests_on=("b",), reason="It falls out otherwise.")
    assert (step.act, step.rests_on) == ("Fit it.", ("b",))
    with pytest.raises(ValueError, match="frozen"):
        step.act = "Leave it."


@pytest.mark.parametrize(
    ("value", "said"),
    [("x" * 40, f'"{"x" * 40}"'), ("x" * 41, "a long text"), (True, "true"), (False, "false"), ([], "a list"),
     ((), "a list"), ({}, "a group of keys"), (7, "7")],
)  # fmt: skip
def test_what_stands_in_the_file_is_called_by_its_kind(value: object, said: str) -> None:
    assert values.kind_of(value) == said


def test_a_text_is_one_line_that_says_something() -> None:
    assert values.text("  Fit the\n  gib. ") == "Fit the gib."
    assert values.text(7) == "7"
    for wrong, why in ((True, "must be text, not true; put it in quotes"), (None, "must be text"), (" ", "is empty")):
        with pytest.raises(ValueError, match=why):
            values.text(wrong)


def test_a_thing_is_named_without_its_article() -> None:
    assert [values.thing(said) for said in ("the Pinion", "A hole", "an arm", "Theodolite")] == [
        "pinion", "hole", "arm", "theodolite",
    ]  # fmt: skip


def test_a_word_is_taken_for_the_nearest_one_or_for_none() -> None:
    assert values.nearest_word("Slid", ["gib", "Slide"]) == "Slide"
    assert values.nearest_word("zither", ["gib", "slide"]) is None


@pytest.mark.parametrize(
    ("said", "value", "unit"),
    [("0.02 mm", "0.02", "mm"), ("0.5", "0.5", None), ("1/4 in", "0.25", "inch"), ("1 1/2thou", "1.5", "thou"),
     (" 3 ", "3", None), (4, "4", None)],
)  # fmt: skip
def test_a_figure_may_bring_its_unit(said: object, value: str, unit: str | None) -> None:
    figure = values.figure_with_unit(said)
    assert (figure.text, figure.unit) == (value, unit)


def test_a_figure_that_is_one_already_stays_as_it_is() -> None:
    figure = values.exact_figure("1.50")
    assert values.exact_figure(figure) is figure
    assert values.exact_figure(Fraction(3)).decimals == 0
    assert values.exact_figure(Fraction(1, 3)).decimals is None


@pytest.mark.parametrize(("written", "number"), [("1", 1), (12, 12), (" 9999 ", 9999)])
def test_a_count_is_a_whole_number_from_one(written: object, number: int) -> None:
    assert values.count(written) == number


@pytest.mark.parametrize("written", ["0", 0, "-1", "1.5", "ten", True, "10000", ""])
def test_what_is_no_count_is_refused(written: object) -> None:
    with pytest.raises(ValueError, match="must be a whole number from one"):
        values.count(written)


@pytest.mark.parametrize(("written", "answer"), [(True, True), ("Yes", True), ("no", False), (False, False)])
def test_yes_and_no_are_true_and_false(written: object, answer: bool) -> None:
    assert values.yes_or_no(written) is answer


def test_what_is_neither_yes_nor_no_is_refused() -> None:
    with pytest.raises(ValueError, match='must be true or false, not "maybe"'):
        values.yes_or_no("maybe")


def test_the_longest_wait_is_a_fortnight() -> None:
    assert values.seconds("336 hours") == 14 * 24 * 3600
    with pytest.raises(ValueError, match="from one second to 14 days"):
        values.seconds("336 hours 1 s")
    assert values.seconds("1 s") == 1


def test_a_size_in_another_unit_is_taken_as_a_difference() -> None:
    assert values.in_unit(values.figure_with_unit("0.5"), "thou") == Fraction(1, 2)
    assert values.in_unit(values.figure_with_unit("1 °C"), "°F") == Fraction(9, 5)
    # Standard gravity 9.80665 m/s2 (NIST SP 811).
    assert values.in_unit(values.figure_with_unit("1 g"), "N") == Fraction("0.00980665")


def test_units_are_found_without_regard_to_case_spaces_and_hyphens() -> None:
    assert values.unit_or_none("newton-Metres") == "N m"
    assert values.unit_or_none("lbf·ft") == "lbf ft"
    assert values.unit_or_none("furlong") is None
