"""Which earlier figure is that of last time: of this very item, else of its kind, else of the same work."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest

from handsfree.bench.setting_up import session_of
from handsfree.guide.figures.earlier import EarlierFigure, nearest_figures
from handsfree.guide.guide import Guide
from handsfree.job.opening import opened_with
from handsfree.measure.figure import Figure
from handsfree.procedure.file.loader import Loaded, parse_procedure
from tests.support.conversation import Conversation, conversation
from tests.support.played import MORNING


def earlier(value: int, job: int = 1, **slots: object) -> EarlierFigure:
    usual: dict[str, object] = {
        "item": "Bench gauge", "serial": "A 12", "procedure": "gate-latch", "characteristic": "latch clearance",
        "place": None, "occasion": "as left", "decision": "in limits",
    }  # fmt: skip
    at = MORNING + timedelta(days=job, minutes=value)
    return EarlierFigure(**{"job": str(job), "at": at, "figure": Figure(Fraction(value), 0, "thou"), **usual, **slots})  # type: ignore[arg-type]


def nearest(small: Loaded, *figures: EarlierFigure, place: str | None = None, **given: str) -> tuple[list[int], str]:
    opened = opened_with(small, MORNING, **given)
    found, whose = nearest_figures(figures, "latch clearance", opened, place)
    return [int(figure.figure.value) for figure in found], whose


def test_this_very_item_comes_before_its_kind_and_its_kind_before_the_same_work(small: Loaded) -> None:
    this = earlier(1, serial="a 12", item="BENCH GAUGE")
    kind, work = earlier(2, job=2, serial="B 7"), earlier(3, job=3, serial="C 9", item="Small lathe")
    other = earlier(4, job=4, serial="C 9", item="Small lathe", procedure="cleaning")
    known = {"item": "Bench gauge", "serial": "A 12"}
    assert nearest(small, this, kind, work, other, **known) == ([1], "this one")
    assert nearest(small, kind, work, other, **known) == ([2], "the same kind of item")
    assert nearest(small, work, other, **known) == ([3], "the same work on another item")
    assert nearest(small, other, **known) == ([], "")
    # A number alone is no item: another maker's has it as well.
    assert nearest(small, earlier(5, item="Small lathe"), **known)[1] == "the same work on another item"
    assert nearest(small, earlier(5, serial=None), item="Bench gauge")[1] == "the same kind of item"


def test_only_the_newest_job_and_in_it_the_last_figure_counts(small: Loaded) -> None:
    figures = (earlier(1), earlier(2, job=3), earlier(3, job=3), earlier(9, job=2))
    assert nearest(small, *figures, item="Bench gauge", serial="A 12")[0] == [3]
    assert nearest(small, *reversed(figures), item="Bench gauge", serial="A 12")[0] == [3]


def test_what_was_found_counts_only_where_nothing_was_left(small: Loaded) -> None:
    found, left = earlier(7, occasion="as found"), earlier(4)
    assert nearest(small, left, found, item="Bench gauge")[0] == [4]
    assert nearest(small, found, item="Bench gauge")[0] == [7]


def test_each_place_has_its_figure_and_what_failed_comes_first(small: Loaded) -> None:
    figures = (
        earlier(1, place="left"), earlier(2, place="middle", decision="undecided"),
        earlier(3, place="right", decision="out of limits"), earlier(4, place="left"),
    )  # fmt: skip
    assert nearest(small, *figures, item="Bench gauge")[0] == [2, 3, 4]
    assert nearest(small, *figures, item="Bench gauge", place="left")[0] == [4]
    # Where it was not measured at this place, all places are told.
    assert nearest(small, *figures, item="Bench gauge", place="back")[0] == [2, 3, 4]


@pytest.mark.parametrize(
    ("step", "said", "answer"),
    [
        ("one", "last time", "Nothing is measured at this step. Say last time, with the name of what you measure."),
        ("two", "last time", "No earlier figure for latch clearance."),
        ("one", "last time clearance", "No earlier figure for latch clearance."),
        ("four", "last time", "No earlier figure for latch clearance or stop gap."),
    ],
)
def test_where_there_is_no_earlier_figure_it_says_for_what(small: Loaded, step: str, said: str, answer: str) -> None:
    talk = conversation(small)
    if step != "one":
        talk.say(f"go to step {step}")
        if talk.session.question is not None:
            talk.say("yes")
    assert talk.say(said) == [answer]


def test_of_many_figures_of_a_step_two_are_told_in_one_breath_and_the_others_named() -> None:
    names = ("play", "lift", "run out", "shake", "drop")
    measured = ", ".join(f"{{name: {name}, unit: thou}}" for name in names)
    text = f"title: t\nitem: x\nrevision: 1\nsteps:\n  - {{id: a, do: Measure it., measure: [{measured}]}}\n"
    loaded = parse_procedure(text.encode(), "many.yaml")

    def told(*known: str) -> str:
        talk = conversation(loaded)
        figures = [earlier(4, characteristic=name, procedure="many") for name in known]
        talk.session.worked = replace(talk.session.worked, earlier=figures)
        return talk.say("last time")[-1]

    assert told() == "No earlier figure for play, lift, run out or two more."
    assert told("lift", "drop").endswith(
        "drop, as left, four thou. In limits. No earlier figure for play, run out or shake."
    )
    assert told(*names).endswith(
        "lift, as left, four thou. In limits. For run out, shake or drop, say last time, and the name."
    )


def test_where_nothing_was_said_yet_the_step_is_what_is_said_again(small: Loaded) -> None:
    talk = Conversation(Guide(session_of(small.procedure)))
    assert talk.say("repeat") == [
        "Danger. Spring under load. Keep your face clear. Step one. Press the spring down and hook it."
    ]
