"""The owner's page: what stands on it, in which order, and what is left out first where there is too much."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import pytest

from handsfree.job.counter.charges import Charge
from handsfree.job.state import fold
from handsfree.procedure.file.loader import parse_procedure
from handsfree.review.findings import Finding, FindingKind
from handsfree.review.pages.owner import (
    MOST_OF_A_KIND,
    OwnerPart,
    Row,
    measured_rows,
    owner_part,
)
from handsfree.review.record import record_of
from handsfree.review.record_lines import FactLine, FigureLine, ProcedureLine, StepLine
from handsfree.review.source import procedure_of
from tests.support.story import OPENED

EMPTY = record_of({OPENED.procedure_name: procedure_of(OPENED)}, fold([OPENED]), [OPENED], job="2026-11-25-1")
BOXES = [("wide", "Item", ["gauge"]), ("wide", "Owner", ["Mill Lane"])]


def figure(said: str, name: str = "end float", **slots: Any) -> FigureLine:
    usual = {
        "id": f"{name} {said}", "characteristic": name, "procedure": "setting", "occasion": "as set", "unit": "thou",
        "value": said.split(maxsplit=1)[0], "as_said": said, "low": "2", "high": "5", "limits": "2 to 5 thou",
        "decision": "in limits", "state": "standing",
    }  # fmt: skip
    nothing = {field.name: None for field in dataclasses.fields(FigureLine)}
    return FigureLine(**{**nothing, **usual, **slots})


def over(said: str, by: str, name: str = "end float", **slots: Any) -> FigureLine:
    return figure(said, name, decision="out of limits", beyond=by, side="high", **slots)


def undecided(said: str, name: str = "end float", **slots: Any) -> FigureLine:
    return figure(said, name, decision="undecided", beyond="0 thou", side="high", **slots)


def fact(about: str, text: str, severity: str | None = None, **slots: Any) -> FactLine:
    usual = {"id": text, "at": "", "amount": None, "to_type": False, "state": "standing", "clip": None, "by": None}
    return FactLine(**{**usual, "about": about, "text": text, "severity": severity, **slots})


def point(kind: FindingKind, text: str, say: str = "", *, number: int = 1, entry: str | None = None) -> Finding:
    return Finding(kind, f"s{number}", number, text=text, say=say, entry=entry, procedure="setting")


def of_figure(kind: FindingKind, line: FigureLine) -> Finding:
    return point(kind, f"{line.name}: {line.as_said}", entry=line.id)


def page(boxes: Sequence[tuple[str, str, Sequence[str]]] = BOXES, **slots: Any) -> OwnerPart:
    options = {name: slots.pop(name) for name in ("say", "remarks", "charges") if name in slots}
    blank: dict[str, Any] = {"procedures": (), "steps": ()}
    return owner_part(dataclasses.replace(EMPTY, **{**blank, **slots}), {}, boxes=boxes, **options)


# what was measured
def shown(*lines: FigureLine) -> list[tuple[str | None, str | None, int]]:
    rows = measured_rows(lines)
    return [(row.found and row.found.as_said, row.left and row.left.as_said, row.repeated) for row in rows]


def test_what_was_found_and_what_is_left_stand_in_one_row_for_each_place() -> None:
    found = figure("9 thou", occasion="as found")
    assert shown(found, figure("4 thou"), figure("3 thou", place="back")) == [
        ("9 thou", "4 thou", 1), (None, "3 thou", 1),
    ]  # fmt: skip
    assert shown(found) == [("9 thou", None, 1)]
    apart = figure("8 thou", occasion="as found", procedure="apart", judged_by="setting")
    assert shown(apart, figure("4 thou")) == [("8 thou", "4 thou", 1)]
    named = figure("8 thou", "front play", occasion="as found", procedure="apart", judged_by="setting",
                   judged_as="end float, front")  # fmt: skip
    assert shown(named, figure("4 thou", place="front")) == [("8 thou", "4 thou", 1)]
    assert measured_rows([named, figure("4 thou", place="front")])[0].name == "end float, front"
    other = figure("8 thou", occasion="as found", procedure="apart")
    assert shown(other, figure("4 thou")) == [("8 thou", None, 1), (None, "4 thou", 1)]


def test_what_no_longer_stands_has_no_row() -> None:
    assert shown(figure("9 thou", state="taken back")) == []
    assert shown(figure("9 thou", state="corrected"), figure("4 thou", state="provisional")) == [(None, "4 thou", 1)]


@pytest.mark.parametrize(
    ("lines", "worst"),
    [
        # Of those that prove the same the one farther out, then the newest.
        ([over("7 thou", "2 thou"), over("9 thou", "4 thou"), over("8 thou", "3 thou")], "9 thou"),
        ([figure("3 thou"), undecided("5 thou"), figure("4 thou")], "5 thou"),
        ([over("6 thou", "1 thou"), undecided("5 thou")], "6 thou"),
        ([figure("3 thou"), figure("4 thou")], "4 thou"),
        ([over("7 thou", "2 thou"), over("0 thou", "2 thou", id="low")], "0 thou"),
        # What is out by another unit can't be compared: it is taken for the least.
        ([over("6 thou", "1 thou"), over("0.3 mm", "9 mm")], "6 thou"),
    ],
)
def test_of_repeated_readings_the_worst_is_told(lines: list[FigureLine], worst: str) -> None:
    assert shown(*lines) == [(None, worst, len(lines))]


def test_only_the_readings_of_the_last_occasion_are_what_is_left() -> None:
    assert shown(
        over("9 thou", "4 thou"), figure("4 thou", occasion="as left"), figure("3 thou", occasion="as left")
    ) == [(None, "3 thou", 2)]


@pytest.mark.parametrize(
    ("row", "verdict"),
    [
        (Row(None, figure("4 thou"), 1), "in limits"),
        (Row(None, over("9 thou", "4 thou"), 1), "out of limits, 4 thou over"),
        (Row(over("9 thou", "4 thou"), None, 1), "out of limits as found, 4 thou over"),
        (Row(figure("4 thou"), None, 1), "in limits as found"),
        (Row(over("9 thou", "4 thou"), figure("4 thou"), 1), "in limits"),
        (Row(figure("4 thou", decision="no limits", limits="none"), None, 1), "no limits"),
        (Row(None, over("9 thou", "4 thou", outcome="accepted"), 1), "out of limits, 4 thou over; accepted"),
        (Row(None, over("9 thou", "4 thou", outcome="set again", state="set again"), 1), "out of limits, 4 thou over"),
        (Row(None, figure("4 thou", state="provisional"), 1), "in limits; provisional"),
        (Row(None, figure("4 thou"), 3), "in limits; worst of 3 readings"),
    ],
)
def test_a_verdict_says_what_the_last_figure_proves_and_what_was_decided(row: Row, verdict: str) -> None:
    assert row.verdict == verdict


def test_where_there_are_too_many_figures_those_that_are_out_stay() -> None:
    good = [figure("4 thou", f"good {number}") for number in range(80)]
    bad = [over("9 thou", f"{number} thou", f"bad {number}") for number in range(1, 11)]
    doubtful = undecided("5 thou", "doubtful")
    part = page(figures=(*good, *bad, doubtful))
    names = [row.name for row in part.rows.shown]
    assert {f"bad {number}" for number in range(1, 11)} <= set(names)
    assert "doubtful" in names
    assert part.rows.more == 91 - len(names) > 0
    assert names == sorted(names, key=[line.name for line in (*good, *bad, doubtful)].index), (
        "in the order of measuring"
    )
    assert part.density == "tight"
    # Were there yet more, the two that are worst would be the last to go.
    told = tuple(fact("finding", f"finding {number} " + "x" * 150) for number in range(80))
    crowded = page(figures=tuple(over("9 thou", f"{n} thou", f"bad {n}") for n in range(1, 120)), facts=told)
    assert {"bad 118", "bad 119"} <= {row.name for row in crowded.rows.shown}


def test_a_page_of_little_is_set_roomily_and_whole() -> None:
    part = page(figures=(figure("4 thou"),), facts=(fact("complaint", "it sticks"),))
    assert (part.density, part.rows.more, part.found.more, part.grave_more) == ("roomy", 0, 0, 0)
    assert not part.grave and not part.untyped


# what was found
def test_what_is_unsafe_or_serious_comes_first_and_none_of_it_is_left_out() -> None:
    small = [fact("finding", f"scratch {number} " + "x" * 150, "minor") for number in range(70)]
    grave = [
        fact("finding", "cracked", "serious"),
        fact("condition", "bent", "serious"),
        fact("finding", "live", "unsafe"),
    ]
    told = fact("complaint", "it sticks")
    part = page(facts=(*small, told, *grave))
    assert [line.text for line in part.found.shown][:4] == ["live", "bent", "cracked", "it sticks"]
    assert part.grave
    assert part.found.more == 74 - len(part.found.shown) > 0
    assert part.grave_more == 0


def test_three_grave_findings_are_told_at_length_and_more_have_a_line_each() -> None:
    def longest(count: int) -> int:
        return page(facts=tuple(fact("finding", f"{n} " + "x" * 300, "unsafe") for n in range(count))).longest_found

    assert [longest(count) for count in (0, 3, 4)] == [200, 200, 80]


def test_only_what_stands_is_told_and_each_under_its_heading() -> None:
    facts = (
        fact("for the owner", "keep it dry"),
        fact("complaint", "it sticks"),
        fact("part replaced", "gib screw"),
        fact("material", "thin oil"),
        fact("finding", "not so", state="taken back"),
        fact("owner", "Mill Lane"),
    )
    part = page(facts=facts)
    assert [[line.text for line in each.shown] for each in (part.said, part.found, part.fitted)] == [
        ["keep it dry"], ["it sticks"], ["gib screw", "thin oil"],
    ]  # fmt: skip


def test_what_is_only_as_far_as_it_was_understood_is_marked_where_it_is_on_the_page() -> None:
    for about in ("for the owner", "complaint", "part replaced"):
        assert page(facts=(fact(about, "rim", to_type=True),)).untyped
    assert not page(facts=(fact("charge", "rim", to_type=True),)).untyped


# what was done
STEPS = "steps: [{id: a, do: Press it., for the owner: It was pressed.}, {id: b, do: Turn it.}]"


@pytest.mark.parametrize(
    ("states", "apart", "known", "done"),
    [
        (("done", "done"), False, False, ["Setting: done."]),
        (("done", "open"), False, False, ["Setting: 1 of 2 steps done."]),
        (("done", "not needed"), False, False, ["Setting: done."]),
        (("not needed", "not needed"), False, False, ["Setting."]),
        (("skipped", "open"), False, False, ["Setting: 0 of 2 steps done."]),
        (("done", "done"), True, False, ["Setting."]),
        (("done", "open"), False, True, ["It was pressed."]),
        (("done", "not needed"), False, True, ["All was set.", "It was pressed."]),
        (("open", "done"), False, True, ["Setting: 1 of 2 steps done."]),
    ],
)
def test_what_was_done_is_told_in_words_for_the_owner_or_in_a_sentence(
    states: tuple[str, ...], apart: bool, known: bool, done: list[str]
) -> None:
    text = f"title: Setting\nitem: i\nrevision: 1\nfor the owner: All was set.\n{STEPS}\n"
    procedures = {"setting": parse_procedure(text.encode(), "setting.yaml").procedure} if known else {}
    line = ProcedureLine(
        procedure="setting", title="Setting", revision="1", procedure_sha256="", variant=(), seconds=0, apart=apart
    )
    steps = tuple(
        StepLine(
            procedure="setting", number=number, step="ab"[number], act="", state=state, reason=None, missing=(),
            seconds=0, by=None,
        )
        for number, state in enumerate(states)
    )  # fmt: skip
    record = dataclasses.replace(EMPTY, procedures=(line,), steps=steps)
    assert list(owner_part(record, procedures, boxes=BOXES).done.shown) == done


# what is to be watched
def watch(*findings: Finding, figures: tuple[FigureLine, ...] = (), **more: Any) -> list[str]:
    return list(page(findings=findings, figures=figures, **more).watch.shown)


def test_figures_of_a_kind_are_named_together_the_worst_first() -> None:
    names = ["front shake", "shake", "play", "gap", "float", "travel"]
    bad = tuple(over("9 thou", f"{number} thou", name) for number, name in enumerate(names, 1))
    kind = FindingKind.OUT_ACCEPTED
    assert MOST_OF_A_KIND == 4
    told = watch(*(of_figure(kind, line) for line in bad), figures=bad)
    assert told == ["Out of limits, accepted: travel, float, gap, play and 2 more"]
    assert watch(of_figure(kind, bad[0]), figures=bad[:1]) == ["Out of limits, accepted: front shake"]
    assert watch(*(of_figure(kind, line) for line in bad[:4]), figures=bad[:4])[0].endswith(
        "play, shake, front shake"[6:]
    )


def test_how_far_a_figure_is_out_is_measured_by_the_width_of_its_limits() -> None:
    wide = over("22 thou", "2 thou", "wide", low="0", high="20")
    narrow = over("6 thou", "1 thou", "narrow", low="4", high="5")
    one_sided = over("0.75 thou", "0.25 thou", "one sided", low=None, high="0.5")
    told = watch(*(of_figure(FindingKind.OUT_LEFT_OPEN, line) for line in (wide, one_sided, narrow)),
                 figures=(wide, one_sided, narrow))  # fmt: skip
    assert told == ["Out of limits, left open: narrow, one sided, wide"]


def test_names_that_have_a_comma_are_told_apart_by_more_than_one() -> None:
    bad = (over("9 thou", "2 thou", "bore", place="front"), over("9 thou", "1 thou", "play"))
    assert watch(*(of_figure(FindingKind.OUT_LEFT_OPEN, line) for line in bad), figures=bad) == [
        "Out of limits, left open: bore, front; play"
    ]


def test_reasons_are_told_only_where_the_remarks_of_the_bench_are() -> None:
    bad = over("9 thou", "2 thou", reason="within wear")
    points = (
        of_figure(FindingKind.OUT_ACCEPTED, bad),
        point(FindingKind.MISSING, "done without a figure for play, knowingly", "play"),
        point(FindingKind.SKIPPED, "skipped (no gauge): Turn it (no gauge).", "no gauge", number=2),
    )
    assert watch(*points, figures=(bad,)) == [
        "Out of limits, accepted: end float", "Done without a figure for play", "Skipped: Turn it (no gauge).",
    ]  # fmt: skip
    assert watch(*points, figures=(bad,), remarks=True) == [
        "Out of limits, accepted: end float (within wear)", "Done without a figure for play, knowingly",
        "Skipped (no gauge): Turn it (no gauge).",
    ]  # fmt: skip


def test_of_a_figure_that_was_taken_again_only_the_last_is_to_be_watched() -> None:
    found, left = over("9 thou", "4 thou", occasion="as found"), figure("4 thou")
    once = of_figure(FindingKind.FOUND_OUT, found)
    assert watch(once, figures=(found, left)) == []
    assert watch(once, figures=(found,)) == ["Found out of limits: end float"]
    results = [page(findings=(once,), figures=figures).result for figures in ((found, left), (found,))]
    assert [result.sentence for result in results] == [
        "So far: nothing is left open, and no figure is out of its limits.", "So far: 1 figure is out of limits.",
    ]  # fmt: skip


def test_what_is_told_elsewhere_or_for_the_bench_alone_is_not_told_again() -> None:
    at_bench = [point(kind, "x") for kind in (FindingKind.NOTE, FindingKind.TIMER)]
    found = [point(kind, "cracked", entry="f1") for kind in (FindingKind.UNSAFE, FindingKind.SERIOUS)]
    assert watch(*at_bench, *found) == []
    assert watch(point(FindingKind.DANGER, "danger: spring")) == ["Danger: spring"]
    twice = point(FindingKind.NOT_DONE, "not done: Turn it.", "Turn it.")
    assert watch(twice, twice) == ["Not done: Turn it."]


@pytest.mark.parametrize(("count", "told"), [(3, 3), (4, 1)])
def test_more_than_three_steps_that_were_not_done_are_counted(count: int, told: int) -> None:
    steps = [point(FindingKind.NOT_DONE, f"not done: Turn {n}.", number=n) for n in range(count)]
    line = ProcedureLine(
        procedure="setting", title="Setting", revision="1", procedure_sha256="", variant=(), seconds=0, apart=False
    )
    words = watch(*steps, procedures=(line,))
    assert len(words) == told
    assert words[0] == ("Not done: Turn 0." if told == 3 else "Four steps of “Setting” not done")


def test_a_danger_and_what_is_out_of_limits_stay_however_much_is_to_be_watched() -> None:
    small = [point(FindingKind.SKIPPED, f"skipped: {n} {'x ' * 90}", number=n) for n in range(90)]
    danger = point(FindingKind.DANGER, "danger: the spring is under load")
    part = page(findings=(danger, *small))
    assert part.watch.shown[0] == "Danger: the spring is under load"
    assert part.watch.more == 91 - len(part.watch.shown) > 0


# charges, and the page as a whole
def test_charges_are_on_the_page_as_far_as_they_have_room() -> None:
    charges = [Charge(what=f"part {number}", each=Decimal(number)) for number in range(100)]
    few, many = page(charges=charges[:3]), page(charges=charges)
    assert (list(few.charges.shown), few.charges.more) == (charges[:3], 0)
    assert list(many.charges.shown) == charges[: len(many.charges.shown)]
    assert many.charges.more == 100 - len(many.charges.shown) > 0
    assert page().charges.shown == ()


def test_a_page_whose_head_takes_more_has_room_for_less() -> None:
    rows = tuple(figure("4 thou", f"gap {number}") for number in range(80))
    plain = len(page(figures=rows).rows.shown)
    wide = [*BOXES, *(("wide", "Work", ["a long title of some work"] * 12) for _ in range(2))]
    assert len(page(figures=rows, boxes=wide).rows.shown) < plain
    assert len(page(figures=rows, boxes=[*BOXES, ("", "Taken in", ["2026"])]).rows.shown) < plain
    assert len(page(figures=rows, say="Bring it again in a year. " * 20).rows.shown) < plain


@pytest.mark.parametrize(
    "long",
    [
        {"as_said": "4 thou " * 9},
        {"limits": "2 to 5 thou " * 9},
        {"uncertainty": "x " * 30},
        {"characteristic": "gap of the pawl " * 3},
        {"outcome": "accepted " * 9},
    ],
)
@pytest.mark.parametrize("occasion", ["as found", "as left"])
def test_what_takes_more_lines_in_any_column_leaves_room_for_fewer_figures(long: dict[str, str], occasion: str) -> None:
    def shown_of(**slots: str) -> int:
        lines = (figure("4 thou", place=f"place {number}", occasion=occasion, **slots) for number in range(80))
        return len(page(figures=tuple(lines)).rows.shown)

    assert shown_of(**long) < shown_of()


def test_a_footnote_takes_room_even_where_one_word_alone_wants_it() -> None:
    rows = tuple(figure("4 thou", f"gap {number}") for number in range(80))

    def shown_beside(*to_type: bool) -> int:
        facts = tuple(fact("complaint", f"told {number}", to_type=untyped) for number, untyped in enumerate(to_type))
        return len(page(figures=rows, facts=facts).rows.shown)

    assert shown_beside(False, True) == shown_beside(True, True) < shown_beside(False, False)
