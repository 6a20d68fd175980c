"""What differs between items: asked once, or decided by the serial number, and then kept in the log."""

from __future__ import annotations

from collections.abc import Callable

from handsfree.guide.session import Handler, Question, Turn
from handsfree.job.events import QuestionAnswered
from handsfree.phrases.intents import Intent, Kind
from handsfree.procedure.variants import YES_OR_NO
from handsfree.text.numerals import whole_words
from handsfree.text.prose import listed, numbered, sentence, sentences

Then = Callable[[Turn, str], None]
"""What follows once everything is answered, with what is to be said first."""


def record_answer(turn: Turn, name: str, answer: str, *, by_serial: bool = False) -> None:
    """Write an answer down, with the steps that it leaves out."""
    procedure = turn.procedure
    answers = {**turn.state.answers, name: answer}
    turn.record(
        QuestionAnswered,
        name=name,
        question=procedure.questions[name].ask,
        answer=answer,
        how="serial number" if by_serial else "said",
        left_out=procedure.left_out(answers),
        sounds=() if by_serial else turn.sound(),
    )


def decide_by_serial(turn: Turn, serial: str | None) -> str:
    """Write down what the serial number decides; what is to be said of it."""
    said = []
    for name, question in turn.procedure.questions.items():
        answer = question.decided_by(serial)
        if answer is not None and name not in turn.state.answers:
            record_answer(turn, name, answer, by_serial=True)
            said.append(f"by its serial number, {name}: {answer}")
    return sentences(said)


def contradictions(turn: Turn, serial: str | None, *names: str) -> list[str]:
    """Answers about this item (of these ``names``, else of all questions) that its serial number does not bear out."""
    answers, said = turn.state.answers, []
    for name, question in turn.procedure.questions.items():
        decided = question.decided_by(serial)
        if decided is not None and answers.get(name, decided) != decided and name in (names or (name,)):
            said.append(f"by its serial number, {name} would be {decided}; say ask me again to change it")
    return said


def _open_behind(turn: Turn) -> list[int]:
    """Numbers of the steps before this one that are open."""
    steps = turn.procedure.steps[: turn.session.current]
    return [number for number, step in enumerate(steps, 1) if turn.state.status(step.id) == "open"]


def needed(turn: Turn, index: int) -> list[str]:
    """The questions that have to be answered before step ``index`` is entered."""
    asked = turn.procedure.questions
    at_start = [name for name, question in asked.items() if question.when == "start"]
    wanted = (*at_start, *turn.procedure.undecided(turn.procedure.steps[index].id, turn.state.answers))
    return [name for name in asked if name in wanted and name not in turn.state.answers]


def ask_variant(turn: Turn, name: str, then: Then, lead: str = "") -> None:
    """Ask about one difference. Nothing else goes on before it is answered: steps and limits depend on it."""
    question = turn.procedure.questions[name]

    def take(turn: Turn, answer: str) -> None:
        turn.settle()
        due_before = _open_behind(turn)
        record_answer(turn, name, answer)
        due = [number for number in _open_behind(turn) if number not in due_before]
        told = [f"{name}: {answer}", *contradictions(turn, turn.state.fact("serial"), name)]
        told += [f"now {numbered([whole_words(number) for number in due])} behind has to be done"] if due else []
        then(turn, sentences(told))

    def yes_or_no(turn: Turn, intent: Intent) -> None:
        take(turn, "yes" if intent.kind is Kind.YES else "no")

    def choice(turn: Turn, intent: Intent) -> None:
        if intent.answer in question.answers:
            take(turn, intent.answer)
        else:
            turn.signal("question")
            turn.say(prompt)

    prompt = f"{sentence(question.ask)} {listed(question.answers, 'or').capitalize()}."
    answers: dict[Kind, Handler] = {Kind.ANSWER: choice}
    if set(question.answers) == set(YES_OR_NO):
        del answers[Kind.ANSWER]
    answers |= {kind: yes_or_no for kind, word in ((Kind.YES, "yes"), (Kind.NO, "no")) if word in question.answers}
    # A lead may hold a danger: it is said again when it is cut off.
    turn.ask(Question(prompt, answers, waits=True, firm=True), lead=lead, must_hear=bool(lead))


def tell_variants(turn: Turn, _: Intent) -> None:
    """What is known of this item."""
    known = turn.state.answers
    if not turn.procedure.questions:
        turn.say("This procedure knows no variants.")
        return
    said = [
        f"{name}: {known[name]}" if name in known else f"{name}: not asked yet" for name in turn.procedure.questions
    ]
    turn.say(sentences(said))


def last_asked(turn: Turn) -> str | None:
    """The name of the question that was answered last."""
    return next((name for name in reversed(turn.state.answers) if name in turn.procedure.questions), None)
