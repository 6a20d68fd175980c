"""Getting a job ready: its procedure, its place in the log, the ear that hears for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from handsfree.bench import changing
from handsfree.bench.answers import fit_for_the_bench
from handsfree.bench.bench import Changer
from handsfree.bench.looking_back import earlier_figures
from handsfree.bench.loops.sources import DICTATION_PHRASES
from handsfree.guide.disassembly import DisassemblyGuide
from handsfree.guide.earlier import EarlierFigure
from handsfree.guide.guide import Guide
from handsfree.guide.session import Session, WorkedProcedure
from handsfree.hearing.disfluency import PatientEar
from handsfree.hearing.ear import Ear
from handsfree.hearing.ensemble import TwoEars
from handsfree.hearing.errors import HearingError
from handsfree.hearing.memory import give_back, uncollected
from handsfree.hearing.recogniser import Recogniser
from handsfree.job.errors import JobFinishedAlready
from handsfree.job.events import JobOpened, ProcedureTakenUp, Purpose
from handsfree.job.log.store import JobLog, Store
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState, fold
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly import StrippingLanguage
from handsfree.phrases.expectation import NOTHING, Expectation
from handsfree.phrases.language import Language
from handsfree.procedure.file.loader import Loaded, load_procedure
from handsfree.procedure.model import Procedure
from handsfree.procedure.shipped import find
from handsfree.procedure.workshop import Workshop, tool_names, tools_at_hand
from handsfree.review.source import procedure_of, procedures_of
from handsfree.review.text.at_bench import review_at_bench

NO_WORKSHOP = Workshop()

Choice = Literal["auto", "builtin", "vosk", "both"]


def language_of(
    procedure: Procedure, workshop: Workshop = NO_WORKSHOP, procedures: Mapping[str, str] | None = None
) -> Language:
    """The language in which a procedure is worked; ``procedures``: those to change to, by their spoken names."""
    units = {each.name: each.unit for each in procedure.characteristics}
    tools = tool_names(tuple(tools_at_hand(procedure, workshop).values()))
    return Language(Vocabulary(procedure.names, units, procedure.timers, tools, procedure.answers, procedures or {}))


def session_of(
    procedure: Procedure,
    state: JobState | None = None,
    workshop: Workshop = NO_WORKSHOP,
    *,
    purpose: Purpose = "repair",
    parts: Sequence[str] = (),
    procedures: Mapping[str, str] | None = None,
    earlier: Sequence[EarlierFigure] = (),
    others: Mapping[str, Procedure] | None = None,
    worker: str | None = None,
) -> Session:
    """The conversation about a job of this purpose, new or (with its ``state``) taken up again.

    ``parts`` are further names of parts, when taking apart; ``procedures`` those to change to, by their spoken names;
    ``others`` those that the job was worked by already. The figures taken while taking apart have no tools.
    """
    apart = purpose == "stripping"
    language = StrippingLanguage(parts) if apart else language_of(procedure, workshop, procedures)
    return Session(
        WorkedProcedure(procedure, language, earlier),
        state or JobState(),
        dict(others or {}),
        workshop=NO_WORKSHOP if apart else workshop,
        worker=worker,
        reviewer=review_at_bench,
    )


def guide_of(session: Session, purpose: Purpose) -> Guide:
    """The guide for a job of this purpose."""
    return DisassemblyGuide(session) if purpose == "stripping" else Guide(session)


def load_named(name_or_path: str) -> Loaded:
    """A procedure by its path or the bare name of one that is shipped, fit for the bench; ProcedureError."""
    return fit_for_the_bench(load_procedure(find(name_or_path)))


def open_recogniser(choice: Choice, vosk_model: Path | None = None) -> Recogniser:
    """The recogniser that was asked for; "auto" is Vosk where a model is given or found, else the built-in one.

    HearingError where it is not to be had.
    """
    if choice != "builtin":
        from handsfree.hearing.vosk.adapter import VoskRecogniser, find_vosk_model, how_to_get_vosk_model

        model = find_vosk_model(vosk_model)
        if model is not None:
            return VoskRecogniser(model)
        if choice == "vosk":
            raise HearingError(f"no Vosk model is installed; {how_to_get_vosk_model()}")
    from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
    from handsfree.hearing.builtin.second_reader import find_second_reader

    return BuiltinRecogniser(second=find_second_reader())


def open_ear(
    recogniser: Recogniser, language: Language, expects: Callable[[], Expectation] = lambda: NOTHING
) -> PatientEar:
    """An ear that hears ``language``; ``expects`` tells what is likely to be said next."""
    recogniser.set_grammar(language.automaton)
    ear = Ear(
        recogniser,
        language.interpret,
        dictation_phrases=DICTATION_PHRASES,
        meaning=language.meaning,
        expects=expects,
    )
    return PatientEar(ear, language)


def open_hearing(
    choice: Choice, vosk_model: Path | None, language: Language, expects: Callable[[], Expectation] = lambda: NOTHING
) -> Hearing:
    """The ear, or the two ears, that were asked for. HearingError where they are not to be had."""
    from handsfree.hearing.builtin.recogniser import BuiltinRecogniser

    names: tuple[Choice, ...] = ("builtin", "vosk") if choice == "both" else (choice,)
    with uncollected():
        recognisers = [open_recogniser(name, vosk_model) for name in names]
        # What loading them took is free again for the grammar. Side by side they would be ready 0.2 s sooner, and want
        # 60 MB more at a time.
        give_back()
        notes = [line for recogniser in recognisers for line in unknown_words(recogniser, language)]
        ears = [open_ear(recogniser, language, expects) for recogniser in recognisers]
    name = " and ".join(recogniser.name for recogniser in recognisers)
    seconds = [each.has_second for each in recognisers if isinstance(each, BuiltinRecogniser)]
    give_back()
    return Hearing(ears[0] if len(ears) == 1 else TwoEars(ears[0], ears[1]), name, notes, (*seconds, None)[0])


@dataclass
class Hearing:
    """An ear ready to hear, what it is called, and what the user should know of it before the job begins."""

    ear: PatientEar | TwoEars
    name: str
    notes: list[str]
    second_reader: bool | None
    """Whether the built-in recogniser has one; None where another recogniser is used."""


def unknown_words(recogniser: Recogniser, language: Language) -> list[str]:
    """Which words of the language ``recogniser`` can never hear: first those of the procedure, then the rest."""
    missing = set(recogniser.missing_words(language.automaton.words))
    names = language.vocabulary.characteristics
    unheard = [name for name in names if missing & set(name.split())]
    timers = [name for name in language.vocabulary.timers if missing & set(name.split())]
    lines = []
    for name in (*unheard, *timers):
        words = ", ".join(f'"{word}"' for word in name.split() if word in missing)
        lines.append(
            f'The {recogniser.name} recogniser does not know {words}: "{name}" can\'t be heard; give another name for '
            "it in the procedure (also:)."
        )
    rest = sorted(missing - {word for name in (*unheard, *timers) for word in name.split()})
    if rest:
        lines.append(f"The {recogniser.name} recogniser does not know these words of the commands: {', '.join(rest)}.")
    return lines


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


def ready(
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
    if job is None and not new:
        job = next((found.id for found in store.unfinished(name, item, serial, purpose)), None)
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
            worker=worker,
        )
        made = ReadyJob(guide_of(begun, purpose), opened, None)
    else:
        made = _again(loaded, store, now, workshop, job, procedures=said, worker=worker)
    if known:

        def changer(session: Session, name: str, now: datetime) -> tuple[WorkedProcedure, ProcedureTakenUp]:
            return changing.changed(
                session,
                name,
                now,
                known=known,
                language=lambda procedure: language_of(procedure, workshop, said),
                store=store,
                job=made.log.job if made.log is not None else None,
            )

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
    worker: str | None,
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
        taken_up = None if state.working == name else _taken_up(loaded, now, new=kept is None)
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
            worker=worker,
        )
    except BaseException:
        log.close()
        raise
    return ReadyJob(guide_of(session, purpose), None, log, note, taken_up)


def _taken_up(loaded: Loaded, now: datetime, *, new: bool) -> ProcedureTakenUp:
    return ProcedureTakenUp(
        at=now,
        procedure_name=loaded.path.stem,
        title=loaded.procedure.title,
        revision=loaded.procedure.revision,
        procedure_sha256=loaded.sha256,
        procedure_text=loaded.text if new else None,
        steps=len(loaded.procedure.steps) if new else 0,
    )
