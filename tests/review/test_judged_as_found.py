"""What was measured while taking apart is judged by a procedure of the same job, and the log stays as it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.job.events import Event, ProcedureTakenUp, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.procedure.file.loader import Loaded, parse_procedure
from handsfree.procedure.model import Procedure
from handsfree.review.judged_as_found import JudgedAsFound, judged_as_found
from handsfree.review.source import procedures_of
from tests.support.played import MORNING, played_out
from tests.support.story import OPENED, at, reading

SET = ("end of taking apart", "next", "log clearance four thou")


@pytest.fixture
def judged(small: Loaded, store: Store) -> Callable[..., list[JudgedAsFound]]:
    """What is made of the lines that were said while taking apart (and after it)."""

    def judge(*lines: str) -> list[JudgedAsFound]:
        made = ready(small, store, MORNING, new=True, changing_too=True)
        played_out(made, store, typed(("begin taking apart", *lines, "pause the job"), made.language), MORNING)
        state = fold(store.events(store.jobs()[0].id))
        return list(judged_as_found(procedures_of(state), state).values())

    return judge


@pytest.mark.parametrize(
    ("found", "decision", "beyond"),
    [
        ("latch clearance nine thou", "out of limits", "4 thou"),
        ("latch clearance four thou", "in limits", None),
        # The blades' U is a quarter of a thou: half their step.
        ("latch clearance five thou", "undecided", "0.0 thou"),
        ("stop gap nought point six millimetres", "out of limits", "0.1 mm"),
    ],
)
def test_a_figure_as_found_is_judged_by_the_limits_of_the_procedure(
    judged: Callable[..., list[JudgedAsFound]], found: str, decision: str, beyond: str | None
) -> None:
    (one,) = judged(found, *SET)
    assert (one.procedure, one.decision) == ("gate-latch", decision)
    assert one.beyond is None or one.beyond.split()[1] == str(beyond).split()[1]
    assert one.decision != "out of limits" or one.beyond == beyond


def test_what_no_procedure_measures_stays_without_a_verdict(judged: Callable[..., list[JudgedAsFound]]) -> None:
    assert [one.decision for one in judged("end play nine thou", "latch clearance four thou", *SET)] == ["in limits"]


def test_the_log_itself_keeps_the_figure_without_limits(
    judged: Callable[..., list[JudgedAsFound]], store: Store
) -> None:
    judged("latch clearance nine thou", *SET)
    events = store.events(store.jobs()[0].id)
    assert [e.decision for e in events if e.kind == "reading logged"] == ["no limits", "in limits"]


# by the log alone
LIMITED = "name: end float, also: play, unit: thou, limits: [2, 5]"
BLADES = "tool: {name: feeler blades, uncertainty: 0.25 thou}"


def procedure(measured: str, name: str = "setting", places: str = "") -> tuple[str, Procedure]:
    step = f"{{id: set, do: Set it., {places and f'for each: [{places}], '}measure: [{{{measured}}}]}}"
    text = f"title: Setting\nitem: gauge\nrevision: 1\nsteps:\n  - {step}\n"
    return name, parse_procedure(text.encode(), f"{name}.yaml").procedure


def made_of(
    found: ReadingLogged, *procedures: tuple[str, Procedure], then: tuple[Event, ...] = ()
) -> list[JudgedAsFound]:
    """What is made of a figure that was taken while taking apart."""
    apart = ProcedureTakenUp(
        at=at(1), procedure_name="apart", title="Taking apart", revision="1", procedure_sha256="1", procedure_text="",
        apart=True,
    )  # fmt: skip
    again = apart.model_copy(update={"procedure_name": "setting", "apart": None})
    state = fold([OPENED, apart, found, again, *then])
    return list(judged_as_found(dict(procedures), state).values())


def as_found(said: str = "9 thou", name: str = "end float", **slots: object) -> ReadingLogged:
    unit = said.split()[1]
    judged = {"decision": "no limits", "limits": "none", "tool": None, "uncertainty": None}
    return reading(2, said, characteristic=name, unit=unit, occasion="as found", **{**judged, **slots})


def test_a_figure_is_judged_by_either_of_its_names_and_by_its_place() -> None:
    assert [one.decision for one in made_of(as_found(), procedure(LIMITED))] == ["out of limits"]
    assert [one.decision for one in made_of(as_found(name="play"), procedure(LIMITED))] == ["out of limits"]
    assert made_of(as_found(name="shake"), procedure(LIMITED)) == []
    front = procedure(LIMITED, places="front, back")
    assert [one.measured.name for one in made_of(as_found(name="front end float"), front)] == ["end float"]
    assert [one.measured.name for one in made_of(as_found(name="back play"), front)] == ["end float"]
    assert made_of(as_found(), front) == []


@pytest.mark.parametrize(
    ("called", "by_the_procedure"),
    [
        ("run out", "Run-out"),
        ("runout", "run out"),
        ("clearances", "clearance"),
        ("valve clearance", "valve clearances"),
    ],
)
def test_a_name_written_otherwise_is_the_same(called: str, by_the_procedure: str) -> None:
    limited = LIMITED.replace("end float, also: play", by_the_procedure)
    (one,) = made_of(as_found(name=called), procedure(limited))
    assert one.decision == "out of limits"


@pytest.mark.parametrize("called", ["float", "end", "end float wear", "float end", "pend float"])
def test_another_word_is_another_thing(called: str) -> None:
    assert made_of(as_found(name=called), procedure(LIMITED)) == []


def test_names_that_come_to_the_same_have_to_agree_on_the_limits() -> None:
    one, other = (
        procedure(LIMITED),
        procedure(LIMITED.replace("end float", "end floats").replace("[2, 5]", "[2, 6]"), "c"),
    )
    assert made_of(as_found(), one, other) == []


def test_what_the_verdict_rests_on_is_told() -> None:
    (one,) = made_of(as_found("1 thou"), procedure(f"{LIMITED}, {BLADES}"))
    assert (one.procedure, one.limits, one.uncertainty) == ("setting", "2 to 5 thou", "0.25 thou")
    assert (one.decision, one.beyond, one.side) == ("out of limits", "1 thou", "low")
    (one,) = made_of(as_found("3 thou"), procedure(LIMITED))
    assert (one.decision, one.beyond, one.side, one.uncertainty) == ("in limits", None, None, None)


@pytest.mark.parametrize(
    ("other", "judged"),
    [
        ("name: end float, unit: thou, limits: [2, 5]", 1),
        # What two limits would judge unlike, no one can say.
        ("name: end float, unit: thou, limits: [2, 6]", 0),
        ("name: end float, unit: mm, limits: [2, 5]", 0),
        # A place where it is only measured judges nothing.
        ("name: end float, unit: thou", 1),
    ],
)
def test_two_procedures_that_measure_it_have_to_agree(other: str, judged: int) -> None:
    assert len(made_of(as_found(), procedure(LIMITED), procedure(other, name="cleaning"))) == judged
    assert len(made_of(as_found(), procedure(other, name="cleaning"), procedure(LIMITED))) == judged


def test_without_limits_there_is_no_verdict() -> None:
    assert made_of(as_found(), procedure("name: end float, unit: thou")) == []


@pytest.mark.parametrize(
    ("slots", "judged"),
    [
        ({}, True),
        ({"tool": "feeler blades"}, True),
        ({"tool": "dial gauge"}, False),
        # Between two blades: nobody knows where.
        ({"upper": "10"}, False),
    ],
)
def test_a_figure_that_was_taken_otherwise_stays_as_it_is(slots: dict[str, object], judged: bool) -> None:
    assert bool(made_of(as_found(**slots), procedure(f"{LIMITED}, {BLADES}"))) is judged


def test_with_a_tool_named_where_the_procedure_names_none_it_is_not_judged() -> None:
    assert made_of(as_found(tool="feeler blades"), procedure(LIMITED)) == []


@pytest.mark.parametrize(("said", "decision"), [("0.1 mm", "in limits"), ("0.3 mm", "out of limits"), ("9 g", None)])
def test_a_figure_in_another_unit_is_judged_in_that_of_the_limits(said: str, decision: str | None) -> None:
    assert [one.decision for one in made_of(as_found(said), procedure(LIMITED))] == ([decision] if decision else [])


@pytest.mark.parametrize(
    ("own", "uncertainty", "decision"),
    [
        ({"uncertainty": "0.5 thou"}, "0.5 thou", "undecided"),
        ({"uncertainty": "0.5 thou", "tool": "dial gauge"}, None, "in limits"),
        ({"uncertainty": "0.5 thou", "characteristic": "shake"}, None, "in limits"),
        ({"uncertainty": None}, None, "in limits"),
    ],
)
def test_a_tool_of_the_workshop_has_the_uncertainty_that_it_had_in_the_procedure(
    own: dict[str, object], uncertainty: str | None, decision: str
) -> None:
    later = reading(5, "4 thou", step="set", **{"tool": "feeler blades", **own})
    named = procedure(f"{LIMITED}, tool: {{name: feeler blades}}")
    (one,) = made_of(as_found("4.75 thou"), named, then=(later,))
    assert (one.uncertainty, one.decision) == (uncertainty, decision)
    # What the procedure itself states counts before that.
    (one,) = made_of(as_found("4.75 thou"), procedure(f"{LIMITED}, {BLADES}"), then=(later,))
    assert one.uncertainty == "0.25 thou"


def test_taking_apart_judges_nothing_itself() -> None:
    assert made_of(as_found(), procedure(LIMITED, name="apart")) == []


def test_only_figures_of_taking_apart_are_judged_anew() -> None:
    setting = procedure(LIMITED)
    state = fold([OPENED, as_found()])
    assert judged_as_found({OPENED.procedure_name: setting[1]}, state) == {}
