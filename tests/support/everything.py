"""A job in which everything happens that can: each kind of event, each kind of fact, two procedures, a job that came
back. What is made of it is compared with what was approved."""

from __future__ import annotations

from handsfree.job.events import (
    AttachedDeleted,
    CameBack,
    CheckAnswered,
    ClipsDeleted,
    ClockSetBack,
    EntryConfirmed,
    EntryWithdrawn,
    Event,
    EventsLost,
    FactNoted,
    FileAttached,
    HandedOver,
    JobFinished,
    JobOpened,
    JobPaused,
    JobReopened,
    JobResumed,
    MarkMade,
    NoteKept,
    NoteStretch,
    OutcomeGiven,
    PartFollowed,
    PartsCounted,
    PartsRemoved,
    PartWanted,
    ProcedureTakenUp,
    PutInTray,
    QuestionAnswered,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    StoodBy,
    TextTyped,
    TimerAcknowledged,
    TimerRang,
    TimerStarted,
    TimerStopped,
    WorkerChanged,
)
from handsfree.job.facts import FACTS
from tests.support.story import at

TEXT = """
title: Setting of the gate latch
item: Bench gauge, pattern C
revision: "2"
workshop: Tern & Gable, instrument repairers
questions:
  collar: {ask: Is there a collar on the pivot?}
steps:
  - id: load
    do: Press the spring down and hook it.
    dangers: [{say: Spring under load. Keep your face clear., until: release}]
  - id: set
    do: Set the latch clearance.
    lubricant: {which: instrument oil, where: the pivot, how much: one drop}
    fasteners: {count: 2, size: M2 x 5, head: cheese head}
    measure:
      - {name: latch clearance, also: clearance, unit: thou, limits: [3, 5], target: 4,
         tool: {name: feeler blades, resolution: 0.5 thou}}
      - {name: stop gap, unit: mm, at most: 0.5, when: as left}
  - id: cure
    do: Put one drop of lacquer on the screw.
    wait: {for: 10 minutes, name: lacquer}
    rests on: set
  - id: collar
    do: Press the collar on.
    only if: {collar: "yes"}
  - id: release
    do: Let the spring down.
    check: Does the latch fall by itself?
"""
CLEANING = """
title: Cleaning of the pawl
item: Bench gauge, pattern C
revision: "1"
steps:
  - {id: wash, do: Wash the pawl in spirit., check: Is it bright?}
  - id: play
    do: Measure the play.
    measure: {name: play, unit: thou, limits: [0, 2], tool: {name: dial gauge, resolution: 0.1 thou}}
"""
NAME = "gate-latch"
OPENED = JobOpened(
    at=at(0), title="Setting of the gate latch", revision="2", procedure_sha256="a" * 64, procedure_text=TEXT,
    procedure_name=NAME, item="Bench gauge no. 7", serial="A 12", owner="Mill Lane",
)  # fmt: skip


def logged(minute: int, said: str, **slots: object) -> ReadingLogged:
    usual = {"step": "set", "characteristic": "latch clearance", "occasion": "as set", "unit": "thou"}
    judged = {"decision": "in limits", "limits": "3 to 5 thou", "tool": "feeler blades",
              "uncertainty": "0.25 thou"}  # fmt: skip
    event = {"at": at(minute), "id": f"r{minute}", "as_said": said, "value": said.split(maxsplit=1)[0]}
    return ReadingLogged.model_validate({**usual, **judged, **event, **slots})


def _facts() -> list[Event]:
    """One of each kind, and of some two."""
    special = {
        "promised": {"text": "2026-12-04"},
        "agreed": {"text": "80, by telephone", "amount": "80"},
        "approved": {"text": "120.50", "amount": "120.50"},
        "charge": {"text": "gib screws", "amount": "9.00"},
        "finding": {"text": "the pawl is cracked", "severity": "serious", "step": "set"},
        "contact": {"text": "0191 498 0143"},
    }
    found: list[Event] = []
    for number, about in enumerate(FACTS):
        if about in ("item", "serial", "owner", "signed off"):
            continue
        told = {"at": at(100 + number), "id": f"f{number}", "about": about, "text": f"{about} of the gauge"}
        found.append(FactNoted.model_validate({**told, **special.get(about, {})}))
    found.append(FactNoted(at=at(140), id="f90", about="finding", text="a scratch on the cover", severity="minor"))
    found.append(FactNoted(at=at(141), id="f91", about="complaint", text="", seconds=3.5, clip="cd" * 32))
    return found


EVERYTHING: list[Event] = [
    OPENED,
    WorkerChanged(at=at(1), name="Jo Tern"),
    StepEntered(at=at(2), step="load"),
    StepDone(at=at(4), step="load"),
    StepEntered(at=at(4), step="set"),
    QuestionAnswered(at=at(5), name="collar", question="Is there a collar on the pivot?", answer="no",
                     left_out=("collar",)),
    logged(6, "9 thou", occasion="as found", decision="out of limits", beyond="4 thou", side="high"),
    ReadingSettled(at=at(6), id="r6"),
    logged(7, "7 thou", decision="out of limits", beyond="2 thou", side="high"),
    ReadingSettled(at=at(7), id="r7"),
    OutcomeGiven(at=at(8), id="r7", outcome="set again"),
    logged(9, "4 thou", heard="log clearance four thou", recogniser="builtin", clip="ab" * 32),
    ReadingSettled(at=at(9), id="r9"),
    logged(10, "0.6 mm", characteristic="stop gap", occasion="as left", unit="mm", limits="at most 0.5 mm",
             decision="out of limits", beyond="0.1 mm", side="high", tool=None, uncertainty=None),
    ReadingSettled(at=at(10), id="r10"),
    OutcomeGiven(at=at(11), id="r10", outcome="accepted", reason="within wear"),
    NoteStretch(at=at(12), text="the pawl is", seconds=2.0, step="set"),
    NoteKept(at=at(12), id="n12", text="the pawl is bent", seconds=4.4, step="set", clip="1a2b3c4d" * 8),
    TextTyped(at=at(13), id="n12", text="The pawl is bent."),
    NoteKept(at=at(14), id="n14", text="", seconds=2.0, step="set"),
    NoteKept(at=at(15), id="n15", text="not this one", seconds=2.0),
    EntryWithdrawn(at=at(16), id="n15", why="taken back"),
    PartsRemoved(at=at(17), id="p17", sort="fastener", what="screw", count=2, size="M2 x 5", head="cheese head",
                 place="the top", step="set"),
    PartsRemoved(at=at(18), id="p18", sort="shim", what="shim", thickness="10 thou", way="burr side up"),
    MarkMade(at=at(19), id="m19", what="one line", place="the front cover", parts=("front cover",)),
    PutInTray(at=at(20), ids=("p17", "p18"), tray=2),
    PartsCounted(at=at(21), id="p21", count=8, part="screw", way="out"),
    PartsCounted(at=at(22), id="p22", count=7, part="screw", way="back"),
    StepDone(at=at(23), step="set", missing=("no stop gap",)),
    StepEntered(at=at(23), step="cure"),
    TimerStarted(at=at(24), step="cure", name="lacquer", seconds=600),
    TimerRang(at=at(34), name="lacquer"),
    TimerAcknowledged(at=at(35), name="lacquer"),
    TimerStarted(at=at(36), name="bath", seconds=300),
    TimerStopped(at=at(37), name="bath"),
    TimerStarted(at=at(37), name="oven", seconds=5400),
    StepDone(at=at(38), step="cure"),
    StoodBy(at=at(39)),
    CameBack(at=at(45)),
    StepRedone(at=at(46), step="set", stale_steps=("set", "cure")),
    logged(48, "3.5 thou", tool_identity="T 7", tool_overdue="2026-01-31"),
    ReadingSettled(at=at(48), id="r48"),
    logged(49, "5 thou", corrects="r48", decision="undecided", side="high"),
    StepDone(at=at(50), step="set", missing=("no stop gap",)),
    StepEntered(at=at(50), step="release"),
    CheckAnswered(at=at(51), step="release", id="c51", question="Does the latch fall by itself?", passed=False),
    StepSkipped(at=at(52), step="cure", reason="the lacquer is on order"),
    JobPaused(at=at(53)),
    JobResumed(at=at(70), step="release"),
    ClockSetBack(at=at(71), seconds=3600),
    WorkerChanged(at=at(72), name="Al Gable"),
    ProcedureTakenUp(at=at(73), procedure_name="cleaning", title="Cleaning of the pawl", revision="1",
                     procedure_sha256="c" * 64, procedure_text=CLEANING, steps=2),
    StepEntered(at=at(73), step="wash"),
    CheckAnswered(at=at(76), step="wash", id="c76", question="Is it bright?", passed=True),
    StepDone(at=at(77), step="wash"),
    StepEntered(at=at(77), step="play"),
    logged(79, "1.1 thou", step="play", characteristic="play", limits="0 to 2 thou", tool="dial gauge",
             uncertainty="0.05 thou"),
    ReadingSettled(at=at(79), id="r79"),
    StepDone(at=at(80), step="play"),
    *_facts(),
    PartWanted(at=at(142), id="w142", what="gib screw", count=2, size="M2 x 5"),
    PartFollowed(at=at(143), id="w142", stage="ordered"),
    PartWanted(at=at(144), id="w144", what="spring"),
    FileAttached(at=at(145), id="a145", name="pawl.jpg", sha256="e" * 64, bytes=120_000, text="the crack", to="n12"),
    FileAttached(at=at(146), id="a146", name="plan.pdf", sha256="f" * 64, bytes=80_000),
    AttachedDeleted(at=at(147), files=("f" * 64,), why="a wrong plan"),
    ClipsDeleted(at=at(148), clips=("cd" * 32,), why="by hand"),
    EventsLost(at=at(149), first=60, last=62),
    EntryConfirmed(at=at(150), id="r10", point="it may stand"),
    JobFinished(at=at(151), open_points=("step 5: the check failed",)),
    FactNoted(at=at(152), id="f152", about="signed off", text="Al Gable"),
    JobReopened(at=at(153), reason="the owner came back"),
    FactNoted(at=at(154), id="f154", about="serial", text="A 13"),
    JobFinished(at=at(155)),
    HandedOver(at=at(156), given_back=("f3",), kept="the case"),
]  # fmt: skip
"""Not in the order of a good day: each for what it is."""
