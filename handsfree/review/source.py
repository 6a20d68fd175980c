"""The procedure a job was worked by, from the log alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from contextlib import suppress

from pydantic import ValidationError

from handsfree.job.events import JobOpened, ProcedureTakenUp, ReadingLogged
from handsfree.job.state import JobState
from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.model import Characteristic, Procedure


def procedures_of(state: JobState) -> dict[str, Procedure]:
    """The procedures of a job by name, in the order of their first use; ``state.of(name)`` is the job as it stands with
    each. None for a job that was taken in and not yet worked. A text that is lost, or that this version can't read,
    costs its words only: what was done and measured by it stands in a ``stand_in``."""
    found: dict[str, Procedure] = {}
    for name, brought in state.procedures.items():
        here = state.of(name)
        try:
            found[name] = procedure_of(brought).given(here.answers)
        except ProcedureError:
            instead = stand_in(brought, here)
            if instead is not None:
                found[name] = instead
    return found


def procedure_of(opened: JobOpened | ProcedureTakenUp) -> Procedure:
    """The procedure as it stood when the job took it up, whatever has become of its file; ProcedureError."""
    return parse_procedure(
        (opened.procedure_text or "").encode(), f"{opened.procedure_name} (kept in the log)"
    ).procedure


def stand_in(brought: JobOpened | ProcedureTakenUp, state: JobState) -> Procedure | None:
    """What the events of a job tell of a procedure whose text can't be read: its steps by their identifiers, as they
    came, and what was measured at each. None where there is no step at all."""
    measured: dict[str, dict[str, Characteristic]] = defaultdict(dict)
    for step in filter(None, (*state.steps, state.step)):
        measured[step]
    for entry in state.entries.values():
        if entry.procedure is None or entry.event.step is None:
            continue
        here = measured[entry.event.step]
        if isinstance(entry.event, ReadingLogged):
            here |= {each.name: each for each in _characteristic(entry.event)}
    if not measured:
        return None
    head = {
        "title": f"{brought.title or brought.procedure_name} (its text can't be read)",
        "item": state.fact("item") or "not known",
        "revision": brought.revision or "not known",
    }
    steps = [
        {"id": step, "do": f"{step} (the words of this step can't be read)", "measure": tuple(given.values())}
        for step, given in measured.items()
    ]
    with suppress(ValidationError):
        return Procedure.model_validate({**head, "steps": steps})
    # What was measured does not go together, as in a damaged log: its readings stand by themselves.
    return Procedure.model_validate({**head, "steps": [{**step, "measure": ()} for step in steps]})


def _characteristic(reading: ReadingLogged) -> Iterator[Characteristic]:
    """What was measured, as far as a procedure could ask for it; nothing where it could not."""
    with suppress(ValidationError):
        yield Characteristic.model_validate(
            {"name": reading.characteristic, "unit": reading.unit, "when": reading.occasion}
        )
