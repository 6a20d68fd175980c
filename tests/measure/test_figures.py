"""Units, limits and the one formatter, against values from outside."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.formatting import in_other_system, spoken_with_other, written
from handsfree.measure.limits import Decision, Limits, judge
from handsfree.measure.units import UNITS, UnitError, convert, difference_in, in_use, meanings, settled, si, unit


@pytest.mark.parametrize(
    ("value", "source", "target", "expected"),
    [
        # International yard and pound agreement, 1959: the inch is 25.4 mm exactly (NIST SP 811, B.6).
        (1, "inch", "mm", Fraction("25.4")),
        (1, "thou", "mm", Fraction("0.0254")),
        (4, "thou", "mm", Fraction("0.1016")),
        # Standard gravity 9.80665 m/s2 exactly (NIST SP 811): one gram-force is 0.00980665 N.
        (1, "gf", "N", Fraction("0.00980665")),
        # The same agreement: the pound is 0.45359237 kg exactly, the ounce a sixteenth, the foot 12 inches.
        (1, "lb", "kg", Fraction("0.45359237")),
        (16, "oz", "lb", 1),
        (1, "oz", "g", Fraction("28.349523125")),
        (1, "ft", "inch", 12),
        # Pound and kilogram under standard gravity; the torques follow.
        (1, "lbf", "N", Fraction("0.45359237") * Fraction("9.80665")),
        (1, "kgf", "N", Fraction("9.80665")),
        (16, "ozf", "lbf", 1),
        (1, "lbf ft", "lbf in", 12),
        (1, "lbf ft", "N m", Fraction("0.45359237") * Fraction("9.80665") * Fraction("0.3048")),
        (100, "cN m", "N m", 1),
        (1, "psi", "kPa", Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2 / 1000),
        # Prefixes of the SI; the bar is 100 kPa by definition.
        (1, "mbar", "hPa", 1),
        (1, "bar", "hPa", 1000),
        (1000, "mV", "V", 1),
        # Definitions: 60 minutes of arc a degree, 360 degrees a turn, water freezes at 32 Fahrenheit.
        (1, "degree", "arcminute", 60),
        (1, "turn", "degree", 360),
        (32, "°F", "°C", 0),
        (-40, "°F", "°C", -40),
    ],
)
def test_exact_conversions(value: int, source: str, target: str, expected: Fraction) -> None:
    assert convert(Fraction(value), source, target) == Fraction(expected)


@pytest.mark.parametrize(
    ("source", "target", "factor"),
    [
        # NIST SP 811, appendix B.8, to the seven figures printed there.
        ("ozf", "N", 2.780139e-01),
        ("ozf in", "N m", 7.061552e-03),
        ("lbf in", "N m", 1.129848e-01),
        ("psi", "kPa", 6.894757e00),
        ("thou", "cm", 2.54e-03),
        ("gf", "N", 9.80665e-03),
        # From memory of the same table.
        ("lbf", "N", 4.448222e00),
        ("lbf ft", "N m", 1.355818e00),
        ("lb", "kg", 4.535924e-01),
        ("oz", "kg", 2.834952e-02),
        # "Conventional" millimetre and inch of mercury, and inch of water.
        ("mmHg", "hPa", 1.333224e00),
        ("inHg", "kPa", 3.386389e00),
        ("inH2O", "hPa", 2.490889e00),
    ],
)
def test_factors_of_nist_sp_811(source: str, target: str, factor: float) -> None:
    assert float(convert(Fraction(1), source, target)) == pytest.approx(factor, rel=5e-7)


def test_the_traps_of_pint_are_avoided() -> None:
    # To pint a "mil" may be an angle, and ounce times inch is mass times length.
    registry = pint.UnitRegistry()
    assert registry.Quantity(1, "oz * inch").dimensionality != registry.Quantity(1, "N m").dimensionality
    for key in UNITS:
        kind, dimensions = UNITS[key].kind, registry.parse_expression(UNITS[key].pint).dimensionality
        if kind == "length":
            assert dimensions == {"[length]": 1}, key
        elif kind == "torque":
            assert dimensions == {"[mass]": 1, "[length]": 2, "[time]": -2}, key
        elif kind == "force":
            assert dimensions == {"[mass]": 1, "[length]": 1, "[time]": -2}, key
    assert "mil" not in UNITS


def test_every_pair_of_units_agrees_with_pint_in_floats() -> None:
    # An independent way through the same library: float registry, offsets by Quantity.to.
    registry = pint.UnitRegistry()
    for a in UNITS.values():
        for b in UNITS.values():
            if a.kind == b.kind and a.kind != "count":
                if b.kind == "temperature":
                    expected = registry.Quantity(7.0, a.pint).to(b.pint).magnitude
                else:
                    ratio = registry.parse_expression(a.pint) / registry.parse_expression(b.pint)
                    expected = 7.0 * registry.Quantity(ratio).to("dimensionless").magnitude
                assert float(convert(Fraction(7), a.key, b.key)) == pytest.approx(expected, rel=1e-9), (a.key, b.key)


def test_a_second_a_day_is_a_part_in_86400() -> None:
    assert si(Fraction(1), "s/d") == (pytest.approx(1 / 86400, rel=1e-15), "1")
    assert si(Fraction(1), "s/d")[0] == pytest.approx(11.574074e-6, rel=1e-7)


def test_every_conversion_there_and_back_is_exact() -> None:
    for a in UNITS.values():
        for b in UNITS.values():
            if a.kind == b.kind:
                assert convert(convert(Fraction(7), a.key, b.key), b.key, a.key) == 7, (a.key, b.key)
                # Not a long decimal that was cut off: the factors are ratios of what is defined.
                assert a.kind == "speed" or convert(Fraction(1), a.key, b.key).denominator < 10**20, (a.key, b.key)


def test_one_scale_of_hardness_is_not_taken_for_another() -> None:
    with pytest.raises(UnitError, match="vickers measure Vickers hardness, not Rockwell C hardness"):
        convert(Fraction(700), "HV", "HRC")


def test_grams_are_a_force_where_a_force_is_measured() -> None:
    # Standard gravity 9.80665 m/s2 (NIST SP 811).
    assert in_use(Figure(Fraction(40), 0, "g"), "N").unit == "gf"
    assert in_use(Figure(Fraction(2), 0, "oz"), "gf").unit == "ozf"
    assert in_use(Figure(Fraction(40), 0, "g"), "oz").unit == "g"


@pytest.mark.parametrize(
    ("value", "key", "si_value", "symbol"),
    # NIST SP 811: definitions and, for psi, appendix B.8 to the seven figures printed there.
    [("20", "°C", 293.15, "K"), ("68", "°F", 293.15, "K"), ("180", "degree", 3.14159265358979, "rad"),
     ("1", "thou", 2.54e-5, "m"), ("60", "rpm", 6.28318530717959, "rad/s"), ("50", "percent", 0.5, "1"),
     ("2", "ml", 2e-6, "m³"), ("1", "psi", 6894.757, "Pa"), ("1", "h", 3600, "s"), ("5", "kohm", 5000, "Ω"),
     ("700", "HV", 700, "HV"), ("3", "dB", 3, "dB")],
)  # fmt: skip
def test_a_value_in_the_unit_of_the_si(value: str, key: str, si_value: float, symbol: str) -> None:
    assert si(Fraction(value), key) == (pytest.approx(si_value, rel=1e-7), symbol)


@pytest.mark.parametrize(
    ("word", "measured_in", "means"),
    [
        ("degrees", "degree", "degree"), ("degrees", "°C", "°C"), ("degree", "°F", "°F"), ("degrees", "mm", "degree"),
        ("minutes", "h", "min"), ("minute", "degree", "arcminute"), ("minutes", "mm", "min"),
        ("hundredths", "mm", "hundredth mm"), ("hundredth", "cm", "hundredth mm"),
        ("hundredths", "micron", "hundredth mm"),
        # A hundredth at an inch bench, a tenth and a mil anywhere: nobody can know.
        ("hundredths", "inch", None), ("hundredths", "thou", None), ("tenths", "mm", None), ("mils", "mm", None),
    ],
)  # fmt: skip
def test_an_ambiguous_unit_is_settled_only_by_what_is_measured(word: str, measured_in: str, means: str | None) -> None:
    assert settled(word, measured_in) == means
    figure = in_use(Figure(Fraction(4), 0, None, word), measured_in)
    assert (figure.unit, figure.ambiguous_unit) == ((means, None) if means else (None, word))


def test_what_an_ambiguous_unit_may_mean() -> None:
    assert meanings("degrees") == ("degree", "°C", "°F")
    assert meanings("minute") == ("min", "arcminute")
    assert set(meanings("mil")) == {"mm", "thou"}
    assert set(meanings("hundredths")) == {"hundredth mm", "hundredth inch"}


def test_a_figure_without_a_unit_is_in_that_of_the_place_and_one_with_a_unit_keeps_it() -> None:
    assert in_use(Figure(Fraction(4)), "thou").unit == "thou"
    assert in_use(Figure(Fraction(4), 0, "mm"), "thou").unit == "mm"


def test_an_unknown_unit_names_those_there_are() -> None:
    with pytest.raises(UnitError, match=r"unit 'furlong' is not known; known units: thou, inch, mm"):
        unit("furlong")


def test_a_unit_is_said_in_all_its_ways_once() -> None:
    assert unit("Hz").spoken_forms == ("hertz",)
    assert unit("°C").spoken_forms == ("degree celsius", "degrees celsius", "celsius")


def test_units_of_different_kinds_do_not_convert() -> None:
    with pytest.raises(UnitError, match="seconds measure time, not length"):
        convert(Fraction(1), "s", "mm")


def test_a_step_of_a_thermometer_is_no_temperature() -> None:
    # A kelvin and a degree Celsius are the same step, and nine degrees Fahrenheit are five of them (NIST SP 811, B.8).
    assert difference_in(Fraction(5), "°C", "°F") == 9
    assert difference_in(Fraction(9), "°F", "°C") == 5
    assert difference_in(Fraction(2), "thou", "mm") == convert(Fraction(2), "thou", "mm")


def test_what_is_counted_does_not_become_a_length() -> None:
    with pytest.raises(UnitError, match="a count measure count, not length"):
        convert(Fraction(4), "count", "mm")


def test_four_thou_is_taken_as_0_102_mm_at_the_bench() -> None:
    # Common practice; exactly it is 0.1016 mm.
    assert spoken_with_other(Figure(Fraction(4), 0, "thou")) == (
        "four thou, about nought point one nought two millimetres"
    )
    other = in_other_system(Figure(Fraction(4), 0, "thou"))
    assert other is not None
    assert (written(other[0]), other[1]) == ("0.102 mm", True)


def test_an_exact_conversion_is_not_called_about() -> None:
    assert spoken_with_other(Figure(Fraction(10), 0, "thou")) == "ten thou, nought point two five four millimetres"


def _zones(value: Fraction, low: Fraction | None, high: Fraction | None, u: Fraction) -> Decision:
    """ISO 14253-1, written down anew: conformity inside the limits less U, non-conformity beyond them plus U."""
    if low is None and high is None:
        return Decision.NO_LIMITS
    conforms = (low is None or value >= low + u) and (high is None or value <= high - u)
    fails = (low is not None and value < low - u) or (high is not None and value > high + u)
    return Decision.OUT if fails else Decision.IN if conforms else Decision.UNDECIDED


_TENTHS = st.integers(-100, 100).map(lambda n: Fraction(n, 10))


@given(_TENTHS, st.none() | _TENTHS, st.none() | _TENTHS, st.integers(0, 20).map(lambda n: Fraction(n, 10)))
def test_the_zones_of_iso_14253_1(value: Fraction, low: Fraction | None, high: Fraction | None, u: Fraction) -> None:
    if low is not None and high is not None and low > high:
        low, high = high, low
    assert judge(value, Limits(low, high, None, u)).decision == _zones(value, low, high, u)


def test_a_verdict_says_which_way_and_by_how_much() -> None:
    verdict = judge(Fraction(7), Limits(Fraction(3), Fraction(5), Fraction(4), Fraction(1, 4)))
    assert (verdict.decision, verdict.side, verdict.beyond) == (Decision.OUT, "high", 2)


@given(st.integers(-(10**9), 10**9), st.integers(0, 6))
def test_a_stated_figure_comes_back_from_its_text_unchanged(digits: int, places: int) -> None:
    figure = Figure(Fraction(digits, 10**places), places, "mm")
    assert figure_from_text(figure.text, "mm") == figure
