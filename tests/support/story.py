"""The log of a small job, event by event, with the procedure it was worked by."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

from handsfree.job.events import (
    CheckAnswered,
    EntryWithdrawn,
    Event,
    JobFinished,
    JobOpened,
    JobPaused,
    JobResumed,
    NoteKept,
    OutcomeGiven,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepSkipped,
)

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)


TEXT = """
title: Bench micrometer, overhaul
item: bench micrometer
revision: "3"
workshop: Tern & Gable, instrument repairers
steps:
  - id: strip
    do: Take the spindle out and lay the shims down in the order in which they came off, which is the order
      in which they will go back.
  - id: float
    do: Set the end float.
    measure:
      - name: end float
        unit: thou
        limits: [2, 5]
        tool: {name: feeler gauge, resolution: 0.5}
      - {name: spindle length, unit: mm}
    check: Does it run free?
  - id: cover
    do: Put the cover on.
"""


OPENED = JobOpened(
    at=AT, title="Bench micrometer, overhaul", revision="3", procedure_sha256="0" * 64, procedure_text=TEXT,
    procedure_name="micrometer", item="micrometer no. 2", serial="0417", owner="Mrs Åsling",
)  # fmt: skip


def at(minutes: float) -> datetime:
    return AT + timedelta(minutes=minutes)


def reading(minute: int, said: str, **slots: Any) -> ReadingLogged:
    usual = {"step": "float", "characteristic": "end float", "occasion": "as set", "unit": "thou"}
    judged = {"decision": "in limits", "limits": "2 to 5 thou", "tool": "feeler gauge", "uncertainty": "0.25 thou"}
    event = {"at": at(minute), "id": f"r{minute}", "as_said": said, "value": said.split(maxsplit=1)[0]}
    return ReadingLogged.model_validate({**usual, **judged, **event, **slots})


STORY: list[Event] = [
    StepDone(at=at(5), step="strip"),
    reading(10, "9 thou", decision="out of limits", beyond="4 thou", side="high"),
    ReadingSettled(at=at(10), id="r10"),
    OutcomeGiven(at=at(11), id="r10", outcome="set again"),
    reading(12, "15 thou", decision="out of limits", beyond="10 thou", side="high"),
    reading(13, "3 thou", corrects="r12"),
    reading(14, "1 thou", corrects="r13", decision="out of limits", beyond="1 thou", side="low"),
    ReadingSettled(at=at(14), id="r14"),
    OutcomeGiven(at=at(15), id="r14", outcome="accepted", reason="owner wants it tight"),
    reading(16, "40.1 mm", characteristic="spindle length", unit="mm", limits="none", decision="no limits",
            tool=None, uncertainty=None),
    EntryWithdrawn(at=at(17), id="r16", why="taken back"),
    reading(18, "40.2 mm", characteristic="spindle length", unit="mm", limits="none", decision="no limits",
            tool=None, uncertainty=None, clip="ab" * 32),
    CheckAnswered(at=at(19), step="float", id="c1", question="Does it run free?", passed=False),
    NoteKept(at=at(20), step="float", id="n1", text="second shim is bent", seconds=4.4, clip="1a2b3c4d" * 8),
    NoteKept(at=at(21), step="float", id="n2", text="", seconds=2.0),
    StepDone(at=at(22), step="float"),
    JobPaused(at=at(30)),
    JobResumed(at=at(150)),
    StepSkipped(at=at(155), step="cover", reason="gasket to come"),
    JobFinished(at=at(160), open_points=("step 2: the check failed",)),
]  # fmt: skip
