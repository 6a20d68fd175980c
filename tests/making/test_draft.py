"""The procedure that is drafted from taking apart: reverse order, nothing lost, and only its gaps to complain of."""

from __future__ import annotations

import io
import random
import sys
from collections import Counter
from collections.abc import Sequence
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.bench.setting_up import session_of
from handsfree.cli import main
from handsfree.guide.guide import Guide
from handsfree.job.disassembly import removals
from handsfree.job.events import JobOpened, MarkMade, NoteKept, PartsRemoved, ReadingLogged
from handsfree.job.state import JobState
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.making.draft import drafted
from handsfree.measure.figure import figure_from_text
from handsfree.measure.formatting import spoken
from handsfree.measure.units import convert
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import plain_words
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.check.checker import check
from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.model import Procedure
from handsfree.procedure.values import figure_with_unit
from handsfree.text.numerals import whole_words
from handsfree.text.prose import plural

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=timezone.utc)
LANGUAGE = StrippingLanguage()


def _taken_apart(lines: Sequence[str], item: str = "Bench gauge, pattern C") -> JobState:
    loaded = stripping_procedure(item)
    guide = Guide(session_of(loaded.procedure, language=LANGUAGE, apart=True))
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
    return guide.session.state


def _procedure(*lines: str) -> Procedure:
    return parse_procedure(drafted(_taken_apart(lines), "2026-03-02-1").text.encode(), "draft.yaml").procedure


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


def test_what_must_be_in_before_is_written_where_it_was_said() -> None:
    steps = {step.act: step for step in _procedure(
        "pinion end play four thou", "two dots across the cover and the frame", "removed the lever",
        "removed two screws from the top", "removed the cover", "removed two nuts from the frame", "shim, ten thou",
        "removed two bolts from the top", "gap two thou", "removed the pinion", "removed the frame",
    ).steps}  # fmt: skip
    names = {step.id: act for act, step in steps.items()}
    needs = {act: {names[each] for each in step.needs} for act, step in steps.items() if step.needs}
    assert needs == {
        # Measured with the bolts out already.
        "Put the two bolts back at the top.": {"Fit the pinion."},
        # They hold something to the frame, and the shim came out with them.
        "Put the two nuts back in the frame.": {"Fit the frame.", "Fit the shim of ten thou."},
        # Both came from the top; the dots are met where the second of their parts goes back.
        "Fit the cover with its screws.": {"Put the two bolts back at the top.", "Fit the frame."},
    }
    assert [act for act, step in steps.items() if step.meets] == ["Fit the cover with its screws."]
    # The end play is that of the pinion, whatever came off next.
    assert [names[each] for each in steps["Fit the lever."].rests_on] == ["Fit the pinion."]


def test_screws_are_put_back_where_they_were_said_to_be_from() -> None:
    steps = _procedure("removed two screws from the bridge", "removed the lever", "removed the bridge").steps
    assert [step.act for step in steps[1:]] == [
        "Fit the bridge.", "Fit the lever.", "Put the two screws back in the bridge.",
    ]  # fmt: skip
    assert steps[-1].fasteners[0].where == "the bridge"
    # Of the part that came off with them, or of a place of the item, they are its own.
    for place in ("the cover", "the top", "the frame"):
        acts = [step.act for step in _procedure(f"removed two screws from {place}", "removed the cover").steps[1:]]
        assert acts == ["Fit the cover with its screws."]


def test_a_shims_place_and_what_lay_on_it_are_known() -> None:
    _, shim, cover = _procedure("removed the cover", "shim, ten thou, from the left").steps
    assert shim.act == "Fit the shim of ten thou at the left."
    assert cover.needs == (shim.id,)
    (_, lever) = _procedure("removed the lever from the top left").steps
    assert lever.cautions == ("It came from the top left.",)


def test_an_order_that_nobody_spoke_of_is_a_gap() -> None:
    text = drafted(_taken_apart(["removed the cover", "removed the lever"]), "2026-03-02-1").text
    wanted = [line for line in text.splitlines() if "must be in before it" in line]
    assert len(wanted) == 1 and "(needs: fit-the-lever?)" in wanted[0]


def test_a_figure_that_was_taken_twice_is_there_twice() -> None:
    text = drafted(_taken_apart(["gap two thou", "gap three thou", "removed the cover"]), "2026-03-02-1").text
    assert "target: 3 #" in text and "found before that: 2 thou" in text


_SAID = (Kind.REMOVED, Kind.REMOVED, Kind.REMOVED, Kind.PUT_IN_TRAY, Kind.MARKED, Kind.LOG, Kind.TAKE_BACK)
_NOTE = ["note", "the long one goes at the back", "end of note"]


@settings(max_examples=60, deadline=None)
@given(st.randoms(use_true_random=False), st.integers(1, 25))
def test_whatever_is_taken_apart_the_draft_has_it_and_passes_but_for_its_gaps(
    tmp_path_factory: pytest.TempPathFactory, rng: random.Random, count: int
) -> None:
    lines = ["removed the cover"]
    for _ in range(count):
        lines += _NOTE if rng.random() < 0.1 else [" ".join(LANGUAGE.sample(rng, rng.choice(_SAID)))]
    state = _taken_apart(lines, 'A "gauge": #7')
    off = removals(state)
    if not off:
        return
    made = drafted(state, "2026-03-02-1")
    path = tmp_path_factory.mktemp("draft") / "draft.yaml"
    path.write_text(made.text, encoding="utf-8")
    problems = check(path)
    assert [str(p) for p in problems if "a gap for the writer" not in p.message] == []
    assert len(problems) == made.gaps
    procedure = parse_procedure(made.text.encode(), path).procedure
    _has_every_removal(procedure, state, off)
    _has_every_mark_and_figure(procedure, state, made.text)


def _has_every_removal(procedure: Procedure, state: JobState, off: Sequence[PartsRemoved]) -> None:
    fasteners = Counter(
        (each.count, each.size if each.size and "GAP" not in each.size else None, each.finish, each.left_hand)
        for step in procedure.steps
        for each in step.fasteners
    )
    assert fasteners == Counter((e.count, e.size, e.finish, e.left_hand) for e in off if e.sort == "fastener")
    acts = Counter(
        step.act.partition(" with its ")[0].partition(" of ")[0].partition(" at ")[0].partition(" in ")[0].rstrip(".")
        for step in procedure.steps
    )
    parts = Counter(f"Fit {counted(e.count, e.what)}" for e in off if e.sort != "fastener")
    assert parts <= acts
    told = " ".join(" ".join((step.act, *step.cautions)) for step in procedure.steps)
    for each in off:
        if each.thickness:
            assert spoken(figure_with_unit(each.thickness)) in told
        if each.way:
            assert each.way in told
    spoken_trays = {word for step in procedure.steps if step.tray for word in step.tray.split(" and ")}
    assert spoken_trays == {whole_words(state.trays[each.id]) for each in off if each.id in state.trays}


def counted(count: int, what: str) -> str:
    # What has only a number for a name is called by it: "Fit part one."
    if what.startswith("part "):
        return what
    return f"the {what}" if count == 1 else f"the {whole_words(count)} {plural(what)}"


def _has_every_mark_and_figure(procedure: Procedure, state: JobState, text: str) -> None:
    standing = [entry.event for entry in state.entries.values() if entry.stands]
    made = [mark for step in procedure.steps for mark in step.marks]
    assert len({mark.name for mark in made}) == len(made)
    marks = [event for event in standing if isinstance(event, MarkMade)]
    assert Counter(mark.name.partition(",")[0] for mark in made) == Counter(mark.what for mark in marks)
    assert all(any(event.place in mark.where for mark in made) for event in marks if event.place)
    # Each is met once, all the same where it was made.
    assert sorted(name for step in procedure.steps for name in step.meets) == sorted(mark.name for mark in made)
    taken = [event for event in standing if isinstance(event, ReadingLogged)]
    asked = [each for step in procedure.steps for each in step.characteristics]
    assert {each.name for each in asked} == {event.characteristic for event in taken}
    assert len(asked) + text.count("found before that:") == len(taken)
    for event in taken:
        value = figure_from_text(event.value).value
        # To a hundredth of it, or to the last of the four decimals that a fraction is written with.
        near = any(
            abs(each.target.value - there) <= max(abs(there) / 100, Fraction(1, 10_000))
            for each in asked
            if each.name == event.characteristic and each.target
            for there in [convert(value, event.unit, each.unit)]
        )
        assert near or f"before that: {event.as_said}" in text
    notes = [event for event in standing if isinstance(event, NoteKept)]
    assert text.count("# A note of job") == len(notes)


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
    said = capsys.readouterr().out
    assert "Fit the shim of ten thou." in said
    # It was made when taking apart.
    assert "Find the mark: at the bottom." in " ".join(said.split()) and "ake the mark" not in said
    card = tmp_path / "card.html"
    assert main(["card", str(file), "--to", str(card)]) == 0
    text = card.read_text("utf-8")
    assert "Find the mark:" in text and "GAP" not in text and "with ____________" in text


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
