"""A job's state is what its events say, however they come: at once, one by one, or through the log on disk."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from handsfree.job.events import (
    CameBack,
    CheckAnswered,
    EntryWithdrawn,
    Event,
    JobFinished,
    JobOpened,
    JobPaused,
    JobResumed,
    NoteKept,
    OutcomeGiven,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    StoodBy,
    TimerRang,
    TimerStarted,
    TimerStopped,
    from_json,
    to_json,
)
from handsfree.job.log.store import Store
from handsfree.job.state import JobState, fold

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone(timedelta(hours=1)))
OPENED = JobOpened(at=AT, title="t", revision="1", procedure_sha256="0", procedure_text="title: t", procedure_name="n")
STEPS = ("a", "b", "c")


def reading(id_: str, step: str, words: str = "4 thou") -> ReadingLogged:
    return ReadingLogged(
        at=AT, step=step, id=id_, characteristic="end float", occasion="as set", value="4", unit="thou",
        as_said=words, decision="in limits", limits="2 to 5 thou",
    )  # fmt: skip


_WORDS = st.text(max_size=10)
_SEVERAL = st.lists(_WORDS, max_size=2)
_STALE = st.lists(st.sampled_from(STEPS), max_size=2)
_COUNTS, _MICROSECONDS, _SECONDS = st.integers(0, 25), st.integers(0, 999_999), st.floats(1, 1e6)


@st.composite
def stories(draw: st.DrawFn) -> list[Event]:
    """Any order of events that names only entries that are there."""
    story: list[Event] = [OPENED]
    ids: list[str] = []
    for minute in range(draw(_COUNTS)):
        at = AT + timedelta(minutes=minute, microseconds=draw(_MICROSECONDS))
        event = _event(draw, at, f"e{minute}", ids)
        if isinstance(event, ReadingLogged | NoteKept | CheckAnswered):
            ids.append(event.id)
        story.append(event)
    return story


def _event(draw: st.DrawFn, at: datetime, new: str, ids: list[str]) -> Event:
    """Any event; of what it says, only what it needs is drawn."""
    step, words = draw(st.sampled_from(STEPS)), _WORDS
    makers: list[Callable[[], Event]] = [
        lambda: StepEntered(at=at, step=step), lambda: StepDone(at=at, step=step, missing=tuple(draw(_SEVERAL))),
        lambda: StepSkipped(at=at, step=step, reason=draw(words)), lambda: StoodBy(at=at), lambda: CameBack(at=at),
        lambda: StepRedone(at=at, step=step, stale_steps=(step, *draw(_STALE))),
        lambda: TimerStarted(at=at, name=step, seconds=draw(_SECONDS)), lambda: TimerStopped(at=at, name=step),
        lambda: TimerRang(at=at, name=step), lambda: JobPaused(at=at), lambda: JobResumed(at=at),
        lambda: JobFinished(at=at, open_points=tuple(draw(_SEVERAL))),
        lambda: reading(new, step, draw(words)),
        lambda: NoteKept(at=at, id=new, step=step, text=draw(words), seconds=1.5),
        lambda: CheckAnswered(at=at, step=step, id=new, question=draw(words), passed=draw(st.booleans())),
    ]  # fmt: skip
    if ids:
        known = st.sampled_from(ids)
        makers += [
            lambda: ReadingSettled(at=at, id=draw(known)),
            lambda: EntryWithdrawn(at=at, id=draw(known), why="taken back"),
            lambda: OutcomeGiven(at=at, id=draw(known), outcome="accepted", reason=draw(st.none() | words)),
        ]
    return makers[draw(st.integers(0, len(makers) - 1))]()


@settings(deadline=None)
@given(stories())
def test_every_event_comes_back_from_its_line(story: Sequence[Event]) -> None:
    lines = [to_json(event) for event in story]
    assert all("\n" not in line for line in lines)
    assert [from_json(line) for line in lines] == story


@settings(deadline=None)
@given(stories(), st.data())
def test_a_job_broken_off_anywhere_and_taken_up_again_stands_where_it_stood(
    story: list[Event], data: st.DataObject
) -> None:
    cut = data.draw(st.integers(0, len(story)))
    state = fold(from_json(to_json(event)) for event in story[:cut])
    for event in story[cut:]:
        state.apply(event)
    assert state == fold(story)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(stories(), min_size=1, max_size=3))
def test_the_list_of_jobs_says_what_the_fold_says(all_stories: list[list[Event]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = Store(Path(folder))
        for story in all_stories:
            with store.open_job(OPENED, steps=len(STEPS)) as log:
                for event in story[1:]:
                    log.append(event)
        listed = store.jobs()[::-1]
        assert [store.events(job.id) for job in listed] == all_stories
        for job, story in zip(listed, all_stories, strict=True):
            state = fold(story)
            assert job.done == sum(status == "done" for status in state.steps.values())
            assert job.last == state.last
            assert job.status == ("finished" if state.finished else "paused" if state.paused else "open")


@settings(deadline=None)
@given(stories())
def test_what_was_taken_back_or_made_stale_never_counts_as_a_reading(story: list[Event]) -> None:
    state = fold(story)
    gone = {event.id for event in story if isinstance(event, EntryWithdrawn)}
    for step in STEPS:
        redone = [at for at, event in enumerate(story) if isinstance(event, StepRedone) and step in event.stale_steps]
        for entry in state.readings(step, "end float"):
            assert entry.event.id not in gone
            assert story.index(entry.event) > max(redone, default=0)


def state_after(*events: Event) -> JobState:
    return fold([OPENED, *events])


def test_a_redone_step_is_open_again_with_all_that_rests_on_it() -> None:
    done = [StepDone(at=AT, step=step) for step in STEPS]
    state = state_after(*done, StepRedone(at=AT, step="b", stale_steps=("b", "c")))
    assert [state.status(step) for step in STEPS] == ["done", "open", "open"]


def test_a_note_stays_when_its_step_is_done_again() -> None:
    note = NoteKept(at=AT, step="b", id="n1", text="worn", seconds=1.0)
    state = state_after(note, reading("r1", "b"), StepRedone(at=AT, step="b", stale_steps=("b",)))
    assert state.entries["n1"].stands
    assert not state.entries["r1"].stands


def test_a_figure_is_provisional_until_its_read_back_has_ended() -> None:
    assert not state_after(reading("r1", "a")).entries["r1"].settled
    assert state_after(reading("r1", "a"), ReadingSettled(at=AT, id="r1")).entries["r1"].settled


def test_the_log_takes_nothing_but_events() -> None:
    for line in ("", "{}", '{"kind": "step done"}', to_json(OPENED)[:-1] + ', "colour": "red"}'):
        with pytest.raises(ValidationError):
            from_json(line)
