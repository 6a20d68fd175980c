"""Bench sums: blades, shims, threads, percentages."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.sums.answer import work_out
from handsfree.measure.sums.asked import Convert, ErrorOf, Percent, PieceCombination, Setting, SumError, Total, Travel
from handsfree.measure.sums.pieces import SetError, stacks
from handsfree.measure.threads import ThreadError, fastener_size, metric, spoken_size, threads


def mm(text: str) -> Figure:
    return Figure(Fraction(text), len(text.partition(".")[2]), "mm")


def thou(value: int | Fraction) -> Figure:
    return Figure(Fraction(value), 0 if Fraction(value).denominator == 1 else None, "thou")


@given(st.lists(st.integers(1, 12), min_size=1, max_size=8), st.integers(1, 40))
def test_stacks_are_what_trying_every_combination_finds(pieces: list[int], thickness: int) -> None:
    every = [combination for n in range(1, len(pieces) + 1) for combination in combinations(pieces, n)]
    fits = [each for each in every if sum(each) == thickness]
    found = stacks(Fraction(thickness), [Fraction(piece) for piece in pieces])
    if fits:
        fewest = min(map(len, fits))
        expected = {tuple(sorted(each)) for each in fits if len(each) == fewest}
        assert found.exact is not None
        assert {tuple(sorted(map(int, way))) for way in found.exact.ways} == expected
        assert len(found.exact.ways) == len(expected)
        return
    assert found.exact is None
    sums = {sum(each): len(each) for each in sorted(every, key=len, reverse=True)}
    below = max((total for total in sums if total < thickness), default=None)
    above = min((total for total in sums if total > thickness), default=None)
    assert (found.below and (found.below.thickness, found.below.count)) == (below and (below, sums[below]))
    assert (found.above and (found.above.thickness, found.above.count)) == (above and (above, sums[above]))


@given(st.lists(st.integers(1, 9), min_size=1, max_size=8), st.integers(1, 40))
def test_no_piece_is_used_more_often_than_it_is_there(pieces: list[int], thickness: int) -> None:
    found = stacks(Fraction(thickness), [Fraction(piece) for piece in pieces])
    for stack in filter(None, (found.exact, found.below, found.above)):
        for way in stack.ways:
            assert not Counter(map(int, way)) - Counter(pieces)
            assert sum(way) == stack.thickness


def test_sets_that_nothing_can_be_made_of_are_refused() -> None:
    with pytest.raises(SetError, match="no pieces"):
        stacks(Fraction(1), [])
    with pytest.raises(SetError, match="not thicker than nought"):
        stacks(Fraction(1), [Fraction(0)])


BLADES = Setting(blades=tuple(map(mm, ("0.05", "0.10", "0.15", "0.20", "0.25", "0.30"))))


def test_all_ways_with_the_fewest_blades_are_told() -> None:
    done = work_out(PieceCombination("blades", mm("0.35")), BLADES)
    assert done.written == "0.30 + 0.05; 0.25 + 0.10; 0.20 + 0.15 mm"
    assert done.spoken.startswith("nought point three nought and nought point nought five; or ")


def test_where_no_blades_make_it_the_nearest_are_told() -> None:
    assert work_out(PieceCombination("blades", mm("0.27")), BLADES).written == (
        "no blades make 0.27 mm; nearest below: 0.25 mm; nearest above: 0.3 mm"
    )


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        ("0.30", "one blade, nought point three nought millimetres"),
        ("0.90", "nought point three nought, nought point two five, nought point two nought and "
         "nought point one five millimetres"),
        ("0.65", "nought point three nought, nought point two five and nought point one nought; or "
         "nought point three nought, nought point two nought and nought point one five millimetres"),
        ("0.02", "no blades make nought point nought two millimetres; nearest above, nought point nought five "
         "millimetres"),
        ("0.37", "no blades make nought point three seven millimetres; nearest below, nought point three five "
         "millimetres from nought point three nought and nought point nought five; nearest above, nought point four "
         "millimetres from nought point three nought and nought point one nought"),
    ],
)  # fmt: skip
def test_the_blades_are_read_out(wanted: str, said: str) -> None:
    assert work_out(PieceCombination("blades", mm(wanted)), BLADES).spoken == said


def test_the_nearest_blades_are_shown_as_a_sum_where_they_are_several() -> None:
    assert work_out(PieceCombination("blades", mm("0.37")), BLADES).written == (
        "no blades make 0.37 mm; nearest below: 0.35 mm = 0.30 + 0.05; nearest above: 0.4 mm = 0.30 + 0.10"
    )


def test_three_ways_are_said_and_all_are_shown() -> None:
    # Two of nine blades from 1 to 9 make ten in four ways (9 + 1 to 6 + 4); five would be needed twice.
    nine = Setting(blades=tuple(thou(n) for n in range(1, 10)))
    done = work_out(PieceCombination("blades", thou(10)), nine)
    assert done.spoken == "nine and one; or eight and two; or seven and three thou; and one more way"
    assert done.written == "9 + 1; 8 + 2; 7 + 3; 6 + 4 thou"


def test_a_thickness_in_another_unit_or_in_none_is_made_of_the_blades() -> None:
    assert work_out(PieceCombination("blades", thou(4)), BLADES).written == (
        "no blades make 4 thou; nearest below: 0.1 mm; nearest above: 0.15 mm"
    )
    assert work_out(PieceCombination("blades", Figure(Fraction(1, 5), 1)), BLADES).written == "0.20 mm"


def test_shims_without_a_unit_are_in_that_of_the_place() -> None:
    place = Setting(unit="mm", shims=(Figure(Fraction(1)), Figure(Fraction(1))))
    assert work_out(PieceCombination("shims", Figure(Fraction(2))), place).spoken == "two of one millimetres"


def test_an_empty_set_and_a_thickness_of_nought_are_told() -> None:
    with pytest.raises(SumError, match="the set of shims is empty"):
        work_out(PieceCombination("shims", mm("1")), Setting(shims=()))
    with pytest.raises(SumError, match="not more than nought"):
        work_out(PieceCombination("blades", mm("0")), BLADES)


def test_a_set_too_large_to_search_is_told_instead_of_searched() -> None:
    with pytest.raises(SetError, match="81 pieces; 80 is the most"):
        stacks(Fraction(5), [Fraction(1)] * 81)
    assert stacks(Fraction(80), [Fraction(1)] * 80).exact is not None
    # Twenty four pieces of which no two sums are the same make sixteen million.
    with pytest.raises(SetError, match="too many different thicknesses"):
        stacks(Fraction(2**24 - 1), [Fraction(2**n) for n in range(24)])


@pytest.mark.parametrize(
    ("size", "pitch"),
    # ISO 261, coarse pitches in millimetres.
    [
        ("1", "0.25"), ("1.2", "0.25"), ("1.4", "0.3"), ("1.6", "0.35"), ("2", "0.4"), ("2.5", "0.45"), ("3", "0.5"),
        ("4", "0.7"), ("5", "0.8"), ("6", "1"), ("8", "1.25"), ("10", "1.5"),
    ],
)  # fmt: skip
def test_a_turn_of_a_metric_thread_goes_its_coarse_pitch(size: str, pitch: str) -> None:
    turn = Figure(Fraction(1), 0, "turn")
    assert work_out(Travel(turn, metric(size))).figure.value == Fraction(pitch)
    # Of a two-start thread it goes twice as far.
    assert work_out(Travel(turn, metric(size), starts=2)).figure.value == 2 * Fraction(pitch)


def test_ba_pitches_are_powers_of_nine_tenths_to_two_figures() -> None:
    # BS 93 (from memory): the pitch of number n is 0.9 to the power n, in millimetres, to two figures.
    ba = [thread for thread in threads() if thread.written.endswith(" BA")]
    assert [float(thread.pitch) for thread in ba] == [float(f"{0.9**n:.2g}") for n in range(17)]


def test_inch_threads_go_an_inch_in_so_many_turns() -> None:
    # The designation says it: 6-32 has 32 threads an inch, and the inch is 25.4 mm (NIST SP 811).
    sizes = {thread.written: thread for thread in threads()}
    assert 32 * sizes["6-32"].pitch == 20 * sizes["1/4-20"].pitch == Fraction("25.4")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("M2 x 5", "M two by five"),
        ("M1.6x3", "M one point six by three"),
        ("M8 x 1 x 20", "M eight, pitch one by twenty"),
        ("8 BA x 3/16 in", "eight B A by three sixteenths"),
        ("6-32 x 1/4", "six thirty two by a quarter"),
        ("1/4-20 UNC x 1 1/2", "quarter twenty by one and a half"),
        ("1/4 BSW x 1 in", "quarter Whitworth by one inch"),
        ("3/16 BSF", "three sixteenths B S F"),
        ("pillar screw, third wheel", "pillar screw, third wheel"),
        ("0.9 x 2.4 watch", "0.9 x 2.4 watch"),
    ],
)
def test_fastener_sizes_as_they_are_spoken(written: str, said: str) -> None:
    assert spoken_size(written) == said


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("m3", "M three"),
        # The coarse pitch needs no saying, a fine one does.
        ("M3 x 0.5 x 8", "M three by eight"),
        ("M3 x 0.35 x 8", "M three, pitch nought point three five by eight"),
        ("M2 by 6", "M two by six"),
        ("M2 × 1", "M two by one"),
        ("ba 4", "four B A"),
        ("No. 4 BA", "four B A"),
        ("8 BA x 1 in", "eight B A by one inch"),
        ("8 BA x 1.5 inch", "eight B A by one point five inches"),
        ("8 BA x 6 mm", "eight B A by six"),
        ('3/16" whitworth x 1/2"', "three sixteenths Whitworth by a half"),
        ("#4-40 UNC", "four forty"),
        # What is nobody's size, or has a length that is none, is said as it stands.
        ("6 x 9 x 10 x 3", "6 x 9 x 10 x 3"),
        ("M2 x long", "M2 x long"),
        ("M2 x 3/0", "M2 x 3/0"),
        ("M3 x 0.5 x 8 x 2", "M3 x 0.5 x 8 x 2"),
        # A size that its family does not have is for the checker to tell, not for the ear.
        ("4-41", "4-41"),
    ],
)
def test_sizes_may_be_written_in_many_ways(written: str, said: str) -> None:
    assert spoken_size(written) == said


@pytest.mark.parametrize(
    ("size", "pitch"),
    # BS 84 (from memory): threads an inch. BS 93 (from memory): millimetres.
    [("1/8 BSW", Fraction("25.4") / 40), ("1/4 bsf", Fraction("25.4") / 26), ("3/8 whit", Fraction("25.4") / 16),
     ("0 BA", Fraction(1)), ("10 BA", Fraction("0.35")), ("M8 x 1 x 20", Fraction(1)), ("M8 x 20", Fraction("1.25"))],
)  # fmt: skip
def test_a_size_has_the_pitch_of_its_thread(size: str, pitch: Fraction) -> None:
    thread = fastener_size(size).thread
    assert thread is not None
    assert thread.pitch == pitch


@pytest.mark.parametrize(
    ("size", "why"),
    [
        ("6-33 x 1/4", '"6-33" is not a size of its family'),
        ("17 BA", '"17 BA" is not a size of its family'),
        ("1/16 BSF", '"1/16 BSF" is not a size of its family'),
        ("M3.7", '"M3.7" is no metric size with a coarse pitch of its own'),
        ("M8 x 12 x 3", '"12" is no pitch in millimetres'),
    ],
)
def test_a_size_that_its_family_does_not_have_is_told(size: str, why: str) -> None:
    with pytest.raises(ThreadError, match=why):
        fastener_size(size)


def test_a_metric_size_without_a_coarse_pitch_may_have_one_of_its_own() -> None:
    thread = fastener_size("M9 x 0.75 x 10").thread
    assert thread is not None
    assert (thread.written, thread.pitch) == ("M9 x 0.75", Fraction(3, 4))


@pytest.mark.parametrize(
    ("asked", "written"),
    [
        (Convert(thou(4), "mm"), "about 0.102 mm"),  # common practice at the bench
        (Convert(thou(10), "mm"), "0.254 mm"),
        (Total(thou(4), thou(Fraction(1, 2))), "4.5 thou"),
        (Total(mm("0.30"), mm("0.05"), -1), "0.25 mm"),
        (Total(Figure(Fraction(10)), thou(4), -1), "6 thou"),
        (Percent(thou(4), thou(5)), "80 %"),
        (Percent(thou(1), thou(3)), "about 33.3 %"),
        (ErrorOf(Figure(Fraction("1.05"), 2, "s"), Figure(Fraction(1), 0, "s")), "5 %"),
        (Travel(Figure(Fraction(3), 0, "turn"), pitch=mm("0.5")), "1.5 mm"),
        (Travel(Figure(Fraction(3)), pitch=thou(20)), "60 thou"),
        (Travel(Figure(Fraction(1, 2), None, "turn"), metric("2")), "0.2 mm"),
        (Total(Figure(Fraction(10)), Figure(Fraction(4))), "14"),
        # Thirds of a millimetre are no way of writing in the trade: rounded, and said to be.
        (Total(mm("10"), Figure(Fraction(1, 3), None, "mm")), "about 10.3 mm"),
        (Total(mm("0.500"), mm("0.25")), "0.750 mm"),
        (Total(mm("0.25"), mm("0.500")), "0.750 mm"),
        # In the unit of the first, three significant figures or as many as it has.
        (Total(figure_from_text("1", "inch"), thou(4), -1), "0.996 in"),
        (Total(thou(4), mm("0.1")), "about 7.94 thou"),
        (Total(figure_from_text("12.345", "thou"), mm("0.1")), "about 16.282 thou"),
        (Percent(Figure(Fraction(4)), Figure(Fraction(5))), "80 %"),
        # A unit said once goes for both.
        (Percent(Figure(Fraction(4)), thou(5)), "80 %"),
        (Percent(thou(4), Figure(Fraction(5))), "80 %"),
        (Percent(figure_from_text("1", "inch"), mm("50.8")), "50 %"),
        (ErrorOf(mm("4"), mm("4")), "no error"),
    ],
)
def test_sums(asked: object, written: str) -> None:
    assert work_out(asked).written == written  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("asked", "exact"),
    [
        (Convert(thou(4), "mm"), Fraction("0.1016")),
        (Percent(thou(1), thou(3)), Fraction(100, 3)),
        (ErrorOf(mm("4"), mm("3")), Fraction(100, 3)),
        (Travel(Figure(Fraction(1, 3), None, "turn"), pitch=mm("0.5")), Fraction(1, 6)),
        (Total(thou(4), mm("0.1")), 4 + Fraction(1000, 254)),
    ],
)
def test_what_had_to_be_rounded_is_called_about_and_its_exact_value_is_kept(asked: object, exact: Fraction) -> None:
    done = work_out(asked)  # type: ignore[arg-type]
    assert done.about
    assert done.spoken.startswith("about ")
    assert done.written.startswith("about ")
    assert done.exact == exact != done.figure.value


def test_the_unit_of_the_place_goes_without_saying() -> None:
    place = Setting(unit="thou", target=thou(8))
    assert work_out(Total(Figure(Fraction(10)), Figure(Fraction(4)), -1), place).written == "6 thou"
    assert work_out(Percent(Figure(Fraction(4))), place).written == "50 %"
    assert work_out(ErrorOf(thou(9)), place).spoken == "twelve point five percent over"
    # Of millimetres, hundredths can only be hundredths of a millimetre.
    hundredths = Convert(Figure(Fraction(50), 0, None, "hundredths"), "mm")
    assert work_out(hundredths, Setting(unit="mm")).written == "0.5 mm"


def test_a_figure_is_over_or_under_another() -> None:
    assert work_out(ErrorOf(mm("5"), mm("4"))).spoken == "twenty five percent over"
    assert work_out(ErrorOf(mm("4"), mm("5"))).spoken == "twenty percent under"
    assert work_out(ErrorOf(mm("4"), mm("5"))).written == "-20 %"
    assert work_out(ErrorOf(mm("4"), mm("4"))).spoken == "no error"


def test_a_share_of_a_weight_is_told_where_one_of_the_two_is_a_force() -> None:
    # One gram weighs 9.80665 mN by standard gravity (CGPM 1901; NIST SP 811, table of conversions).
    newtons, grams = Figure(Fraction(2), 0, "N"), Figure(Fraction(300), 0, "g")
    assert work_out(Percent(newtons, grams)).exact == Fraction("2") / (300 * Fraction("0.00980665")) * 100
    assert work_out(Percent(grams, newtons)).exact == 300 * Fraction("0.00980665") / 2 * 100


def test_a_timed_interval_is_long_or_short() -> None:
    second = Figure(Fraction(1), 0, "s")
    assert work_out(ErrorOf(Figure(Fraction("0.98"), 2, "s"), second)).spoken == "two percent short"
    assert work_out(ErrorOf(Figure(Fraction("1020"), 0, "ms"), second)).spoken == "two percent long"


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        (Convert(thou(4), "s"), "thou measure length, not time"),
        (Convert(Figure(Fraction(4)), "mm"), "say the figure with its unit"),
        (PieceCombination("shims", mm("0.1")), "no set of shims is stated"),
        (Percent(thou(4)), "no target"),
        (Percent(thou(4), thou(0)), "percentage of nought"),
        (Travel(thou(4), metric("3")), "how many turns"),
        (Convert(Figure(Fraction(4), 0, None, "mils"), "mm"), "more than one thing"),
        (Travel(Figure(Fraction(2))), "say the pitch with its unit"),
        (Travel(Figure(Fraction(2)), pitch=Figure(Fraction(2))), "say the pitch with its unit"),
        (Travel(Figure(Fraction(2)), pitch=Figure(Fraction(2), 0, "s")), "say the pitch with its unit"),
        (Total(Figure(Fraction(20), 0, "°C"), Figure(Fraction(5), 0, "°C")), "temperatures are not added"),
        (Total(mm("10"), Figure(Fraction(4), 0, "s")), "seconds measure time, not length"),
    ],
)
def test_a_sum_without_an_answer_says_why(asked: object, why: str) -> None:
    with pytest.raises(SumError, match=why):
        work_out(asked)  # type: ignore[arg-type]
