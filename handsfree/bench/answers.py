"""Answers to a procedure's questions about the item that can't be told from commands."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.phrases.language import Language
from handsfree.procedure.check.checker import CheckFinding
from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.file.problems import Problem, ProblemSeverity, ProcedureError
from handsfree.procedure.model import Procedure
from handsfree.procedure.variants import YES_OR_NO


def fit_for_the_bench(loaded: Loaded) -> Loaded:
    """``loaded``; ProcedureError where an answer in it would be taken for a command."""
    taken = answers_taken_for_commands(loaded.procedure)
    problems = tuple(Problem(loaded.path, *loaded.mark(place), message, severity) for place, message, severity in taken)
    if problems:
        raise ProcedureError(*problems)
    return loaded


def answers_taken_for_commands(procedure: Procedure) -> Iterator[CheckFinding]:
    """Each answer that already means something else when it is said, with its place in the file."""
    language: Language | None = None
    for name, question in procedure.questions.items():
        for number, answer in enumerate(question.answers):
            if answer in YES_OR_NO:
                continue
            language = language or Language()
            meanings = language.interpret_text(answer)
            if meanings:
                command = meanings[0].kind.value.replace("_", " ")
                place = ("by serial", answer) if answer in question.by_serial else ("answers", number)
                yield (
                    ("questions", name, *place),
                    f'the answer "{answer}" is also a command at the bench ({command}); '
                    f'use other words, such as "{answer} {name}" or "the {answer} one"',
                    ProblemSeverity.ERROR,
                )
