"""Who is at the bench, and what only another person may do."""

from __future__ import annotations

from handsfree.guide.session import Turn
from handsfree.job.events import WorkerChanged
from handsfree.phrases.intents import Intent
from handsfree.phrases.quantities.spelling import spelled
from handsfree.text.numerals import whole_words
from handsfree.text.prose import listed, sentence, sentences
from handsfree.wording import gaps
from handsfree.wording.attendance import check_refused, sign_off_refused

SAY_WHO = "Say who is at the bench: this is, and the name."


def change_worker(turn: Turn, intent: Intent) -> None:
    """Somebody else is at the bench from now on."""
    name = intent.name or _known(turn, intent.text or "")
    words = name if intent.name or name != intent.text else spelled(name).rstrip(".")
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
    """The steps of the job that are done but for the check of another person, with who did them."""
    told = []
    for name, procedure in turn.session.procedures.items():
        there = turn.state.of(name)
        for number, step in enumerate(procedure.steps, 1):
            if gaps.waits_for_check(step, there, turn.now):
                of = "" if name == turn.state.working else f"{procedure.title}, "
                by = listed(sorted(hand for hand in there.hands_at(step.id) if hand))
                told.append(f"{of}step {whole_words(number)}, {step.act.rstrip('.')}{f', by {by}' if by else ''}")
    turn.say(sentences(("waiting for a check", *told)) if told else "No step waits for a check.")


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
