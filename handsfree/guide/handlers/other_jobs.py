"""Several items on the bench: which jobs stand open, going to another one, and what runs on in the one that is left."""

from __future__ import annotations

from collections.abc import Sequence

from handsfree.guide.effects import ChangeJob
from handsfree.guide.handlers.job import disassembly, notes, timers
from handsfree.guide.handlers.steps import moving, procedures
from handsfree.guide.session import Question, Turn, item_words
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import JobPaused, JobResumed, ProcedureTakenUp
from handsfree.job.log.numbers import number_of
from handsfree.phrases.intents import Intent, Kind
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, sentence, sentences, time_left
from handsfree.wording.facts import codes_told, told_apart

MOST_TOLD = 6
"""Jobs that are told one by one."""


def tell_open_jobs(turn: Turn, _: Intent) -> None:
    """The jobs that stand open, as they can be called."""
    jobs = turn.session.open_jobs()
    if not jobs:
        turn.say("No other job is open here.")
        return
    told = [_told(job) for job in jobs[:MOST_TOLD]]
    more = len(jobs) - MOST_TOLD
    told += [f"and {counted(more, 'more job')}"] if more > 0 else []
    turn.say(sentences((f"{counted(len(jobs), 'job')} open", *told)))


def _told(job: JobSummary) -> str:
    named = ", ".join((job.item or "item not named", *codes_told(job.serial, job.owner)))
    return f"job {whole_words(number_of(job.id))}, {named}"


def go_to_job(turn: Turn, intent: Intent) -> None:
    """Leave this job as it is and work another one; where several may be meant, they are asked about."""
    jobs = turn.session.open_jobs()
    if intent.step is not None:
        meant = [job for job in jobs if number_of(job.id) == intent.step]
        called = f"job {whole_words(intent.step)}"
    else:
        ids = turn.session.language.vocabulary.jobs.get(intent.name or "", ())
        meant = [job for job in jobs if job.id in ids]
        called = intent.name or "that"
    if not meant:
        turn.say(f"No job that is called {called} is open. Say which jobs are open.")
    elif len(meant) > 1:
        _ask_which(turn, meant)
    else:
        turn.say_lead()
        turn.effects.append(ChangeJob(meant[0].id, turn.now))


def _ask_which(turn: Turn, meant: Sequence[JobSummary]) -> None:
    same = len({number_of(job.id) for job in meant}) < len(meant)
    days = [f"{_told(job)}, opened on {job.opened.astimezone():%A}" if same else _told(job) for job in meant]
    how = "its owner or its serial number" if same else "job, and its number"

    def answer(turn: Turn, intent: Intent) -> None:
        turn.settle()
        go_to_job(turn, intent)

    prompt = f"{sentences(days)} Which? Say go to, and {how}."
    turn.ask(Question(prompt, {Kind.GO_TO_JOB: answer}, otherwise="Still at this job."))


def leave(turn: Turn) -> None:
    """This job stands as it is from now on: what of it goes on is said, and what was asked is dropped."""
    if turn.session.question is not None:
        turn.lead = turn.session.question.on_drop
        turn.settle()
    turn.session.looking = None
    turn.record(JobPaused)
    turn.session.machine.move("leave")
    standing = turn.session.standing_dangers()
    running = [
        f"timer {timer.name} runs on, {time_left(timer.ends - turn.now)}" for timer in turn.state.timers.values()
    ]
    said = " ".join((*standing, sentences(running)))
    if said.strip() or turn.lead:
        turn.say(f"{item_words(turn.session)} {said}".strip(), must_hear=bool(standing))


def go_on(turn: Turn, taken_up: ProcedureTakenUp | None) -> None:
    """This job is the one at the bench from now on: it is named, with what stands in it, and goes on where it was."""
    first = turn.session.machine.state == "resuming"
    turn.session.machine.move("agree" if first else "return")
    turn.record(JobResumed, step=turn.state.step)
    turn.lead = notes.keep_what_was_cut_off(turn)
    turn.arrive()
    if taken_up is not None:
        turn.take(taken_up)
    turn.session.not_named = True
    turn.lead = " ".join(filter(None, (item_words(turn.session), sentences(told_apart(turn.state)), turn.lead)))
    if turn.session.worked.apart:
        disassembly.announce(turn)
    elif turn.state.step is None:
        procedures.taken_up(turn)
    else:
        _at_its_step(turn)


def _at_its_step(turn: Turn) -> None:
    target: int | None = turn.session.current
    if turn.state.status(turn.procedure.steps[turn.session.current].id) != "open":
        target = moving.open_after(turn, turn.session.current)
    standing = turn.session.standing_dangers(but=target)
    if target is None:
        turn.say(" ".join((*standing, "No step of it is open. Say finish the job.")), must_hear=True)
    else:
        moving.enter(turn, target, " ".join(standing), lead_must_be_heard=bool(standing))


def ring_aside(turn: Turn) -> None:
    """Timers of a job that stands aside, told with its item."""
    before = len(turn.effects)
    timers.ring(turn)
    turn.name_says(item_words(turn.session), since=before)


def running_on(turn: Turn) -> str:
    """What runs on in a job that stands aside when nobody is at the bench any more."""
    names = list(turn.state.timers)
    timers_on = sentence(f"timer {listed(names)} runs on and can't be heard") if names else ""
    said = " ".join((*turn.session.standing_dangers(), timers_on)).strip()
    return f"{item_words(turn.session)} {said}" if said else ""
