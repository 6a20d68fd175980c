"""How long the review takes when it is read aloud, by the voice that reads it."""

from __future__ import annotations

import pytest

from handsfree.guide.handlers.job.review import HOW
from handsfree.job.events import (
    CheckAnswered,
    Event,
    FactNoted,
    JobOpened,
    OutcomeGiven,
    PartsCounted,
    ReadingLogged,
    StepDone,
    StepEntered,
    TimerStarted,
)
from handsfree.job.state import fold
from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.model import Procedure
from handsfree.review.text.spoken import spoken_review
from handsfree.speaking.voice.synthesis import Synthesiser
from tests.support.played import MORNING as AT


def _everything_wrong(finding: str, figure: str) -> tuple[Procedure, list[Event]]:
    """A job with many points of every kind, ``finding`` and ``figure`` being their words."""
    steps = "".join(
        f"  - id: s{n}\n    do: Set it.\n    check: Is it set?\n    dangers: {{say: {finding}, until: last}}\n"
        f"    measure: {{name: circumferential clearance {chr(97 + n)}, unit: mm, limits: [1, 2]}}\n"
        for n in range(8)
    )
    head = "title: Straightening of the intermediate countershaft\nitem: x\nrevision: 1\nsteps:\n"
    text = f"{head}{steps}  - {{id: last, do: Close it.}}\n"
    procedure = parse_procedure(text.encode(), "countershaft").procedure
    events: list[Event] = [
        JobOpened(
            at=AT, title=procedure.title, revision="1", procedure_sha256="0" * 64, procedure_text=text,
            procedure_name="countershaft",
        )
    ]  # fmt: skip
    for number, step in enumerate(procedure.steps[:8]):
        name = step.characteristics[0].name
        slots = {
            "at": AT, "step": step.id, "characteristic": name, "occasion": "as set", "value": figure, "unit": "mm",
            "as_said": f"{figure} mm", "limits": "1 to 2 mm", "side": "high", "beyond": "3 mm",
        }  # fmt: skip
        out, undecided = {"decision": "out of limits"}, {"decision": "undecided"}
        events += [StepEntered(at=AT, step=step.id), StepDone(at=AT, step=step.id)]
        events += [ReadingLogged.model_validate({**slots, **out, "id": f"{word}{number}"}) for word in "abc"]
        events.append(ReadingLogged.model_validate({**slots, **undecided, "id": f"d{number}"}))
        events.append(OutcomeGiven(at=AT, id=f"a{number}", outcome="accepted", reason=finding))
        events.append(OutcomeGiven(at=AT, id=f"b{number}", outcome="left open"))
        events.append(CheckAnswered(at=AT, id=f"e{number}", step=step.id, question="Is it set?", passed=False))
        events.append(FactNoted(at=AT, id=f"f{number}", about="finding", severity="unsafe", text=finding))
        events.append(FactNoted(at=AT, id=f"g{number}", about="finding", severity="serious", text=finding))
    events += [PartsCounted(at=AT, id=part, part=part, count=37, way="out") for part in ("screw", "washer", "spring")]
    return procedure, [*events, TimerStarted(at=AT, name="lacquer", seconds=600)]


@pytest.mark.skipif(not Synthesiser.available(), reason="there is no speech engine here")
@pytest.mark.parametrize(
    ("finding", "figure"),
    [
        ("Worn", "1.5"),
        ("The left hand bearing shell is scored right round", "127.375"),
        ("Intercrystalline disintegration throughout circumferential reinforcements", "1031.0625"),
        ("Stamped 7731 0045 9926 1187 3340", "0.00012345"),
        ("A. B. C. D. E. F", "3"),
    ],
)
def test_the_review_is_over_within_a_minute_whatever_was_found(finding: str, figure: str) -> None:
    procedure, events = _everything_wrong(finding, figure)
    said = " ".join(spoken_review({"countershaft": procedure}, fold(events)))
    assert "still present" in said
    assert Synthesiser().seconds(f"{said} Ninety nine points to look at. Sixty entries besides. {HOW}") < 60
