"""What can be seen of a job: the same facts as are spoken and logged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import FrozenInstanceError
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.setting_up import session_of
from handsfree.guide.guide import Guide
from handsfree.guide.view.scale import place_of
from handsfree.guide.view.shown import Shown
from handsfree.guide.view.snapshot import microphone_words, view_of
from handsfree.job.errors import LogWriteError
from handsfree.job.log.store import Store
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.measure.limits import Limits
from handsfree.procedure.file.loader import Loaded, load_procedure
from tests.support.played import MORNING
from tests.support.watching import Watched, watched


@pytest.fixture
def job(small: Loaded, store: Store) -> Iterator[Watched]:
    with watched(small, store, serial="A 12", item="Gauge <7>") as found:
        yield found


def _reading(job: Watched) -> Shown:
    reading = job.view.asked[0].reading
    assert reading is not None
    return reading


def test_the_first_step_is_seen_when_the_job_begins(job: Watched) -> None:
    view = job.view
    assert (view.number, view.of, view.act) == (1, 5, "Press the spring down and hook it.")
    assert (view.item, view.serial, view.stage) == ("Gauge <7>", "A 12", "0 of 5 done")
    assert [danger.say for danger in view.dangers] == ["Spring under load. Keep your face clear."]
    assert view.dangers[0].lasting == "until step 5 is done"


def test_while_taking_apart_what_is_logged_is_seen_in_place_of_steps_done(store: Store) -> None:
    with watched(stripping_procedure("Comparator stand"), store, purpose="stripping") as job:
        assert (job.view.heading, job.view.stage) == ("Taking apart", "no removals logged")
        job.say("removed four screws, M three by eight, cheese head", "tray three")
        assert job.view.stage == "1 removal logged"
        job.say("removed the cover", "mark made at the bottom", "end play four thou")
        assert (job.view.heading, job.view.stage) == ("Taking apart", "2 removals, 1 mark, 1 figure logged")
        assert job.say("take back").stage == "2 removals, 1 mark logged"


def test_a_danger_stays_in_view_until_it_is_over(job: Watched) -> None:
    view = job.say("next")
    assert [danger.lasting for danger in view.dangers] == ["since step 1, until step 5 is done"]
    assert job.say("go to step five", "yes", "step done").dangers == ()


def test_what_a_step_asks_for_is_seen_before_there_is_a_reading(job: Watched) -> None:
    asked = job.say("next").asked[0]
    assert (asked.what, asked.wanted, asked.more) == (
        "latch clearance, as set",
        "3 to 5 thou",
        "target 4 thou, feeler blades",
    )
    assert asked.reading is None
    assert asked.scale is not None
    assert (asked.scale.low, asked.scale.high, asked.scale.place.at) == ("3", "5", None)


def test_a_reading_is_seen_as_it_was_logged(job: Watched) -> None:
    job.say("next", "log clearance four and a half thou")
    shown = _reading(job)
    assert (shown.figure, shown.verdict, shown.by, shown.out) == ("4.5 thou", "in limits", "", False)
    assert shown.other == "about 0.114 mm"  # 4.5 x 0.0254 mm = 0.1143 mm
    assert not shown.provisional
    assert job.view.last == shown


def test_a_reading_out_of_limits_says_by_how_much_and_what_was_decided(job: Watched) -> None:
    job.say("next", "log clearance seven thou", "accept within wear")
    shown = _reading(job)
    assert (shown.verdict, shown.by, shown.out, shown.outcome) == (
        "out of limits",
        "2 thou over",
        True,
        "accepted: within wear",
    )


def test_a_figure_is_provisional_until_its_read_back_has_ended(job: Watched) -> None:
    job.say("next", "log clearance four thou")
    shown = [view.asked[0].reading for view in job.views if view.asked and view.asked[0].reading]
    assert next(reading.provisional for reading in shown)
    assert shown[-1].provisional is False


def test_a_question_is_seen_with_its_answers_until_it_is_settled(job: Watched) -> None:
    view = job.say("next", "log clearance seven thou")
    assert view.question is not None
    assert "Set again, accept it, or leave open?" in view.question.prompt
    assert view.phrases == ("set again", "accept it, and the reason", "leave open", "drop it")
    assert job.say("leave open").question is None


def test_a_note_is_seen_while_it_is_spoken(job: Watched) -> None:
    assert job.say("note", "the pivot <b>looks</b> worn").note == "the pivot <b>looks</b> worn"
    assert job.view.phrases == ("end of note",)
    assert job.say("end of note").note is None


def test_timers_are_seen_with_what_they_have_left(job: Watched) -> None:
    job.say("timer bath ten minutes", "~ two minutes")
    (timer,) = job.say("where am i").timers
    assert timer.name == "bath"
    assert 450 < timer.left < 480


def test_what_was_heard_is_seen_with_what_was_made_of_it(job: Watched) -> None:
    view = job.say("next", "log clearance four thou")
    assert view.heard is not None
    assert (view.heard.words, view.heard.made) == ("log clearance four thou", "log, latch clearance, 4 thou")
    view = job.say("open the pod")
    assert view.heard is not None
    assert view.heard.made == "not caught: say it again"


def test_looking_ahead_is_told_from_being_there(job: Watched) -> None:
    view = job.say("what comes after")
    assert (view.looking, view.number, view.at) == (True, 2, 1)


@pytest.mark.parametrize(
    ("state", "speaking", "lost", "words"),
    [
        ("at step", False, False, "microphone open"),
        ("standing by", True, False, "speaking"),
        ("standing by", False, False, "standing by"),
        ("at step", False, True, "microphone lost"),
        ("finished", False, False, "microphone closed"),
    ],
)
def test_whether_the_microphone_is_open_is_told_in_words(state: str, speaking: bool, lost: bool, words: str) -> None:
    assert microphone_words(state, "mic", speaking=speaking, lost=lost) == words


def test_the_microphone_is_not_called_open_while_something_is_spoken(job: Watched) -> None:
    job.say("next")
    assert "speaking" in [view.microphone for view in job.views]
    assert job.view.microphone == "microphone open"


def test_never_more_than_six_phrases(job: Watched) -> None:
    job.say("next", "log clearance seven thou", "leave open", "next", "yes", "note", "end of note", "stand by")
    assert all(len(view.phrases) <= 6 for view in job.views)
    assert job.view.phrases == ("back at the bench",)


def test_a_snapshot_cannot_be_changed(job: Watched) -> None:
    with pytest.raises(FrozenInstanceError):
        job.view.act = "something else"  # type: ignore[misc]


def test_what_could_not_be_logged_is_not_seen(job: Watched, monkeypatch: pytest.MonkeyPatch) -> None:
    job.say("next")
    log = job.bench.log
    assert log is not None

    def full(event: object) -> int:
        raise LogWriteError(log.folder, "no space left")

    monkeypatch.setattr(log, "append", full)
    with pytest.raises(LogWriteError):
        job.say("log clearance four thou")
    assert job.view.last is None


FIGURES = st.fractions(min_value=-50, max_value=50, max_denominator=64)


@given(FIGURES, FIGURES, FIGURES)
def test_a_reading_is_drawn_on_the_side_of_each_limit_where_it_is(a: Fraction, b: Fraction, value: Fraction) -> None:
    low, high = min(a, b), max(a, b) + 1
    place = place_of(value, Limits(low, high))
    assert place is not None
    assert place.at is not None and place.low is not None and place.high is not None
    assert 0 <= place.at <= 1
    assert (place.at > place.high) <= (value > high)
    assert (place.at < place.low) <= (value < low)
    if value - high > high - low:
        assert place.off == "above"


def test_without_limits_there_is_no_scale() -> None:
    assert place_of(Fraction(3), Limits()) is None


def test_the_stage_that_a_step_belongs_to_is_shown(tmp_path: Path) -> None:
    path = tmp_path / "staged.yaml"
    path.write_text(
        "title: Two stages\nitem: Bench gauge\nrevision: 1\nsteps:\n"
        "  - group: strip\n    stop: Let it cool.\n    steps: [{id: a, do: Take the cover off.}]\n"
        "  - {id: b, do: Fit the cover.}\n",
        encoding="utf-8",
    )
    procedure = load_procedure(path).procedure
    view = view_of(Guide(session_of(procedure)), MORNING, microphone="microphone open")
    assert view.stage == "stage: strip, 0 of 2 done"
