"""Standing by, pausing, finishing, and how loudly and how fast to speak."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from handsfree.guide.effects import Adjust
from handsfree.guide.handlers.steps.moving import enter, go_to, open_after
from handsfree.guide.session import Question, Turn
from handsfree.job.counter.orders import waited_for
from handsfree.job.events import CameBack, JobFinished, JobPaused, StepDone, StoodBy
from handsfree.phrases.intents import Intent, Kind
from handsfree.text.numerals import whole_words
from handsfree.text.prose import listed, sentence, sentences, time_left
from handsfree.wording import gaps, instructions
from handsfree.wording.facts import told_apart
from handsfree.wording.tally import waiting_words


def stand_by(turn: Turn, _: Intent) -> None:
    turn.session.machine.move("stand_by")
    turn.record(StoodBy)
    turn.say("Standing by. Say back at the bench.")


def come_back(turn: Turn, _: Intent) -> None:
    turn.session.machine.move("come_back")
    turn.record(CameBack)
    if turn.session.question is not None and turn.session.question.firm:
        turn.say(f"Back. {turn.session.question.prompt}")
        return
    wait = gaps.wait_words(turn.step, turn.state, turn.now)
    turn.say(
        f"Back. {instructions.step_words(turn.step, turn.here + 1, briefly=turn.session.briefly, wait=wait)}",
        must_hear=bool(turn.step.dangers),
    )


def already_here(turn: Turn, _: Intent) -> None:
    turn.say("I am listening.")


def pause(turn: Turn, _: Intent) -> None:
    turn.session.machine.move("pause")
    turn.record(JobPaused)
    warning = " ".join((*turn.session.standing_dangers(), *_timers(turn)))
    at = "" if turn.session.worked.apart else f" at step {whole_words(turn.session.current + 1)}"
    turn.say(f"{warning} Job paused{at}. Nothing is lost.".strip())
    turn.end("paused")


def _timers(turn: Turn) -> list[str]:
    """Timers that nobody will tell of while no job is at the bench."""
    running = turn.state.timers.values()
    return [
        sentence(
            f"timer {timer.name} runs on, {time_left(timer.ends - turn.now)}; "
            "it can ring only when the job is taken up again"
        )
        for timer in running
    ]


def finish_job(turn: Turn, _: Intent) -> None:
    """Finish the job; what it lacks is said and asked about first."""
    lacking = gaps.of_job(turn.procedure, turn.state)
    points, words = list(lacking.points), [lacking.words] if lacking.words else []
    for title, other in _elsewhere(turn):
        points += [f"{title}: {point}" for point in other.points]
        words += [f"in {title}, {other.words}"] if other.words else []
    words += [lacking.unsigned] if lacking.unsigned else []
    finish_with(turn, points, sentences(words), "Job finished. The review is ready.")


def finish_with(
    turn: Turn, points: Sequence[str], lacking: str, said: str, *, step_too: bool = False, also: Sequence[Kind] = ()
) -> None:
    """Finish the job with these ``points`` open, of which ``lacking`` tells and asks first if there are any; ``said``
    when it is finished; ``step_too``: the step in view is done by it; ``also``: further commands that mean yes."""

    def end(turn: Turn) -> None:
        if step_too:
            turn.record(StepDone)
        turn.record(JobFinished, open_points=tuple(points))
        turn.session.machine.move("finish")
        turn.say(said)
        turn.end("finished")

    if points:
        turn.confirm(f"{lacking} Finish anyway? Yes or no.", end, "Not finished. Still at the bench.", also=also)
    else:
        end(turn)


def _elsewhere(turn: Turn) -> Iterator[tuple[str, gaps.JobGaps]]:
    """What the other procedures of the job lack, by title; parts are the whole job's, and told once."""
    for name, procedure in turn.session.others.items():
        if name in turn.state.procedures:
            yield (
                procedure.title,
                replace(gaps.of_job(procedure, turn.state.of(name)), parts=(), parts_words=(), unsigned=""),
            )


def adjust(turn: Turn, intent: Intent) -> None:
    """The speaker answers for itself: it alone knows its bounds."""
    turn.effects.append(Adjust(intent.kind.value))  # type: ignore[arg-type]


def answer_briefly(turn: Turn, _: Intent) -> None:
    """Fewer words from now on, for whoever knows the procedure."""
    turn.session.briefly = True
    turn.say("Short answers.")


def answer_in_full(turn: Turn, _: Intent) -> None:
    turn.session.briefly = False
    turn.say("Full answers.")


def ask_to_resume(turn: Turn) -> None:
    """Where the job stands after a pause, and an agreement before going on."""
    state, steps = turn.state, turn.procedure.steps
    target = turn.session.current
    if state.status(steps[target].id) != "open":
        following = open_after(turn, target)
        target = target if following is None else following
    number = target + 1
    done = [i for i, step in enumerate(steps, 1) if step.id == state.last_done]
    said = [f"Job taken up again: {state.fact('item') or turn.procedure.item}", *told_apart(state)]
    if done:
        said.append(f"last done: step {whole_words(done[0])}, {steps[done[0] - 1].act}")
    here = steps[target]
    begun = [m.name for m in here.characteristics if state.readings(here.id, m.name)]
    if begun:
        said.append(f"half done: step {whole_words(number)}, {listed(begun)} logged")
    waiting = waiting_words(waited_for(state))
    said += [f"it {waiting}"] if waiting else []
    lead = sentences(said)
    standing = turn.session.standing_dangers()

    def agree(turn: Turn, _: Intent) -> None:
        turn.settle()
        turn.session.machine.move("agree")
        enter(turn, target)

    def elsewhere(turn: Turn, intent: Intent) -> None:
        turn.settle()
        turn.session.machine.move("agree")
        go_to(turn, intent)

    def wait(turn: Turn, _: Intent) -> None:
        # At the bench, at the step where the job was left: everything that can be said there can be said now.
        turn.settle()
        turn.session.machine.move("agree")
        turn.say(f"At step {whole_words(number)}, then. Say go to step, with its number, or pause the job.")

    question = Question(
        f"Go on from step {whole_words(number)}? Yes or no.",
        {Kind.YES: agree, Kind.NEXT: agree, Kind.GO_TO: elsewhere, Kind.NO: wait},
        waits=True,
        firm=True,
    )
    turn.ask(question, lead=" ".join((*standing, lead)), must_hear=bool(standing))
