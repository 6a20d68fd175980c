"""Who is at the bench, and what only another person may do."""

from __future__ import annotations

from handsfree.guide.session import Turn
from handsfree.job.events import WorkerChanged
from handsfree.job.log.numbers import number_of
from handsfree.phrases.intents import Intent
from handsfree.phrases.quantities.spelling import spelled
from handsfree.text.numerals import whole_words
from handsfree.text.prose import sentence, sentences
from handsfree.wording.attendance import WaitingCheck, check_refused, sign_off_refused, waiting_checks

_MOST_TOLD = 4
"""Checks that wait in other jobs and are told one by one."""
SAY_WHO = "Say who is at the bench: this is, and the name."


def change_worker(turn: Turn, intent: Intent) -> None:
    """Somebody else is at the bench from now on."""
    name = intent.name or _known(turn, intent.text or "")
    words = name if intent.name or name != intent.text else spelled(name)
    if name == turn.state.worker:
        turn.say(f"{sentence(words)} At the bench already.", tail=_still_asked(turn))
        return
    turn.record(WorkerChanged, name=name)
    turn.say(f"At the bench: {sentence(words)}", must_hear=True, tail=_still_asked(turn))


def _still_asked(turn: Turn) -> str:
    """What has to be answered yet, whoever is here."""
    return turn.session.question.prompt if turn.session.question is not None else ""


def _known(turn: Turn, letters: str) -> str:
    """The person whose name was spelled, where one is known by it."""
    people = turn.session.language.vocabulary.people.values()
    return next((name for name in people if name.upper() == letters), letters)


def who_is_here(turn: Turn) -> str:
    """Asks for the name where a procedure wants some things done by another person, and none was given."""
    wanted = turn.procedure.sign_off_by_another or any(step.check_by_another for step in turn.procedure.steps)
    return SAY_WHO if wanted and turn.state.worker is None else ""


def tell_waiting_checks(turn: Turn, _: Intent) -> None:
    """The steps of the job that are done but for the check of another person, with who did them; then those of the
    other jobs that are open."""
    told = []
    for waiting in waiting_checks(turn.session.procedures, turn.state, turn.now):
        of = "" if waiting.procedure == turn.state.working else f"{waiting.title}, "
        told.append(f"{of}{_waiting(waiting)}")
    here = turn.state.opened.at if turn.state.opened is not None else None
    elsewhere = [(job, waiting) for job, waiting in turn.session.checks_of_open_jobs(turn.now) if job.opened != here]
    for job, waiting in elsewhere[:_MOST_TOLD]:
        told.append(f"job {whole_words(number_of(job.id))}, {job.item or waiting.title}, {_waiting(waiting)}")
    more = len(elsewhere) - _MOST_TOLD
    told += [f"and {whole_words(more)} more"] if more > 0 else []
    turn.say(sentences(("waiting for a check", *told)) if told else "No step waits for a check.")


def _waiting(waiting: WaitingCheck) -> str:
    by = f", by {waiting.by}" if waiting.by else ""
    return f"step {whole_words(waiting.number)}, {waiting.act}{by}"


def check_is_refused(turn: Turn) -> bool:
    """Whether the check of this step is for another person to answer; says so."""
    step = turn.current_step
    refused = check_refused(turn.state, step.id) if step.check_by_another else ""
    if refused:
        turn.say(refused)
    return bool(refused)


def sign_off_is_refused(turn: Turn) -> bool:
    """Whether the job is for another person to sign; says so."""
    wanted = any(procedure.sign_off_by_another for procedure in turn.session.procedures.values())
    refused = sign_off_refused(turn.state, turn.state.worker) if wanted else ""
    if refused:
        turn.say(refused)
    return bool(refused)
