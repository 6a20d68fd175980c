"""Bench sums: blades, shims, threads, percentages."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.figure import Figure
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
    assert done.spoken.startswith("two blades: nought point three nought and nought point nought five; or ")


def test_where_no_blades_make_it_the_nearest_are_told() -> None:
    assert work_out(PieceCombination("blades", mm("0.27")), BLADES).written == (
        "no blades make 0.27 mm; nearest below: 0.25 mm; nearest above: 0.3 mm"
    )


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


def test_a_size_that_its_family_does_not_have_is_told() -> None:
    with pytest.raises(ThreadError, match="6-33"):
        fastener_size("6-33 x 1/4")


@pytest.mark.parametrize(
    ("asked", "written"),
    [
        (Convert(thou(4), "mm"), "about 0.102 mm"),  # common practice at the bench
        (Convert(thou(10), "mm"), "0.254 mm"),
        (Total(thou(4), thou(Fraction(1, 2))), "4 1/2 thou"),
        (Total(mm("0.30"), mm("0.05"), -1), "0.25 mm"),
        (Total(Figure(Fraction(10)), thou(4), -1), "6 thou"),
        (Percent(thou(4), thou(5)), "80 %"),
        (Percent(thou(1), thou(3)), "about 33.3 %"),
        (ErrorOf(Figure(Fraction("1.05"), 2, "s"), Figure(Fraction(1), 0, "s")), "5 %"),
        (Travel(Figure(Fraction(3), 0, "turn"), pitch=mm("0.5")), "1.5 mm"),
    ],
)
def test_sums(asked: object, written: str) -> None:
    assert work_out(asked).written == written  # type: ignore[arg-type]


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
    ],
)
def test_a_sum_without_an_answer_says_why(asked: object, why: str) -> None:
    with pytest.raises(SumError, match=why):
        work_out(asked)  # type: ignore[arg-type]
