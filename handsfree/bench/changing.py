"""The procedures that a job may change to by voice, and their guides."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

from handsfree.bench.answers import fit_for_the_bench
from handsfree.bench.looking_back import earlier_figures
from handsfree.guide.session import Session, WorkedProcedure
from handsfree.job.events import ProcedureTakenUp
from handsfree.job.log.store import Store
from handsfree.phrases.language import Language, plain_words
from handsfree.procedure.file.loader import Loaded, load_procedure
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


def taken_up_anew(loaded: Loaded, now: datetime) -> ProcedureTakenUp:
    """The event by which a job takes up a procedure that it was not worked by before."""
    return ProcedureTakenUp(
        at=now,
        procedure_name=loaded.path.stem,
        title=loaded.procedure.title,
        revision=loaded.procedure.revision,
        procedure_sha256=loaded.sha256,
        procedure_text=loaded.text,
        steps=len(loaded.procedure.steps),
    )


def changed(
    session: Session,
    name: str,
    now: datetime,
    *,
    known: Mapping[str, Path],
    language: Callable[[Procedure], Language],
    store: Store,
    job: str,
) -> tuple[WorkedProcedure, ProcedureTakenUp]:
    """Another procedure for the job of ``session``, ready to be worked, and the event by which it is taken up.

    A procedure that the job was worked by already is taken as it stood then. ProcedureError, LogError.
    """
    state = session.state
    kept = state.procedures.get(name)
    if kept is not None:
        procedure = procedure_of(kept)
        taken_up = ProcedureTakenUp.again(kept, now)
    else:
        loaded = fit_for_the_bench(load_procedure(known[name]))
        procedure = loaded.procedure
        taken_up = taken_up_anew(loaded, now)
    earlier = earlier_figures(store, name, state.fact("item"), state.fact("serial"), without=job)
    return WorkedProcedure(procedure, language(procedure), earlier), taken_up
