"""A job that was taken apart first and is then put back by a procedure that measures the same: not yet finished."""

from __future__ import annotations

from handsfree.job.events import (
    EntryWithdrawn,
    Event,
    FactNoted,
    FileAttached,
    JobPaused,
    MarkMade,
    NoteKept,
    PartsRemoved,
    PartWanted,
    ProcedureTakenUp,
    PutInTray,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepSkipped,
    WorkerChanged,
)
from tests.support.everything import OPENED as GAUGE
from tests.support.story import at

TEXT = """
title: Setting of the gate latch
item: Bench gauge, pattern C
revision: "2"
steps:
  - id: set
    do: Set the latch clearance.
    check: Does the blade drag?
    check by another: true
    measure:
      - {name: latch clearance, unit: thou, limits: [3, 5], target: 4, when: as left,
         tool: {name: feeler blades, resolution: 0.5 thou}}
  - id: gap
    do: Set the stop gap.
    measure: {name: stop gap, unit: mm, at most: 0.5, when: as left}
  - id: shake
    do: Measure the shake.
    measure: {name: shake, unit: mm, at least: 0.1}
  - id: length
    do: Measure the spindle.
    measure: {name: spindle length, unit: mm}
"""
APART = """
title: Taking apart
item: Bench gauge, pattern C
revision: "1"
steps:
  - {id: apart, do: Take it apart.}
"""
OPENED = GAUGE.model_copy(update={"procedure_text": TEXT})


def figure(minute: int, said: str, name: str, **slots: object) -> ReadingLogged:
    usual = {"step": "apart", "characteristic": name, "occasion": "as found", "unit": said.split()[1]}
    judged = {"decision": "no limits", "limits": "none"}
    event = {"at": at(minute), "id": f"r{minute}", "as_said": said, "value": said.split(maxsplit=1)[0]}
    return ReadingLogged.model_validate({**usual, **judged, **event, **slots})


def settled(minute: int) -> ReadingSettled:
    return ReadingSettled(at=at(minute), id=f"r{minute}")


PUT_BACK: list[Event] = [
    OPENED,
    WorkerChanged(at=at(1), name="Jo Tern"),
    ProcedureTakenUp(at=at(2), procedure_name="taking-apart", title="Taking apart", revision="1",
                     procedure_sha256="b" * 64, procedure_text=APART, steps=1, apart=True),
    StepEntered(at=at(2), step="apart"),
    MarkMade(at=at(3), id="m3", step="apart", what="one line", place="the front cover", parts=("front cover",)),
    MarkMade(at=at(4), id="m4", step="apart", what="two dots", parts=("gib", "bed")),
    EntryWithdrawn(at=at(5), id="m4", why="taken back"),
    PartsRemoved(at=at(6), id="p6", step="apart", sort="fastener", what="screw", count=2, size="M2 x 5",
                 head="cheese head", place="the top"),
    PartsRemoved(at=at(7), id="p7", step="apart", sort="part", what="front cover"),
    PartsRemoved(at=at(8), id="p8", step="apart", sort="part", what="back cover"),
    EntryWithdrawn(at=at(9), id="p8", why="taken back"),
    PartsRemoved(at=at(10), id="p10", step="apart", sort="shim", what="shim", thickness="10 thou"),
    PutInTray(at=at(11), tray=1, ids=("p6", "p7")),
    # By the procedure: out of limits, in limits, without limits, measured by no step, under the one limit.
    figure(12, "9 thou", "latch clearance", tool="feeler blades"),
    settled(12),
    figure(13, "0.4 mm", "stop gap"),
    settled(13),
    figure(14, "31.2 mm", "spindle length"),
    settled(14),
    figure(15, "2 thou", "end play"),
    settled(15),
    figure(16, "0.05 mm", "shake"),
    settled(16),
    NoteKept(at=at(17), id="n17", step="apart", text="the pawl is bent", seconds=3.0, clip="1a2b3c4d" * 8),
    NoteKept(at=at(18), id="n18", step="apart", text="", seconds=2.0, names="part seven"),
    NoteKept(at=at(19), id="n19", step="apart", text="not this", seconds=2.0),
    EntryWithdrawn(at=at(19), id="n19", why="taken back"),
    StepDone(at=at(20), step="apart"),
    ProcedureTakenUp.again(OPENED, at(21)),
    StepEntered(at=at(21), step="set"),
    figure(22, "4 thou", "latch clearance", step="set", occasion="as left", limits="3 to 5 thou", decision="in limits",
           tool="feeler blades", uncertainty="0.25 thou", uncertainty_assumed="half the resolution"),
    settled(22),
    StepEntered(at=at(23), step="gap"),
    figure(24, "0.6 mm", "stop gap", step="gap", occasion="as left", limits="at most 0.5 mm",
           decision="out of limits", beyond="0.1 mm", side="high"),
    settled(24),
    StepDone(at=at(25), step="gap"),
    StepSkipped(at=at(26), step="length", reason="no gauge"),
    PartWanted(at=at(30), id="w30", what="gib screw", count=2, size="M2 x 5"),
    PartWanted(at=at(31), id="w31", what="gib screw", count=3, size="M2 x 5", corrects="w30"),
    PartWanted(at=at(32), id="w32", what="spring"),
    EntryWithdrawn(at=at(33), id="w32", why="taken back"),
    FileAttached(at=at(34), id="a34", name="pawl.jpg", sha256="e" * 64, bytes=120_000, shown_as="image/jpeg",
                 text="the crack", to="n17"),
    FileAttached(at=at(35), id="a35", name="plan.pdf", sha256="f" * 64, bytes=80_000, to="r22"),
    FileAttached(at=at(36), id="a36", name="old.jpg", sha256="d" * 64, bytes=90_000, shown_as="image/jpeg"),
    EntryWithdrawn(at=at(37), id="a36", why="taken back"),
    FactNoted(at=at(38), id="f38", about="finding", text="the gib is cracked", severity="unsafe", step="gap"),
    FactNoted(at=at(39), id="f39", about="complaint", text="it sticks"),
    JobPaused(at=at(40)),
]  # fmt: skip
