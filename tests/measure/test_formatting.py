"""How figures are said and shown: "four and a half thou", "about nought point one nought two millimetres".

The expected words are those that a person at a British bench would use (common practice); the values behind the
conversions are exact by definition (inch of 25.4 mm).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.figure import Figure, decimal_text, figure_from_text
from handsfree.measure.formatting import (
    confusable_digits,
    converted,
    figure_shown,
    in_decimals,
    in_other_system,
    number_words,
    number_written,
    one_and_many,
    range_words,
    range_written,
    rounded,
    size_written,
    spoken,
    spoken_with_other,
    written,
)
from handsfree.measure.units import unit


def decimal(text: str, unit: str | None = None) -> Figure:
    return figure_from_text(text, unit)


def fraction(text: str, unit: str | None = None) -> Figure:
    return Figure(Fraction(text), None, unit)


@pytest.mark.parametrize(
    ("figure", "said", "shown"),
    [
        (decimal("0", "mm"), "nought millimetres", "0 mm"),
        (decimal("1", "mm"), "one millimetre", "1 mm"),
        (decimal("1.0", "mm"), "one point nought millimetres", "1.0 mm"),
        (decimal("2", "inch"), "two inches", "2 in"),
        (decimal("-4.5", "thou"), "minus four point five thou", "-4.5 thou"),
        (decimal("0.10", "mm"), "nought point one nought millimetres", "0.10 mm"),
        (decimal("5"), "five", "5"),
        (decimal("5", "count"), "five", "5"),
        (decimal("12", "rpm"), "twelve r p m", "12 rpm"),
        (fraction("1/2", "inch"), "half an inch", "1/2 in"),
        (fraction("1/2", "thou"), "half a thou", "1/2 thou"),
        (fraction("3/4", "inch"), "three quarters of an inch", "3/4 in"),
        (fraction("5/64", "inch"), "five sixty fourths of an inch", "5/64 in"),
        (fraction("1/8"), "an eighth", "1/8"),
        (fraction("3/2", "thou"), "one and a half thou", "1 1/2 thou"),
        (fraction("7/3", "mm"), "two and a third millimetres", "2 1/3 mm"),
        (fraction("-3/2", "inch"), "minus one and a half inches", "-1 1/2 in"),
        (fraction("2", "mm"), "two millimetres", "2 mm"),
        # Parts with a name of their own, as times are given in fractions of a second.
        (fraction("1/25", "s"), "a twenty fifth of a second", "1/25 s"),
        (fraction("1/30", "s"), "a thirtieth of a second", "1/30 s"),
        (fraction("1/125", "s"), "a hundred and twenty fifth of a second", "1/125 s"),
        (fraction("1/250", "s"), "a two hundred and fiftieth of a second", "1/250 s"),
        (fraction("1/300", "s"), "a three hundredth of a second", "1/300 s"),
        (fraction("1/200", "s"), "a two hundredth of a second", "1/200 s"),
        (fraction("1/900", "s"), "a nine hundredth of a second", "1/900 s"),
        # Tenths, hundredths and thousandths are said of units that nobody has other names for.
        (fraction("1/10", "inch"), "a tenth of an inch", "1/10 in"),
        (fraction("3/10", "inch"), "three tenths of an inch", "3/10 in"),
        (fraction("3/100", "cm"), "three hundredths of a centimetre", "3/100 cm"),
        (fraction("3/1000", "degree"), "three thousandths of a degree", "3/1000°"),
        # ... and not where they would be taken for a unit: a hundredth of an inch, a thou, a tenth of a millimetre.
        (fraction("1/100", "inch"), "one over one hundred inches", "1/100 in"),
        (fraction("1/1000", "inch"), "one over one thousand inches", "1/1000 in"),
        (fraction("3/10", "mm"), "three over ten millimetres", "3/10 mm"),
        # What has no name is said as it would be read.
        (fraction("7/20", "mm"), "seven over twenty millimetres", "7/20 mm"),
        (fraction("27/20", "mm"), "twenty seven over twenty millimetres", "1 7/20 mm"),
        # Signs that stand by their figure.
        (decimal("30", "°C"), "thirty degrees celsius", "30°C"),
        (decimal("1.5", "degree"), "one point five degrees", "1.5°"),
        (fraction("5/2", "arcminute"), "two and a half arc minutes", "2 1/2′"),
    ],
)
def test_a_figure_is_said_and_shown_as_it_was_stated(figure: Figure, said: str, shown: str) -> None:
    assert spoken(figure) == said
    assert written(figure) == shown


def in_two_parts(value: str, unit: str, larger: str, decimals: int | None = 0) -> Figure:
    return Figure(Fraction(value), decimals, unit, larger=larger)


@pytest.mark.parametrize(
    ("figure", "said", "shown"),
    [
        (in_two_parts("1815", "arcminute", "degree"), "thirty degrees fifteen arc minutes", "30° 15′"),
        (in_two_parts("1800", "arcminute", "degree"), "thirty degrees", "30°"),
        (in_two_parts("-75", "arcminute", "degree"), "minus one degree fifteen arc minutes", "-1° 15′"),
        # Where nothing stands before them, the minutes have the sign.
        (in_two_parts("-15", "arcminute", "degree"), "nought degrees minus fifteen arc minutes", "0° -15′"),
        (in_two_parts("90", "s", "min"), "one minute thirty seconds", "1 min 30 s"),
        (in_two_parts("181/2", "s", "min", None), "one minute thirty and a half seconds", "1 min 30 1/2 s"),
        (in_two_parts("121/2", "s", "min", None), "one minute and a half second", "1 min 1/2 s"),
        (in_two_parts("40", "oz", "lb"), "two pounds eight ounces", "2 lb 8 oz"),
    ],
)
def test_a_figure_in_two_parts_is_said_and_shown_in_two(figure: Figure, said: str, shown: str) -> None:
    assert (spoken(figure), written(figure)) == (said, shown)


@pytest.mark.parametrize(
    ("arc_minutes", "digits"),
    [("1815", "three nought, one five"), ("1800", "three nought"), ("783", "one three"), ("65", None)],
)
def test_each_part_of_a_figure_is_told_apart_digit_by_digit(arc_minutes: str, digits: str | None) -> None:
    assert confusable_digits(in_two_parts(arc_minutes, "arcminute", "degree")) == digits


@pytest.mark.parametrize(
    ("figure", "said", "shown"),
    [
        (decimal("2", "hundredth mm"), "two hundredths of a millimetre", "0.02 mm"),
        (decimal("3", "tenth mm"), "three tenths of a millimetre", "0.3 mm"),
        (decimal("15", "hundredth inch"), "fifteen hundredths of an inch", "0.15 in"),
        (decimal("2.5", "tenth thou"), "two point five tenths of a thou", "0.25 thou"),
        (fraction("5/2", "tenth thou"), "two and a half tenths of a thou", "0.25 thou"),
    ],
)
def test_tenths_and_hundredths_of_a_unit_are_said_as_such_and_shown_as_its_decimals(
    figure: Figure, said: str, shown: str
) -> None:
    assert (spoken(figure), written(figure)) == (said, shown)
    assert number_written(figure) == shown.split(maxsplit=1)[0]


@pytest.mark.parametrize(
    ("figure", "target", "step", "text", "rounded_off"),
    [
        # A blade of half a thou tells a hundredth of a millimetre; three figures are kept in any case.
        (decimal("4", "thou"), "mm", "1/2", "0.102", True),
        (decimal("0.10", "mm"), "thou", "0.01", "3.94", True),
        (decimal("20", "°C"), "°F", "1/2", "68", False),
        (decimal("4", "thou"), "thou", "1", "4", False),
    ],
)
def test_a_converted_figure_is_as_fine_as_the_tool(
    figure: Figure, target: str, step: str, text: str, rounded_off: bool
) -> None:
    made, about = converted(figure, target, Fraction(step))
    assert (made.text, about) == (text, rounded_off)


def test_a_unit_is_said_of_one_and_of_many() -> None:
    assert one_and_many("inch") == ("inch", "inches")
    assert one_and_many("thou") == ("thou", "thou")


@pytest.mark.parametrize(
    ("figure", "other"),
    [
        (decimal("1", "mm"), "one millimetre, about thirty nine point four thou"),
        (decimal("9.99", "mm"), "nine point nine nine millimetres, about three hundred and ninety three thou"),
        # From ten millimetres upwards nobody counts in thou.
        (decimal("10", "mm"), "ten millimetres, about nought point three nine four inches"),
        (decimal("-10", "mm"), "minus ten millimetres, about minus nought point three nine four inches"),
        (fraction("1/2", "inch"), "half an inch, twelve point seven millimetres"),
        (decimal("30", "°C"), "thirty degrees celsius, eighty six degrees fahrenheit"),
        # Nought is nought in any unit of length, but not of temperature.
        (decimal("0", "mm"), "nought millimetres"),
        (decimal("0", "°C"), "nought degrees celsius, thirty two degrees fahrenheit"),
        # No other system has another unit for these.
        (decimal("3", "s"), "three seconds"),
        (decimal("3"), "three"),
    ],
)
def test_the_other_system_is_told_where_there_is_one(figure: Figure, other: str) -> None:
    assert spoken_with_other(figure) == other


@pytest.mark.parametrize(
    ("figure", "target", "becomes", "about"),
    [
        # Three significant figures at least.
        (decimal("1", "inch"), "mm", "25.4 mm", False),
        (fraction("1/3", "inch"), "mm", "8.47 mm", True),
        (decimal("0.00001", "inch"), "mm", "0.000254 mm", False),
        (decimal("123456", "micron"), "mm", "123 mm", True),
        # As many as were stated, if more: the places before the point and the noughts after it are none of them.
        (decimal("12.345", "mm"), "thou", "486.02 thou", True),
        (decimal("0.01234", "inch"), "mm", "0.3134 mm", True),
        (decimal("-1.2345", "inch"), "mm", "-31.356 mm", True),
        # Noughts at the end say nothing.
        (decimal("25.40", "mm"), "thou", "1000 thou", False),
        (decimal("25.4", "mm"), "inch", "1 in", False),
        # A whole figure is never less than it is.
        (decimal("31", "mm"), "micron", "31000 µm", False),
        (decimal("40", "inch"), "thou", "40000 thou", False),
        # Nothing to convert.
        (decimal("1.50", "mm"), "mm", "1.50 mm", False),
        (decimal("1.50"), "mm", "1.50", False),
    ],
)
def test_a_converted_figure_is_as_precise_as_what_was_stated(
    figure: Figure, target: str, becomes: str, about: bool
) -> None:
    result, had_to_be_rounded = converted(figure, target)
    assert (written(result), had_to_be_rounded) == (becomes, about)


def test_what_cannot_be_converted_usefully_has_no_other_system() -> None:
    assert in_other_system(decimal("0", "thou")) is None
    assert in_other_system(decimal("4", "kg")) is None
    assert in_other_system(decimal("4")) is None


@pytest.mark.parametrize(
    ("exact", "figures", "shown"),
    [
        ("2/3", 3, "0.667 mm"),
        ("2/3", 5, "0.66667 mm"),
        ("2/3", 1, "0.667 mm"),
        ("0.1", 3, "0.1 mm"),
        ("1/30", 3, "0.0333 mm"),
        ("1/300", 3, "0.00333 mm"),
        ("10/3", 3, "3.33 mm"),
        ("99.96", 3, "100 mm"),
        ("12345.6", 3, "12346 mm"),
        ("0", 3, "0 mm"),
        ("-2/3", 3, "-0.667 mm"),
    ],
)
def test_a_computed_figure_has_three_significant_figures_or_as_many_as_are_wanted(
    exact: str, figures: int, shown: str
) -> None:
    figure, about = rounded(Fraction(exact), "mm", figures)
    assert written(figure) == shown
    assert about == (figure.value != Fraction(exact))


@pytest.mark.parametrize(
    ("number", "digits"),
    [
        (12, None), (13, "one three"), (15, "one five"), (19, "one nine"), (20, None), (21, None), (30, "three nought"),
        (31, None), (40, "four nought"), (90, "nine nought"), (99, None), (100, None), (113, None),
        (-13, "one three"), (-30, "three nought"), (-31, None),
    ],
)  # fmt: skip
def test_thirteen_and_thirty_are_told_apart_digit_by_digit(number: int, digits: str | None) -> None:
    assert confusable_digits(Figure(Fraction(number))) == digits


def test_a_figure_with_a_part_is_not_taken_for_a_teen() -> None:
    assert confusable_digits(decimal("13.5")) is None
    assert confusable_digits(fraction("27/2")) is None


@given(st.integers(-400, 400), st.sampled_from([1, 2, 3, 4, 5, 7, 8, 25]), st.sampled_from(["thou", "mm", "inch", "s"]))
def test_what_is_shown_is_what_was_stated_in_one_way_of_writing(count: int, parts: int, key: str) -> None:
    stated = Figure(Fraction(count, parts), None, key)
    shown = figure_shown(stated)
    # A result that was kept as it was stated is shown alike.
    assert shown == in_decimals(written(stated))
    number, _, symbol = shown.rpartition(" ")
    assert symbol == unit(key).symbol
    whole, _, part = number.rpartition(" ")
    size = abs(Fraction(whole or 0)) + abs(Fraction(part))
    assert size == abs(stated.value)
    fraction_stays = key in ("inch", "s") or stated.value.denominator in (3, 7, 25)
    assert ("/" in number) == (fraction_stays and stated.value.denominator != 1)


@pytest.mark.parametrize(
    ("low", "high", "said", "shown"),
    [
        (fraction("3/2", "thou"), decimal("3", "thou"), "one and a half to three thou", "1.5 to 3 thou"),
        (decimal("0.50", "mm"), decimal("0.8", "mm"), "nought point five nought to nought point eight millimetres",
         "0.50 to 0.8 mm"),
        (decimal("2", "thou"), None, "at least two thou", "at least 2 thou"),
        (None, decimal("1", "mm"), "at most one millimetre", "at most 1 mm"),
        (None, None, "no limits", "none"),
    ],
)  # fmt: skip
def test_limits_are_said_and_shown(low: Figure | None, high: Figure | None, said: str, shown: str) -> None:
    assert range_words(low, high) == said
    assert range_written(low, high) == shown


def test_numbers_of_any_size_are_said() -> None:
    assert number_words(Fraction(1105), 0) == "one thousand one hundred and five"
    assert number_words(Fraction(2005), 0) == "two thousand and five"
    assert number_words(Fraction("0.05"), 2) == "nought point nought five"
    # From a million on the figures are said one by one.
    assert number_words(Fraction(1_000_000), 0) == "one nought nought nought nought nought nought"
    assert number_words(Fraction(999_999), 0) == "nine hundred and ninety nine thousand nine hundred and ninety nine"


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        (decimal("0.10"), "0.10"),
        (decimal("7"), "7"),
        (fraction("3/8"), "0.375"),
        (fraction("5/64"), "0.078125"),
        (fraction("1/3"), "1/3"),
        (fraction("-7/3"), "-7/3"),
        (fraction("2"), "2"),
        # Twelve decimals is the longest that is written out.
        (fraction("1/4096"), "0.000244140625"),
        (fraction("1/8192"), "1/8192"),
    ],
)
def test_the_text_of_a_figure_is_exact(figure: Figure, text: str) -> None:
    assert figure.text == text
    assert figure_from_text(text).value == figure.value


def test_a_text_that_is_no_number_is_no_figure() -> None:
    for text in ("Infinity", "NaN"):
        with pytest.raises(ValueError, match="not a finite number"):
            figure_from_text(text)


def test_a_figure_from_its_text_has_the_decimals_that_are_written() -> None:
    assert figure_from_text("0.50", "mm") == Figure(Fraction(1, 2), 2, "mm")
    assert figure_from_text("1E+2").decimals == 0
    assert figure_from_text("1/2", "mm") == Figure(Fraction(1, 2), None, "mm")
    # Half to even, as in the log.
    assert [decimal_text(Fraction(text), 1) for text in ("0.25", "0.35", "-0.25")] == ["0.2", "0.4", "-0.2"]


@pytest.mark.parametrize(
    ("stated", "shown"),
    [
        ("2 1/2 thou", "2.5 thou"),
        ("1/2 thou", "0.5 thou"),
        ("3 1/2 thou goes, 4 thou won't", "3.5 thou goes, 4 thou won't"),
        ("-1 1/4 N m", "-1.25 N m"),
        ("5/32 in", "5/32 in"),
        ("1 1/2 in", "1 1/2 in"),
        ("0.10 mm", "0.10 mm"),
    ],
)
def test_halves_are_shown_as_the_limits_are_and_those_of_an_inch_as_they_are_read(stated: str, shown: str) -> None:
    assert in_decimals(stated) == shown


@pytest.mark.parametrize(
    ("size", "shown"),
    [
        ("M2 x 5", "M2 × 5"),
        ("M2x5", "M2 × 5"),
        ("8 BA x 3/16 in", "8 BA × 3/16 in"),
        ("6-32 × 1/4", "6-32 × 1/4"),
        ("M18", "M18"),
        ("Hex 5, 2 stop screws, M1.6 x 3", "Hex 5, 2 stop screws, M1.6 × 3"),
    ],
)
def test_a_size_is_written_in_one_way(size: str, shown: str) -> None:
    assert size_written(size) == shown
