"""``handsfree job``: before and after the bench, on the command line."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.events import ReadingLogged
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.state import fold


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    return tmp_path / "logs"


class Desk:
    """Commands on one log; ``out`` and ``err`` are what the last one printed."""

    def __init__(self, logs: Path, procedure: Path, capsys: pytest.CaptureFixture[str], patch: pytest.MonkeyPatch):
        self.store, self.procedure = Store(logs), procedure
        self._logs, self._capsys, self._patch = str(logs), capsys, patch
        self.out = self.err = ""

    def do(self, *words: str) -> int:
        code = main([*words, "--logs", self._logs])
        self.out, self.err = self._capsys.readouterr()
        return code

    def work(self, *lines: str, more: tuple[str, ...] = ()) -> int:
        self._patch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return self.do("run", str(self.procedure), "--listen", "typed", "--speak", "print", *more)

    @property
    def job(self) -> str:
        return self.store.jobs()[0].id


@pytest.fixture
def desk(logs: Path, procedure: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Desk:
    return Desk(logs, procedure, capsys, monkeypatch)


def test_from_the_door_in_to_the_door_out(desk: Desk) -> None:
    assert desk.do("job", "new", "--item", "Bench gauge", "--serial", "114", "--complaint", "The latch sticks") == 0
    assert f"--job {desk.job}" in desk.out
    assert desk.do("review") == 0
    assert "TAKEN IN AND NOT YET WORKED" in desk.out
    assert "The latch sticks" in desk.out
    said = ("next", "log clearance nine thou", "accept within wear", "note", "worn", "end of note", "sign off")
    finish = ("finish the job", "yes")
    assert desk.work(*said, *finish, more=("--job", desk.job, "--by", "T. Gable")) == 0
    assert desk.do("jobs") == 0
    assert "finished" in desk.out
    state = fold(desk.store.events(desk.job))
    assert state.fact("signed off") == "T. Gable"
    (note,) = [entry for entry in state.entries.values() if entry.to_type]
    assert desk.do("job", "type", desk.job) == 0
    assert note.event.id in desk.out
    assert desk.do("job", "type", desk.job, note.event.id, "The", "pivot", "is", "worn.") == 0
    assert desk.do("job", "type", desk.job) == 0
    assert "Nothing is left to type" in desk.out
    assert desk.do("review") == 0
    assert "The pivot is worn." in desk.out
    assert "Signed off by" in desk.out
    assert verify(desk.store, desk.job).faults == ()


def test_facts_and_counts_are_added_afterwards(desk: Desk) -> None:
    desk.do("job", "new")
    more = ("--finding", "pivot oval", "--severity", "unsafe", "--part-replaced", "pivot", "--material", "thin oil")
    assert (
        desk.do("job", "add", desk.job, *more, "--out", "8 screws", "--back", "7 screws", "--owner", "Mill Lane") == 0
    )
    assert desk.do("review") == 0
    for words in ("unsafe: pivot oval", "thin oil", "one screw still out", "Mill Lane"):
        assert words in desk.out
    assert desk.do("jobs") == 0
    assert "Mill Lane" in desk.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "say what to add"),
        (("--severity", "minor"), "belongs to a --finding"),
        (("--out", "some screws"), 'write it like "8 screws"'),
    ],
)
def test_what_can_not_be_added_is_said_and_nothing_is_written(desk: Desk, words: tuple[str, ...], told: str) -> None:
    desk.do("job", "new")
    assert desk.do("job", "add", desk.job, *words) == 2
    assert told in desk.err
    assert len(desk.store.events(desk.job)) == 1


def test_a_finished_job_is_opened_again_only_with_a_reason(desk: Desk) -> None:
    desk.work("finish the job", "yes")
    job = desk.job
    assert desk.do("job", "add", job, "--note", "x") == 2
    assert f"handsfree job reopen {job} --reason" in desk.err
    assert desk.work("yes", more=("--job", job)) == 2
    assert desk.do("job", "reopen", job, "--reason", "came back after a week") == 0
    assert desk.do("jobs") == 0
    assert "finished" not in desk.out
    assert desk.work("yes", "next", "finish the job", "yes") == 0
    assert desk.job == job
    assert desk.do("review") == 0
    assert "came back after a week" in desk.out
    assert "Finished" in desk.out
    assert desk.do("job", "reopen", job, "--reason", "x") == 0
    assert desk.do("job", "reopen", job, "--reason", "x") == 2


def test_a_figure_is_corrected_and_the_history_tells(desk: Desk) -> None:
    desk.work("next", "log clearance nine thou", "leave open", "pause the job")
    (entry,) = fold(desk.store.events(desk.job)).readings("set", "latch clearance")
    assert desk.do("job", "correct", desk.job, entry.event.id, "four and a half thou") == 0
    assert "Corrected. Latch clearance, four and a half thou." in desk.out
    (now,) = fold(desk.store.events(desk.job)).readings("set", "latch clearance")
    assert getattr(now.event, "as_said", "") == "4 1/2 thou"
    assert desk.do("review", "--history") == 0
    assert "corrected from 9 thou, " in desk.out
    assert desk.do("job", "correct", desk.job, entry.event.id, "four thou") == 2
    assert "no entry" in desk.err
    assert desk.do("job", "correct", desk.job, now.event.id, "soon") == 2
    assert desk.do("job", "take-back", desk.job, now.event.id) == 0
    assert desk.do("review", "--history") == 0
    assert "taken back" in desk.out
    assert len(desk.store.events(desk.job)) == len(verify(desk.store, desk.job).hashes)


def test_the_report_tells_what_was_told_and_counted_and_holds_every_procedure(desk: Desk, tmp_path: Path) -> None:
    desk.do("job", "new", "--serial", "114", "--complaint", "It sticks <b>hard</b>")
    assert desk.do("report", "--to", "-") == 2
    assert "not yet worked" in desk.err
    desk.work("eight screws out", "next", "pause the job", more=("--job", desk.job))
    other = tmp_path / "cleaning.yaml"
    other.write_text("title: Cleaning\nitem: x\nrevision: 1\nsteps:\n  - {id: load, do: Brush the latch.}\n")
    desk.procedure = other
    desk.work("next", "pause the job", more=("--job", desk.job))
    assert desk.do("report", "--to", "-") == 0
    assert "It sticks &lt;b&gt;hard&lt;/b&gt;" in desk.out
    assert '<th scope="row">screw</th>' in desk.out
    assert "Adjustment of the gate latch" in desk.out
    assert "Press the spring" in desk.out
    assert "Brush the latch" in desk.out
    assert desk.out.count("It sticks &lt;b&gt;hard") == 3  # for the owner, in the record, and in the time line
    assert desk.do("report", "--to", "-", "--format", "json") == 0
    content = json.loads(desk.out)
    assert [each["title"] for each in content["procedures"]] == ["Adjustment of the gate latch", "Cleaning"]
    assert {each["procedure"] for each in content["steps"]} == {"gate-latch", "cleaning"}
    assert desk.do("review") == 0
    assert desk.out.count("REVIEW OF JOB") == 1
    assert "CLEANING, REVISION 1" in desk.out
    assert desk.out.count("It sticks") == 1
    assert desk.do("review", "--spoken") == 0
    assert "steps done" in desk.out
    assert desk.out.count("steps done") == 1


def test_a_figure_of_a_procedure_that_is_not_worked_now_is_corrected_where_it_belongs(
    desk: Desk, tmp_path: Path
) -> None:
    desk.work("next", "log four thou", "pause the job")
    other = tmp_path / "cleaning.yaml"
    other.write_text("title: Cleaning\nitem: x\nrevision: 1\nsteps:\n  - {id: load, do: Brush the latch.}\n")
    desk.procedure = other
    desk.work("pause the job", more=("--job", desk.job))
    figure = next(event for event in desk.store.events(desk.job) if isinstance(event, ReadingLogged))
    assert desk.do("job", "correct", desk.job, figure.id, "three and a half thou") == 0
    state = fold(desk.store.events(desk.job))
    assert state.working == "cleaning"
    there = [each for each in state.of("gate-latch").entries.values() if isinstance(each.event, ReadingLogged)]
    assert [(each.withdrawn, each.settled) for each in there] == [("corrected", True), (None, True)]
    assert verify(desk.store, desk.job).faults == ()


def test_one_word_of_a_complaint_is_a_word_and_no_code(desk: Desk) -> None:
    desk.do("job", "new", "--complaint", "Chatters", "--serial", "B114")
    desk.do("job", "add", desk.job, "--complaint", "Sticks", "--serial", "B115")
    desk.do("review", "--history")
    assert "Complaint: Sticks." in desk.out
    assert "corrected from Chatters" in desk.out
    desk.do("review", "--entries")
    assert "Serial number: B115." in desk.out


def test_an_empty_text_is_refused_and_nothing_beside_it_is_written(desk: Desk) -> None:
    desk.do("job", "new", "--item", "Bench gauge")
    before = len(desk.store.events(desk.job))
    assert desk.do("job", "add", desk.job, "--finding", " ", "--note", "worn") == 2
    assert "there is nothing in one of the texts" in desk.err
    assert len(desk.store.events(desk.job)) == before


def test_a_job_that_was_taken_in_begins_at_the_bench_like_a_new_one(desk: Desk) -> None:
    desk.do("job", "new", "--procedure", str(desk.procedure))
    desk.work("where am i", more=("--job", desk.job))
    assert "taken up again" not in desk.out
    assert "Adjustment of the gate latch. Five steps." in " ".join(desk.out.split())


@pytest.mark.parametrize("chosen", [True, False])
def test_the_serial_number_given_at_the_counter_decides_the_variant_at_the_bench(desk: Desk, chosen: bool) -> None:
    asked = "questions: {pattern: {ask: Early or late?, by serial: {early: up to 4000, late: from 4001}}}"
    step = "{id: load, do: Brush the latch., only if: {pattern: late}}"
    desk.procedure.write_text(f"title: t\nitem: x\nrevision: 1\n{asked}\nsteps:\n  - {step}\n", encoding="utf-8")
    desk.do("job", "new", "--serial", "4711", *(("--procedure", str(desk.procedure)) if chosen else ()))
    desk.work("where am i", more=("--job", desk.job))
    assert "By its serial number, pattern: late." in " ".join(desk.out.split())
