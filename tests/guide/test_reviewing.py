"""The review at the bench: read aloud in under a minute, stepped through by voice, played, confirmed, corrected."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import language_of, ready
from handsfree.guide.effects import Play as PlaySound
from handsfree.job.counter.before import EarlierJob
from handsfree.job.events import ClipsDeleted, EntryConfirmed, NoteKept, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded
from handsfree.speaking.print_speaker import PrintSpeaker
from handsfree.wording import corrections
from tests.support.conversation import conversation
from tests.support.played import MORNING, Play

GAPS = ("next", "log clearance nine thou", "leave open", "next")


def test_the_review_begins_with_what_matters_most(play: Play) -> None:
    played = play(*GAPS, "review the job")
    assert played.last.startswith("One danger still present: step one, Spring under load")
    assert "out of limits, left open" in played.last
    assert len(played.last.split()) < 160  # read aloud in about a minute


def test_points_are_stepped_through_and_confirmed(play: Play) -> None:
    played = play(
        *GAPS,
        "review the job",
        "next",
        "let it stand",
        "let it stand",
        "back",
        "end of review",
        "where am i",
        "review the job",
        "next",
    )
    assert played.answers("let it stand")[-1].startswith("Confirmed. Point three")
    confirmed = [event for event in played.events if isinstance(event, EntryConfirmed)]
    assert [event.id is None for event in confirmed] == [True, False]
    assert "Spring under load" in confirmed[0].point
    assert played.answers("where am i")[0].startswith("Step three of five")
    # What was confirmed is not gone through a second time.
    assert played.last.startswith("Point one. Not done")


def test_a_figure_is_corrected_from_the_review_and_its_history_told(play: Play) -> None:
    played = play(*GAPS, "review the job", "next", "next", "wrong it is four thou", "history", "end of review")
    assert "Corrected. Latch clearance, four thou. In limits." in played.said
    told = played.answers("history")[0]
    assert told.startswith("Latch clearance, as set, four thou")
    assert "Corrected from nine thou" in told
    assert played.last == "Review ended."
    (standing,) = played.state.readings("set", "latch clearance")
    assert isinstance(standing.event, ReadingLogged)
    assert standing.event.as_said == "4 thou"
    assert corrections.history_of_entry(played.state, standing)[0].startswith("corrected from 9 thou, ")


@pytest.mark.parametrize(
    "asked_and_answered",
    [
        ("wrong it is four point one thou", "four point one thou"),  # the blades can't show it: asked once more
        ("wrong it is four point one thou", "three thou", "three thou"),  # and then between the two
        ("wrong it is eight thou", "leave open"),
        ("wrong it is eight thou", "accept it", "within wear"),
        ("wrong it is four point one thou", "drop it"),
        ("wrong it is eight thou", "~ one minute"),  # nobody answers
    ],
)
def test_the_review_goes_on_after_a_correction_that_asked_something(
    play: Play, asked_and_answered: tuple[str, ...]
) -> None:
    played = play(*GAPS, "review the job", "next", "next", *asked_and_answered, "next", "end of review")
    assert played.answers("next")[-1].startswith("Point three.")
    assert played.last == "Review ended."
    assert played.state.step == "cure"


def test_next_in_the_review_moves_no_step(play: Play) -> None:
    played = play(*GAPS, "review the job", "next", "next", "end of review")
    assert played.state.step == "cure"
    assert played.state.status("cure") == "open"


def test_another_command_leaves_the_review_and_is_done(play: Play) -> None:
    played = play(*GAPS, "review the job", "go to step four")
    assert played.last.startswith("Review left.")
    assert played.state.step == "prove"


def test_stepping_past_the_end_ends_it(play: Play) -> None:
    played = play("review the job", *["next"] * 9)
    assert any(said.endswith("That was the last point. End of review.") for said in played.said)


def test_the_sound_of_a_point_is_played_back(small: Loaded, store: Store) -> None:
    job = ready(small, store, MORNING)
    shown: list[tuple[str, str]] = []
    bench = Bench(
        job.guide, store, PrintSpeaker(lambda _: None, guessing=True), lambda kind, text: shown.append((kind, text))
    )
    clock = PlayedBench(bench, MORNING)
    assert job.opened is not None
    bench.open(job.opened)
    assert bench.log is not None
    clip = bench.log.keep_clip(np.linspace(-0.5, 0.5, 32_000))
    note = NoteKept(at=MORNING + timedelta(seconds=5), id="e3", step="load", text="oval", seconds=2.0, clip=clip)
    bench.log.append(note)
    job.guide.session.state.apply(note)
    clock.play(typed(["play it", "where am i"], language_of(small.procedure)))
    assert ("says", "(sound of 2.0 seconds)") in shown
    store.clip_path(clip).unlink()
    clock.play(typed(["play it"], language_of(small.procedure)))
    assert shown[-1] == ("says", "Its sound is not there.")
    bench.close()


def test_without_a_sound_it_is_said_so(play: Play) -> None:
    assert play("next", "log clearance four thou", "play it").last == "No sound was kept of it."


def test_what_was_only_logged_is_counted_apart_and_comes_after_what_wants_looking_at(play: Play) -> None:
    played = play("next", "log clearance four thou", "log clearance six thou", "leave open", "review the job")
    assert "Three points to look at. One entry besides." in played.last
    played = play("yes", "review the job", *["next"] * 4)
    told = [said for said in played.said if "That was all to look at. Now the other entries. Point four." in said]
    assert len(told) == 1
    assert any("Point three. Not done. Four steps, the first is step two." in said for said in played.said)


def test_a_sound_that_was_deleted_is_told_to_be(small: Loaded) -> None:
    talk = conversation(small)
    sha = "ab" * 32
    talk.state.apply(NoteKept(at=MORNING, id="n1", step="load", text="oval", seconds=2.0, clip=sha))
    assert talk.say("play it") == []
    assert [effect.clip for effect in talk.effects if isinstance(effect, PlaySound)] == [sha]
    talk.state.apply(ClipsDeleted(at=MORNING, clips=("cd" * 32, sha), why="by hand"))
    assert talk.say("play it") == ["Its sound was deleted."]


def test_an_item_that_was_here_before_is_told_when_it_is_known_which_it_is(small: Loaded) -> None:
    talk = conversation(small)
    before = EarlierJob("2026-02-02-1", date(2026, 2, 2), finished=True, titles=("Cleaning",), accepted=(), watch=())
    (said,) = talk.happens(talk.guide.tell_before(MORNING, [before]))
    assert "four weeks ago" in said
    assert talk.happens(talk.guide.tell_before(MORNING, [])) == []
