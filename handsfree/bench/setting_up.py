"""Getting a job ready: its procedure, its place in the log, the ear that hears for it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache, partial
from pathlib import Path

from handsfree.bench import changing
from handsfree.bench.answers import fit_for_the_bench
from handsfree.bench.bench import Changer
from handsfree.bench.looking_back import earlier_figures
from handsfree.bench.people import spoken_people
from handsfree.bench.side_by_side import OpenedJob, Opener, names_of, open_jobs
from handsfree.guide.effects import Change
from handsfree.guide.figures.earlier import EarlierFigure
from handsfree.guide.guide import Guide
from handsfree.guide.session import Session, WorkedProcedure
from handsfree.job.counted_parts import COUNTED
from handsfree.job.errors import JobFinishedAlready, LogCorrupt
from handsfree.job.events import JobOpened, ProcedureTakenUp, Purpose
from handsfree.job.log.store import JobLog, Store
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState, fold
from handsfree.job.tally import taken_off
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.expectation import Expectation
from handsfree.phrases.language import Language
from handsfree.procedure.file.loader import Loaded, load_procedure, parse_procedure
from handsfree.procedure.file.problems import ProcedureError
from handsfree.procedure.model import Procedure
from handsfree.procedure.shipped import find
from handsfree.procedure.words import KnownWords, sayable, words_of
from handsfree.procedure.workshop import Workshop, tool_names, tools_at_hand
from handsfree.review.source import procedure_of, procedures_of
from handsfree.review.text.at_bench import review_at_bench
from handsfree.review.waiting import checks_of_open_jobs

NO_WORKSHOP = Workshop()
NO_WORDS = KnownWords()


def language_of(
    procedure: Procedure,
    workshop: Workshop = NO_WORKSHOP,
    procedures: Mapping[str, str] | None = None,
    people: Iterable[str] = (),
    out: Sequence[str] = (),
    jobs: Mapping[str, tuple[str, ...]] | None = None,
    words: KnownWords = NO_WORDS,
) -> Language:
    """The language in which a procedure is worked; ``procedures``: those to change to, by their spoken names;
    ``people``: who may be at the bench, besides those whom the workshop's file names; ``out``: parts that
    are counted by their own names; ``jobs``: those to go to, as they are called; ``words``: what the counter knows
    besides the workshop's own words and those of the procedure."""
    return _compiled(
        Language,
        Vocabulary(
            characteristics=procedure.names,
            units={measured.name: measured.unit for measured in procedure.characteristics},
            timers=procedure.timers,
            tools=tool_names(tuple(tools_at_hand(procedure, workshop).values())),
            answers=procedure.answers,
            procedures=procedures or {},
            people=spoken_people((*workshop.people, *people)),
            out=[part for part in out if part not in COUNTED],
            jobs=jobs or {},
            words=words_of([procedure]) | workshop.words | words,
            currency=workshop.terms.currency,
        ),
    )


@lru_cache(maxsize=8)
def _compiled(of: type[Language], vocabulary: Vocabulary) -> Language:
    """The same again where the names are the same: whoever changes between two jobs does not wait for the grammar."""
    return of(vocabulary)


def stripping_language(workshop: Workshop, words: KnownWords, folder: Path) -> Language:
    """What can be said while taking apart, with the procedures in ``folder`` and those shipped at hand."""
    known = changing.procedures_at_hand(folder)
    return _Names(changing.spoken_names(known), (), words, workshop, known).language(None)


def session_of(
    procedure: Procedure,
    state: JobState | None = None,
    workshop: Workshop = NO_WORKSHOP,
    *,
    language: Language | None = None,
    apart: bool = False,
    earlier: Sequence[EarlierFigure] = (),
    others: Mapping[str, Procedure] | None = None,
) -> Session:
    """The conversation about a job, new or (with its ``state``) taken up again.

    ``language``: what can be said, where it is more than the procedure's own; ``apart``: the procedure is that of
    taking apart; ``others``: those that the job was worked by already.
    """
    return Session(
        WorkedProcedure(procedure, language or language_of(procedure, workshop), earlier, apart),
        review_at_bench,
        state or JobState(),
        dict(others or {}),
        workshop=workshop,
    )


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
    opener: Opener | None = None
    """Takes another job up by voice, where jobs can be changed."""
    at_bench: Callable[[], Guide] | None = None
    """The conversation about the job at the bench now: another job may be there by then."""

    def _now(self) -> Guide:
        return self.at_bench() if self.at_bench is not None else self.guide

    def language(self) -> Language:
        """What can be said now."""
        return self._now().session.language

    def expects(self) -> Expectation:
        """What is likely to be said now."""
        return self._now().expects()


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
    words: KnownWords = NO_WORDS,
    changing_too: bool = False,
) -> ReadyJob:
    """The ``job`` of this number, else the unfinished one of this procedure (item and serial, where given), else a
    ``new`` one. ``purpose`` "stripping": ``loaded`` is the procedure of taking apart, of a job of any purpose;
    ``changing_too``: other procedures can be changed to by voice. LogError."""
    name = loaded.path.stem
    known = changing.procedures_at_hand(loaded.path.parent) if changing_too else {}
    people = ([worker] if worker else []) + store.workers()
    names = _Names(changing.spoken_names(known), people, words | KnownWords(parts=tuple(parts)), workshop, known)
    if known and purpose != "rehearsal":
        names = replace(names, jobs=lambda: names_of(open_jobs(store)))
    if job is None and not new:
        job = next((unfinished.id for unfinished in store.unfinished(name, item, serial, purpose)), None)
    opened = opened_with(loaded, now, item=item, serial=serial, owner=owner, purpose=purpose, parts=parts)
    if job is None:
        store.prepare()
        begun = session_of(
            loaded.procedure,
            workshop=workshop,
            language=names.language(None if opened.takes_apart else loaded.procedure),
            apart=opened.takes_apart,
            earlier=earlier_figures(store, name, opened.item, opened.serial),
        )
        made = ReadyJob(Guide(begun), opened, None)
    else:
        made = _again(loaded, store, now, job, names, apart=purpose == "stripping")
    made.guide.session.worker = worker
    if known and purpose != "rehearsal":
        _lay_open(made.guide.session, store)

        def opener(job: str, now: datetime) -> OpenedJob:
            another = _another(store, now, job, names)
            _lay_open(another.guide.session, store)
            assert another.log is not None
            return OpenedJob(another.guide, another.log, another.taken_up)

        made.opener = opener
    if known:

        def changer(session: Session, change: Change, job: str) -> tuple[WorkedProcedure, ProcedureTakenUp]:
            return changing.changed(
                session,
                change,
                known=known,
                language=names.language,
                store=store,
                job=job,
            )

        made.changer = changer
    return made


def _lay_open(session: Session, store: Store) -> None:
    """Let a conversation know of the other jobs that are open."""
    session.open_jobs = lambda: open_jobs(store)
    session.checks_of_open_jobs = partial(checks_of_open_jobs, store)


@dataclass(frozen=True)
class _Names:
    """What can be said beside a procedure's own names."""

    procedures: Mapping[str, str]
    people: Sequence[str]
    words: KnownWords
    """What is known while something is taken apart, besides the workshop's own words and those of ``known``."""
    workshop: Workshop
    known: Mapping[str, Path]
    """The files of the procedures at hand."""
    jobs: Callable[[], Mapping[str, tuple[str, ...]]] = dict
    """How the jobs that are open can be called."""

    def language(self, procedure: Procedure | None, state: JobState | None = None) -> Language:
        """The language in which ``procedure`` is worked (None: that of taking apart) in a job that stands so."""
        if procedure is None:
            return _compiled(StrippingLanguage, self._vocabulary())
        out = () if state is None else sayable(taken_off(state))
        return language_of(
            procedure, self.workshop, self.procedures, self.people, out=out, jobs=self.jobs(), words=self.words
        )

    def _vocabulary(self) -> Vocabulary:
        people = spoken_people((*self.workshop.people, *self.people))
        words = words_of(changing.readable(self.known)) | self.workshop.words | self.words
        return Vocabulary(
            tools=tool_names(self.workshop.tools),
            procedures=self.procedures,
            people=people,
            words=words,
            jobs=self.jobs(),
            currency=self.workshop.terms.currency,
        )


def _another(store: Store, now: datetime, job: str, names: _Names) -> ReadyJob:
    """A job by its number, with the procedure that was worked in it last; taking apart, where none was yet."""
    state = fold(store.events(job))
    kept = state.procedures.get(state.working)
    if kept is None:
        return _again(stripping_procedure(state.fact("item") or "item"), store, now, job, names, apart=True)
    try:
        loaded = parse_procedure((kept.procedure_text or "").encode(), f"{state.working}.yaml")
    except ProcedureError as error:
        raise LogCorrupt(
            f"the text of {state.working} in job {job} can't be read; name a procedure to go on with: "
            f"handsfree run PROCEDURE --job {job}"
        ) from error
    return _again(loaded, store, now, job, names, apart=kept.takes_apart)


def _again(loaded: Loaded, store: Store, now: datetime, job: str, names: _Names, *, apart: bool) -> ReadyJob:
    log = store.resume(job)
    try:
        state = fold(log.events())
        if state.finished is not None:
            raise JobFinishedAlready(log.job)
        name = (changing.name_apart(state) if apart else None) or loaded.path.stem
        procedure, note = loaded.procedure, None
        kept = state.procedures.get(name)
        if kept is not None and kept.procedure_sha256 != loaded.sha256:
            # A job keeps to the procedure it began with: its log would not fit the changed one.
            if kept.procedure_text:
                procedure = procedure_of(kept)
                note = f"{loaded.path.name} has changed since; job {log.job} goes on with the procedure it began with."
                note = None if apart else note
            else:
                note = f"The text of job {log.job} is lost; it goes on with {loaded.path.name} as it is now."
                kept = None
        taken_up = None
        if kept is None or state.working != name:
            anew = changing.taken_up_anew(loaded, now, apart=apart)
            taken_up = ProcedureTakenUp.again(kept, now) if kept is not None else anew
        parts = state.opened.parts if state.opened is not None else ()
        names = replace(names, words=KnownWords(parts=parts) | names.words)
        session = session_of(
            procedure,
            state,
            names.workshop,
            language=names.language(None if apart else procedure, state),
            apart=apart,
            earlier=earlier_figures(store, name, state.fact("item"), state.fact("serial"), without=log.job),
            others={other: given for other, given in procedures_of(state).items() if other != name},
        )
    except BaseException:
        log.close()
        raise
    return ReadyJob(Guide(session), None, log, note, taken_up)
