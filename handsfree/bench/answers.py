"""Answers to a procedure's questions about the item that can't be told from commands."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.phrases.language import Language
from handsfree.procedure.loader import Loaded
from handsfree.procedure.problems import Problem, ProcedureError
from handsfree.procedure.variants import YES_OR_NO


def fit_for_the_bench(loaded: Loaded) -> Loaded:
    """``loaded``; ProcedureError where an answer in it would be taken for a command."""
    problems = tuple(answers_taken_for_commands(loaded))
    if problems:
        raise ProcedureError(*problems)
    return loaded


def answers_taken_for_commands(loaded: Loaded) -> Iterator[Problem]:
    """Each answer that already means something else when it is said, with its place in the file."""
    language: Language | None = None
    for name, question in loaded.procedure.questions.items():
        for number, answer in enumerate(question.answers):
            if answer in YES_OR_NO:
                continue
            language = language or Language()
            meanings = language.interpret_text(answer)
            if meanings:
                by_serial = answer in question.by_serial and not _written(loaded, name)
                place = ("by serial", answer) if by_serial else ("answers", number)
                command = meanings[0].kind.value.replace("_", " ")
                yield Problem(
                    loaded.path,
                    *loaded.mark(("questions", name, *place)),
                    f'the answer "{answer}" is also a command at the bench ({command}); '
                    f'use other words, such as "{answer} {name}" or "the {answer} one"',
                )


def _written(loaded: Loaded, name: str) -> bool:
    """Whether the answers are listed, not only named by their serial numbers."""
    questions = loaded.data.get("questions") if isinstance(loaded.data, dict) else None
    question = questions.get(name) if isinstance(questions, dict) else None
    return isinstance(question, dict) and "answers" in question
