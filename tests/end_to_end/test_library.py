"""The procedures that are shipped: good to the checker, and each worked from end to end, with variants both ways."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import TypedTurn
from handsfree.bench.setting_up import load_named, ready
from handsfree.guide.session import Session
from handsfree.job.events import ReadingLogged
from handsfree.job.log.store import Store
from handsfree.job.state import JobState, fold
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.procedure.check.checker import check
from handsfree.procedure.parts import Characteristic
from handsfree.procedure.shipped import find, shipped_names
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.played import MORNING


def _good(measured: Characteristic) -> str:
    """A figure well inside the limits, as it is said."""
    bounds = measured.limits
    value = bounds.target
    if value is None and bounds.high is not None:
        value = bounds.high / 2
        if measured.resolution:
            value = value // measured.resolution * measured.resolution
    if value is None:
        assert bounds.low is not None
        value = bounds.low + 1
    places = next(places for places in range(6) if (value * 10**places).denominator == 1)
    return f"log {measured.name} {spoken(Figure(value, places, measured.unit))}"


def _technician(session: Session, answers: dict[str, str]) -> Iterator[TypedTurn]:
    """Says at every moment what a technician would to whom all goes well; ``answers`` by words of the question."""
    at, said = 0.0, 0
    while said < 250 and session.machine.state != "finished":
        said += 1
        line = _line(session, answers)
        lasts = 1200.0 if line.startswith("~") else 1.0
        yield TypedTurn(line, lambda: session.language, at + 1, at + 1 + lasts)
        at += 1 + lasts


def _line(session: Session, answers: dict[str, str]) -> str:
    if session.question is not None:
        prompt = session.question.prompt
        if prompt.endswith(", thou?"):  # which of two figures that sound alike: the first is the one that was said
            return f"{prompt.split(' or ')[0]} thou"
        return next((answer for words, answer in answers.items() if words in prompt), "yes")
    step = session.procedure.steps[session.current]
    for measured in step.characteristics:
        if not session.state.readings(step.id, measured.name):
            return _good(measured)
    if step.check and session.state.check(step.id) is None:
        return "yes"
    if step.wait and session.state.status(step.id) == "open":
        name = step.wait.name or "waiting"
        if name not in session.state.timers and name not in session.state.waited:
            return "start the timer"
        if name in session.state.timers:
            return "~ twenty minutes"
    if all(session.state.status(each.id) != "open" for each in session.procedure.steps):
        return "finish the job"
    after = [each for each in session.procedure.steps[session.current :] if session.state.status(each.id) == "open"]
    return "next" if after else "finish the job"


def _worked(folder: Path, name: str, answers: dict[str, str], serial: str | None = None) -> tuple[JobState, list[str]]:
    store = Store(folder)
    job = ready(load_named(name), store, MORNING, serial=serial)
    said: list[str] = []
    bench = Bench(
        job.guide, store, PrintSpeaker(lambda _: None, guessing=True),
        lambda kind, text: said.append(text) if kind == "says" else None, job.log,
    )  # fmt: skip
    clock = PlayedBench(bench, MORNING)
    assert job.opened is not None
    bench.open(job.opened)
    clock.play(_technician(job.guide.session, answers))
    assert bench.log is not None
    state = fold(bench.log.events())
    bench.close()
    return state, said


def test_there_are_procedures_of_four_trades() -> None:
    assert {"focusing-slide", "engine-valves", "lathe-spindle", "hook-timing"} <= set(shipped_names())


@pytest.mark.parametrize("name", shipped_names())
def test_every_procedure_is_good(name: str) -> None:
    assert [str(problem) for problem in check(find(name))] == []


_FIGURE = re.compile(r"\b(target|limits|at most|at least|resolution|uncertainty|for|how much|blades|range): (?!each)")
_SOURCE = re.compile(r"#.*\b(common practice|invented|from memory|source:)", re.I)


@pytest.mark.parametrize("name", shipped_names())
def test_every_figure_has_its_source_beside_it(name: str) -> None:
    """In the comment on its line or right above; limits may go with their target ("as are the limits")."""
    assert _without_source(find(name).read_text("utf-8")) == []


def _without_source(text: str) -> list[str]:
    lines = text.splitlines()
    bare = []
    for number, line in enumerate(lines):
        if line.lstrip().startswith("#") or not _FIGURE.search(line):
            continue
        above = lines[number - 1]
        with_target = "limits:" in line and "target:" in above and _SOURCE.search(above) and "limits" in above
        commented = above.lstrip().startswith("#") and _SOURCE.search(_comment_above(lines, number))
        if not (_SOURCE.search(line) or commented or with_target):
            bare.append(line.strip())
    opening = text.partition("title:")[0]
    if "size:" in text and not re.search(r"sizes\s+of the (screws|nuts) are\s+invented", opening.replace("#", "")):
        bare.append("size")
    return bare


def _comment_above(lines: list[str], number: int) -> str:
    start = number
    while lines[start - 1].lstrip().startswith("#"):
        start -= 1
    return "# " + " ".join(line.strip(" #") for line in lines[start:number])


def test_a_figure_without_a_source_is_found() -> None:
    text = find("lathe-spindle").read_text("utf-8")
    assert _without_source(text.replace("at most: 1 # invented", "at most: 1")) == ["at most: 1"]
    assert _without_source(text.replace("# invented, as are the limits", "# invented", 1)) == ["limits: [10, 14]"]
    assert _without_source(text.replace("10 minutes, name: running} # common", "10 minutes, name: running} # so")) != []
    assert _without_source(text.replace("sizes of the nuts", "nuts")) == ["size"]


RUNS = [
    ("focusing-slide", {}, {}),
    ("engine-valves", {"early or the late": "early"}, {"inlet clearance": {"4"}}),
    ("engine-valves", {"early or the late": "late"}, {"inlet clearance": {"6"}}),
    ("lathe-spindle", {"tab washer": "yes"}, {"nut torque": {"12"}}),
    ("lathe-spindle", {"tab washer": "no"}, {"nut torque": {"12"}}),
    ("hook-timing", {"tension collar": "yes"}, {"needle rise": {"2.2"}}),
    ("hook-timing", {"tension collar": "no"}, {"needle rise": {"2.2"}}),
]


@pytest.mark.parametrize("name", shipped_names())
def test_every_answer_to_every_question_is_driven(name: str) -> None:
    runs = [set(answers.values()) for procedure, answers, _ in RUNS if procedure == name]
    assert runs, "no run"
    for question in load_named(name).procedure.questions.values():
        assert set(question.answers) <= set().union(*runs)


@pytest.mark.parametrize(("name", "answers", "figures"), RUNS)
def test_it_is_worked_from_end_to_end(
    name: str, answers: dict[str, str], figures: dict[str, set[str]], tmp_path: Path
) -> None:
    state, said = _worked(tmp_path, name, answers)
    assert state.finished is not None, said[-6:]
    readings = [e.event for e in state.entries.values() if isinstance(e.event, ReadingLogged)]
    assert readings
    assert all(reading.decision == "in limits" for reading in readings), [
        (reading.characteristic, reading.value, reading.decision) for reading in readings
    ]
    for characteristic, values in figures.items():
        assert {reading.value for reading in readings if reading.characteristic == characteristic} == values
    applied = "yes" in answers.values()
    if name in ("lathe-spindle", "hook-timing"):
        words = "Bend a fresh tab" if name == "lathe-spindle" else "Slide the tension collar up"
        assert any(words in text for text in said) is applied
    # Each danger was spoken.
    for step in load_named(name).procedure.steps:
        for danger in step.dangers:
            assert any(danger.say.rstrip(".") in text for text in said), danger.say


@pytest.mark.parametrize(("serial", "inlet"), [("M 4711", "5 to 7 thou"), ("M 3999", "3 to 5 thou")])
def test_the_serial_number_decides_the_pattern_of_the_engine(tmp_path: Path, serial: str, inlet: str) -> None:
    state, said = _worked(tmp_path, "engine-valves", {}, serial=serial)
    assert not any("early or the late" in text for text in said)
    limits = {e.event.limits for e in state.entries.values()
              if isinstance(e.event, ReadingLogged) and e.event.characteristic == "inlet clearance"}  # fmt: skip
    assert limits == {inlet}


def test_each_valve_of_each_cylinder_has_its_own_figure(tmp_path: Path) -> None:
    state, _ = _worked(tmp_path, "engine-valves", {"early or the late": "early"})
    taken = {(e.event.step, e.event.characteristic) for e in state.entries.values()
             if isinstance(e.event, ReadingLogged) and "tappets" in (e.event.step or "")}  # fmt: skip
    assert taken == {
        (f"tappets/cylinder {number}", f"{valve} clearance")
        for number in ("one", "two") for valve in ("inlet", "exhaust")
    }  # fmt: skip
