"""The procedures that a job may change to by voice, and their guides."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from handsfree.bench.answers import fit_for_the_bench
from handsfree.bench.looking_back import earlier_figures
from handsfree.guide.effects import Change
from handsfree.guide.session import Session, WorkedProcedure
from handsfree.job.events import ProcedureTakenUp
from handsfree.job.log.store import Store
from handsfree.job.state import JobState
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.phrases.language import Language, plain_words
from handsfree.procedure.file.loader import Loaded, load_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.model import Procedure
from handsfree.procedure.shipped import shipped_dir
from handsfree.review.source import procedure_of

MOST_FILES = 40
"""Files of one folder that can be named; more would make every name harder to hear."""

_STEPS = re.compile(r"^steps\s*:", re.MULTILINE)


def procedures_at_hand(folder: Path) -> dict[str, Path]:
    """The procedures that come with the package and those in ``folder``, which come first, by their names."""
    found: dict[str, Path] = {}
    for place in dict.fromkeys((folder.resolve(), shipped_dir())):
        files = sorted(file for file in place.glob("*.y*ml") if _is_procedure(file))
        for file in files[:MOST_FILES]:
            found.setdefault(file.stem, file)
    return found


def readable(known: Mapping[str, Path]) -> Iterator[Procedure]:
    """Those of the procedures of which the file has no fault."""
    for file in known.values():
        with suppress(ProcedureError):
            yield load_procedure(file).procedure


def _is_procedure(file: Path) -> bool:
    """Whether it looks like one; its faults are told when it is taken up."""
    try:
        return _STEPS.search(file.read_text(encoding="utf-8", errors="replace")) is not None
    except OSError:
        return False


def spoken_names(names: Mapping[str, Path]) -> dict[str, str]:
    """How each of the procedures is said: its file's name, in words."""
    said: dict[str, str] = {}
    for name in names:
        words = " ".join(plain_words(name.replace("-", " ").replace("_", " ")))
        if words:
            said.setdefault(words, name)
    return said


def taken_up_anew(loaded: Loaded, now: datetime, *, apart: bool = False) -> ProcedureTakenUp:
    """The event by which a job takes up a procedure that it was not worked by before; ``apart``: that of taking
    apart."""
    return ProcedureTakenUp(
        at=now,
        procedure_name=loaded.path.stem,
        title=loaded.procedure.title,
        revision=loaded.procedure.revision,
        procedure_sha256=loaded.sha256,
        procedure_text=loaded.text,
        steps=len(loaded.procedure.steps),
        apart=True if apart else None,
    )


def changed(
    session: Session,
    change: Change,
    *,
    known: Mapping[str, Path],
    language: Callable[[Procedure | None, JobState], Language],
    store: Store,
    job: str,
) -> tuple[WorkedProcedure, ProcedureTakenUp]:
    """Another procedure for the job of ``session``, ready to be worked, and the event by which it is taken up.

    A procedure that the job was worked by already is taken as it stood then; ``language`` is that of a procedure
    (None: of taking apart). ProcedureError, LogError.
    """
    state, now, apart = session.state, change.at, change.apart
    name = name_apart(state) or change.name if apart else change.name
    kept = state.procedures.get(name)
    if kept is not None:
        procedure = procedure_of(kept)
        taken_up = ProcedureTakenUp.again(kept, now)
    elif apart:
        loaded = stripping_procedure(state.fact("item") or session.procedure.item)
        procedure, name = loaded.procedure, loaded.path.stem
        taken_up = taken_up_anew(loaded, now, apart=True)
    else:
        loaded = fit_for_the_bench(load_procedure(known[name]))
        procedure = loaded.procedure
        taken_up = taken_up_anew(loaded, now)
    earlier = earlier_figures(store, name, state.fact("item"), state.fact("serial"), without=job)
    apart = taken_up.takes_apart
    return WorkedProcedure(procedure, language(None if apart else procedure, state), earlier, apart), taken_up


def name_apart(state: JobState) -> str | None:
    """The name of the procedure by which something was taken apart in the job; None where nothing was."""
    return next((name for name in state.procedures if state.takes_apart(name)), None)
