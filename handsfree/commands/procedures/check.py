"""``handsfree check``: every problem of procedure files, with its line."""

from __future__ import annotations

import argparse

from handsfree.bench.answers import answers_taken_for_commands
from handsfree.procedure.check.checker import check as check_file
from handsfree.procedure.file.problems import ProblemSeverity, ProcedureError
from handsfree.procedure.shipped import find


def run_check(args: argparse.Namespace) -> int:
    """Print every problem of every file; 2 when one of them cannot be used."""
    code = 0
    for name in args.procedures:
        try:
            problems = check_file(find(name), [answers_taken_for_commands])
        except ProcedureError as error:
            problems = list(error.problems)
        # What keeps it from being used comes first.
        for problem in sorted(problems, key=lambda problem: problem.severity is not ProblemSeverity.ERROR):
            print(problem)
        if any(problem.severity is ProblemSeverity.ERROR for problem in problems):
            code = 2
        elif not problems:
            print(f"{name}: good")
    return code
