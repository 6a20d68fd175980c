"""The procedure that is drafted from taking apart: reverse order, nothing lost, and only its gaps to complain of."""

from __future__ import annotations

import io
import random
import sys
from collections.abc import Sequence
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.cli import main
from handsfree.guide.stripping import StrippingGuide, removals
from handsfree.job.events import JobOpened
from handsfree.job.state import JobState
from handsfree.making.draft import drafted
from handsfree.making.stripping_list import stripping_procedure
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import plain_words
from handsfree.phrases.stripping import StrippingLanguage
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.checker import check
from handsfree.procedure.loader import parse
from handsfree.procedure.model import Procedure

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=timezone.utc)
LANGUAGE = StrippingLanguage()


def _taken_apart(lines: Sequence[str], item: str = "Bench gauge, pattern C") -> JobState:
    loaded = stripping_procedure(item)
    guide = StrippingGuide(loaded.procedure, LANGUAGE)
    guide.open(
        JobOpened(
            at=NOON, title=loaded.procedure.title, revision="1", procedure_sha256=loaded.sha256,
            procedure_text=loaded.text, procedure_name="strip", item=item, purpose="stripping",
        )
    )  # fmt: skip
    now = NOON
    for line in lines:
        now += timedelta(seconds=5)
        words = plain_words(line)
        intents = LANGUAGE.interpret(words)
        guide.hear(Utterance(words, Hearing.CLEAR if intents else Hearing.NONE, intents, free_text=line), now)
    return guide.state


def _procedure(*lines: str) -> Procedure:
    return parse(drafted(_taken_apart(lines), "2026-03-02-1").text.encode(), "draft.yaml").procedure


LATCH = (
    "end play four thou",
    "removed two screws, M two by five, cheese head, blackened, from the top",
    "tray three",
    "mark made at the bottom",
    "removed the front cover",
    "tray four",
    "shim, ten thou",
    "tray five",
    "removed three nuts six B A left hand thread",
    "note",
    "the long one goes at the back",
    "end of note",
    "removed the lever, long side up",
    "tray six",
)


def test_what_came_off_last_goes_back_first() -> None:
    acts = [step.act for step in _procedure(*LATCH).steps]
    assert acts == [
        "Lay the trays out and find the marks.",
        "Fit the lever with its nuts.",
        "Fit the shim of ten thou.",
        "Fit the front cover with its screws.",
    ]


def test_fasteners_trays_marks_and_notes_are_filled_in() -> None:
    first, lever, shim, cover = _procedure(*LATCH).steps
    (screws,) = cover.fasteners
    assert (screws.count, screws.size, screws.head, screws.finish, screws.where) == (
        2, "M2 x 5", "cheese head", "blackened", "the top",
    )  # fmt: skip
    assert (lever.fasteners[0].size, lever.fasteners[0].head, lever.fasteners[0].left_hand) == ("6 BA", "nut", True)
    assert [step.tray for step in (lever, shim, cover)] == ["six", "five", "three and four"]
    assert [(mark.name, mark.where) for mark in first.marks] == [("mark", "at the bottom")]
    assert cover.meets == ("mark",)
    assert lever.details == "The long one goes at the back."
    assert lever.cautions == ("The lever sits long side up.",)


def test_a_clearance_as_found_is_the_first_proposal_for_the_target() -> None:
    cover = _procedure(*LATCH).steps[-1]
    (measured,) = cover.characteristics
    assert (measured.name, measured.unit, measured.target.text if measured.target else None) == (
        "end play", "thou", "4",
    )  # fmt: skip
    assert measured.low is measured.high is None


def test_a_figure_is_asked_for_when_what_it_was_taken_of_is_together_again() -> None:
    steps = _procedure("removed the cover", "gap two thou", "removed the lever", "removed the hook").steps
    assert [(step.act, len(step.characteristics)) for step in steps[1:]] == [
        ("Fit the hook.", 0),
        ("Fit the lever.", 1),
        ("Fit the cover.", 0),
    ]


def test_what_was_taken_back_does_not_come_back() -> None:
    steps = _procedure("removed the cover", "removed the hook", "take back").steps
    assert [step.act for step in steps[1:]] == ["Fit the cover."]


def test_a_spring_gets_the_danger_that_goes_with_it() -> None:
    (_, spring) = _procedure("removed the spring").steps
    assert spring.dangers[0].kind == "spring"


def test_the_checker_finds_the_gaps_and_nothing_else(tmp_path: Path) -> None:
    made = drafted(_taken_apart([*LATCH, "removed two screws"]), "2026-03-02-1")
    path = tmp_path / "latch.yaml"
    path.write_text(made.text, encoding="utf-8")
    problems = check(path)
    assert len(problems) == made.gaps == made.text.count("GAP:")
    assert all("a gap for the writer" in problem.message for problem in problems)
    assert any("which tool" in problem.message for problem in problems)


_SAID = (Kind.REMOVED, Kind.REMOVED, Kind.PUT_IN_TRAY, Kind.MARKED, Kind.LOG, Kind.TAKE_BACK)


@settings(max_examples=40)
@given(st.randoms(use_true_random=False), st.integers(1, 25))
def test_whatever_is_taken_apart_the_draft_has_it_and_passes_but_for_its_gaps(
    tmp_path_factory: pytest.TempPathFactory, rng: random.Random, count: int
) -> None:
    lines = [" ".join(LANGUAGE.sample(rng, rng.choice(_SAID))) for _ in range(count)]
    state = _taken_apart(["removed the cover", *lines], 'A "gauge": #7')
    if not removals(state):
        return
    made = drafted(state, "2026-03-02-1")
    path = tmp_path_factory.mktemp("draft") / "draft.yaml"
    path.write_text(made.text, encoding="utf-8")
    assert [str(p) for p in check(path) if "a gap for the writer" not in p.message] == []
    procedure = parse(made.text.encode(), path).procedure
    screws = sum(off.count for off in removals(state) if off.sort == "fastener")
    assert sum(fastener.count for step in procedure.steps for fastener in step.fasteners) == screws
    marks = [mark.name for step in procedure.steps for mark in step.marks]
    assert len(set(marks)) == len(marks)


def test_from_the_strip_to_the_file_by_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    logs, file = tmp_path / "logs", tmp_path / "latch.yaml"
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join([*LATCH, "finish the job"])))
    assert main(["strip", "Bench gauge", "--listen", "typed", "--speak", "print", "--logs", str(logs)]) == 0
    assert "The procedure to put it back: handsfree draft" in capsys.readouterr().out
    assert main(["draft", "--logs", str(logs), "--to", str(file)]) == 0
    assert main(["check", str(file)]) == 0
    assert main(["draft", "--logs", str(logs), "--to", str(file)]) == 2
    assert "is there already" in capsys.readouterr().err
    # The draft can be rehearsed as it is.
    monkeypatch.setattr(sys, "stdin", io.StringIO("next\nnext\n"))
    assert main(["rehearse", str(file), "--logs", str(logs)]) == 0
    assert "Fit the shim of ten thou." in capsys.readouterr().out


def test_a_job_that_took_nothing_apart_has_no_draft(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    logs = str(tmp_path / "logs")
    assert main(["draft", "--logs", logs]) == 2
    assert "handsfree strip" in capsys.readouterr().err
    monkeypatch.setattr(sys, "stdin", io.StringIO("where am i\n"))
    main(["strip", "Bench gauge", "--listen", "typed", "--speak", "print", "--logs", logs])
    assert main(["draft", "--logs", logs]) == 2
    assert "nothing was taken apart" in capsys.readouterr().err
    monkeypatch.setattr(sys, "stdin", io.StringIO("next\n"))
    main(["run", "focusing-slide", "--listen", "typed", "--speak", "print", "--logs", logs])
    capsys.readouterr()
    assert main(["draft", f"{datetime.now().astimezone():%Y-%m-%d}-2", "--logs", logs]) == 2
    assert "took nothing apart" in capsys.readouterr().err
