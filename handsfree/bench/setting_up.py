"""Getting a job ready: its procedure, its place in the log, the ear that hears for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from handsfree.bench import changing
from handsfree.bench.answers import fit_for_the_bench
from handsfree.bench.bench import Changer
from handsfree.bench.looking_back import earlier_figures
from handsfree.bench.people import spoken_people
from handsfree.guide.disassembly import DisassemblyGuide
from handsfree.guide.figures.earlier import EarlierFigure
from handsfree.guide.guide import Guide
from handsfree.guide.session import Session, WorkedProcedure
from handsfree.job.errors import JobFinishedAlready
from handsfree.job.events import JobOpened, ProcedureTakenUp, Purpose
from handsfree.job.log.store import JobLog, Store
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState, fold
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly import StrippingLanguage
from handsfree.phrases.expectation import Expectation
from handsfree.phrases.language import Language
from handsfree.procedure.file.loader import Loaded, load_procedure
from handsfree.procedure.model import Procedure
from handsfree.procedure.shipped import find
from handsfree.procedure.workshop import Workshop, tool_names, tools_at_hand
from handsfree.review.source import procedure_of, procedures_of
from handsfree.review.text.at_bench import review_at_bench

NO_WORKSHOP = Workshop()


def language_of(
    procedure: Procedure,
    workshop: Workshop = NO_WORKSHOP,
    procedures: Mapping[str, str] | None = None,
    people: Iterable[str] = (),
) -> Language:
    """The language in which a procedure is worked; ``procedures``: those to change to, by their spoken names;
    ``people``: who may be at the bench, besides those whom the workshop's file names."""
    return Language(
        Vocabulary(
            characteristics=procedure.names,
            units={measured.name: measured.unit for measured in procedure.characteristics},
            timers=procedure.timers,
            tools=tool_names(tuple(tools_at_hand(procedure, workshop).values())),
            answers=procedure.answers,
            procedures=procedures or {},
            people=spoken_people((*workshop.people, *people)),
        )
    )


def session_of(  # noqa: PLR0913 - what a job is opened with, all of it by keyword
    procedure: Procedure,
    state: JobState | None = None,
    workshop: Workshop = NO_WORKSHOP,
    *,
    purpose: Purpose = "repair",
    parts: Sequence[str] = (),
    procedures: Mapping[str, str] | None = None,
    earlier: Sequence[EarlierFigure] = (),
    others: Mapping[str, Procedure] | None = None,
    people: Iterable[str] = (),
) -> Session:
    """The conversation about a job of this purpose, new or (with its ``state``) taken up again.

    ``parts`` are further names of parts, when taking apart; ``procedures`` those to change to, by their spoken names;
    ``others`` those that the job was worked by already. The figures taken while taking apart have no tools.
    """
    apart = purpose == "stripping"
    language = StrippingLanguage(parts) if apart else language_of(procedure, workshop, procedures, people)
    return Session(
        WorkedProcedure(procedure, language, earlier),
        state or JobState(),
        dict(others or {}),
        workshop=NO_WORKSHOP if apart else workshop,
        reviewer=review_at_bench,
    )


def guide_of(session: Session, purpose: Purpose) -> Guide:
    """The guide for a job of this purpose."""
    return DisassemblyGuide(session) if purpose == "stripping" else Guide(session)


def load_named(name_or_path: str) -> Loaded:
    """A procedure by its path or the bare name of one that is shipped, fit for the bench; ProcedureError."""
    return fit_for_the_bench(load_procedure(find(name_or_path)))


@dataclass
class ReadyJob:
    """A job to be worked: new (``opened``), or taken up again (``log``)."""

    guide: Guide
    opened: JobOpened | None
    log: JobLog | None
    note: str | None = None
    """Something the user should know before it begins."""
    taken_up: ProcedureTakenUp | None = None
    """For a job in which another procedure was worked last, or none yet."""
    changer: Changer | None = None
    """Takes another procedure up by voice, where procedures can be changed."""

    def language(self) -> Language:
        """What can be said now."""
        return self.guide.session.language

    def expects(self) -> Expectation:
        """What is likely to be said now."""
        return self.guide.expects()


def ready(  # noqa: PLR0913 - what a job is opened with, all of it by keyword
    loaded: Loaded,
    store: Store,
    now: datetime,
    *,
    item: str | None = None,
    serial: str | None = None,
    owner: str | None = None,
    new: bool = False,
    workshop: Workshop = NO_WORKSHOP,
    job: str | None = None,
    worker: str | None = None,
    purpose: Purpose = "repair",
    parts: Sequence[str] = (),
    changing_too: bool = False,
) -> ReadyJob:
    """The ``job`` of this number, else the unfinished one of this procedure (item and serial, where given), else a
    ``new`` one. ``changing_too``: other procedures can be changed to by voice. LogError."""
    name = loaded.path.stem
    known = changing.procedures_at_hand(loaded.path.parent) if changing_too and purpose != "stripping" else {}
    said = changing.spoken_names(known)
    people = ([worker] if worker else []) + store.workers()
    if job is None and not new:
        job = next((unfinished.id for unfinished in store.unfinished(name, item, serial, purpose)), None)
    opened = opened_with(loaded, now, item=item, serial=serial, owner=owner, purpose=purpose, parts=parts)
    if job is None:
        store.prepare()
        begun = session_of(
            loaded.procedure,
            workshop=workshop,
            purpose=purpose,
            parts=opened.parts,
            procedures=said,
            earlier=earlier_figures(store, name, opened.item, opened.serial),
            people=people,
        )
        made = ReadyJob(guide_of(begun, purpose), opened, None)
    else:
        made = _again(loaded, store, now, workshop, job, procedures=said, people=people)
    made.guide.session.worker = worker
    if known:

        def changer(session: Session, name: str, now: datetime, job: str) -> tuple[WorkedProcedure, ProcedureTakenUp]:
            def language(procedure: Procedure) -> Language:
                return language_of(procedure, workshop, said, people)

            return changing.changed(session, name, now, known=known, language=language, store=store, job=job)

        made.changer = changer
    return made


def _again(
    loaded: Loaded,
    store: Store,
    now: datetime,
    workshop: Workshop,
    job: str,
    *,
    procedures: Mapping[str, str],
    people: Sequence[str],
) -> ReadyJob:
    log = store.resume(job)
    try:
        state = fold(log.events())
        if state.finished is not None:
            raise JobFinishedAlready(log.job)
        name, procedure, note = loaded.path.stem, loaded.procedure, None
        kept = state.procedures.get(name)
        if kept is not None and kept.procedure_sha256 != loaded.sha256:
            # A job keeps to the procedure it began with: its log would not fit the changed one.
            procedure = procedure_of(kept)
            note = f"{loaded.path.name} has changed since; job {log.job} goes on with the procedure it began with."
        taken_up = None
        if state.working != name:
            taken_up = ProcedureTakenUp.again(kept, now) if kept is not None else changing.taken_up_anew(loaded, now)
        purpose: Purpose = state.opened.purpose if state.opened is not None else "repair"
        session = session_of(
            procedure,
            state,
            workshop,
            purpose=purpose,
            parts=state.opened.parts if state.opened is not None else (),
            procedures=procedures,
            earlier=earlier_figures(store, name, state.fact("item"), state.fact("serial"), without=log.job),
            others={other: given for other, given in procedures_of(state).items() if other != name},
            people=people,
        )
    except BaseException:
        log.close()
        raise
    return ReadyJob(guide_of(session, purpose), None, log, note, taken_up)
