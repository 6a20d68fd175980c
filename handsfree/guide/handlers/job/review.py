"""The review at the bench, by voice: the summary, then point by point, each heard, confirmed or corrected.

What the points are is not decided here: a ``Reviewer`` hands them in as plain data.
"""

from __future__ import annotations

from collections.abc import Callable

from handsfree.guide.effects import Play
from handsfree.guide.handlers.figures.corrections import correct_entry
from handsfree.guide.session import Question, Turn
from handsfree.job.events import EntryConfirmed, EntryWithdrawn, FactNoted, ReadingLogged
from handsfree.job.facts import FACTS
from handsfree.job.state import Entry, JobState, every_entry
from handsfree.phrases.intents import Intent, Kind
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, sentences
from handsfree.wording import corrections
from handsfree.wording.entries import entry_words
from handsfree.wording.points import Point, PointShown

HOW = "Say next, play it, let it stand, or end of review."
NO_MORE = "That was the last point. End of review."


def begin_review(turn: Turn, _: Intent) -> None:
    """Begin the review."""
    made = turn.session.reviewer(turn.session.procedures, turn.state)
    points = tuple(point for point in made.points if not _confirmed(turn.state, point))
    lead = " ".join(made.summary)
    if not points:
        turn.say(f"{lead} Nothing is left to look at.")
        return
    prompt = f"{lead} {_how_many(points)} {HOW}"
    turn.ask(_question(points, -1, prompt))


def _how_many(points: tuple[Point, ...]) -> str:
    logged = sum(point.logged for point in points)
    wanting = len(points) - logged
    said = [f"{counted(wanting, 'point')} to look at"] if wanting else ["nothing to look at"]
    return sentences([*said, *([f"{counted(logged, 'entry', 'entries')} besides"] if logged else [])])


def _confirmed(state: JobState, point: Point) -> bool:
    entry = state.entry(point.entry)
    return entry.confirmed is not None if entry is not None else point.text in state.confirmed


def _question(points: tuple[Point, ...], at: int, prompt: str) -> Question:  # noqa: C901 - an answer for each word that can be said there
    """Waits at a point for as long as it takes; -1 is before the first."""

    def go(by: int) -> Callable[[Turn, Intent], None]:
        def move(turn: Turn, _: Intent) -> None:
            _show(turn, points, at + by)

        return move

    def confirm(turn: Turn, _: Intent) -> None:
        if at < 0:
            turn.say(f"No point yet. {HOW}")
            return
        turn.record(EntryConfirmed, id=points[at].entry, point=_written(turn.state, points[at]))
        _show(turn, points, at + 1, "Confirmed.")

    def correct(turn: Turn, intent: Intent) -> None:
        entry = _entry(turn.state, points, at)
        if entry is None or not isinstance(entry.event, ReadingLogged):
            turn.say("This point is no figure. Nothing changed.")
            return
        turn.settle()
        correct_entry(turn, intent, entry)
        _stay(turn, points, at)

    def take_back(turn: Turn, _: Intent) -> None:
        entry = _entry(turn.state, points, at)
        if entry is None or not entry.stands:
            turn.say("This point is no entry. Nothing changed.")
            return
        turn.record(EntryWithdrawn, id=entry.event.id, step=entry.event.step)
        _show(turn, points, at + 1, f"Taken back. {entry_words(entry)}")

    def hear_it(turn: Turn, _: Intent) -> None:
        _play(turn, _entry(turn.state, points, at))

    def became(turn: Turn, _: Intent) -> None:
        _tell_history(turn, _entry(turn.state, points, at))

    def end(turn: Turn, _: Intent) -> None:
        turn.settle()
        turn.say("Review ended.")

    answers = {
        Kind.NEXT: go(1), Kind.LOOK_BACK: go(-1), Kind.CONFIRM: confirm, Kind.YES: confirm, Kind.CORRECT: correct,
        Kind.TAKE_BACK: take_back, Kind.PLAY: hear_it, Kind.HISTORY: became, Kind.END_REVIEW: end,
    }  # fmt: skip

    def point(state: JobState) -> PointShown:
        if at < 0:
            return PointShown(0, len(points), "", "")
        entry = _entry(state, points, at)
        return PointShown(at + 1, len(points), points[at].say, entry.event.id if entry else points[at].text)

    return Question(prompt, answers, waits=True, on_drop="Review left.", point=point)


def _show(turn: Turn, points: tuple[Point, ...], at: int, lead: str = "") -> None:
    if at >= len(points):
        turn.settle()
        turn.say(f"{lead} {NO_MORE}".strip())
        return
    at = max(0, at)
    if at and points[at].logged and not points[at - 1].logged:
        lead = f"{lead} That was all to look at. Now the other entries.".strip()
    turn.ask(_question(points, at, f"Point {whole_words(at + 1)}. {points[at].say}"), lead=lead)


def _stay(turn: Turn, points: tuple[Point, ...], at: int) -> None:
    """Wait at the same point; where something else is being asked (what is done about a figure out of limits, a
    figure once more), after that."""
    if turn.session.question is None:
        turn.wait_for(_question(points, at, f"Point {whole_words(at + 1)}. {HOW}"))
    else:
        turn.session.question.after = lambda turn: _stay(turn, points, at)


def _entry(state: JobState, points: tuple[Point, ...], at: int) -> Entry | None:
    """The entry of a point, or the one that has replaced it since."""
    id_ = points[at].entry if at >= 0 else None
    newer = {getattr(entry.event, "corrects", None): entry.event.id for entry in every_entry(state)}
    while id_ in newer and id_ is not None:
        id_ = newer[id_]
    return state.entry(id_)


def play_last(turn: Turn, _: Intent) -> None:
    """The sound of the last entry."""
    _play(turn, turn.state.last_entry())


def _play(turn: Turn, entry: Entry | None) -> None:
    clip = entry.event.clip if entry is not None else None
    if clip is None:
        turn.say("No sound was kept of it.")
    elif clip in turn.state.deleted_clips:
        turn.say("Its sound was deleted.")
    else:
        turn.effects.append(Play(clip, turn.session.speech.begin("")))


def tell_history(turn: Turn, intent: Intent) -> None:
    """What became of the last entry, or of the newest figure of a characteristic."""
    if intent.characteristic is None:
        _tell_history(turn, turn.state.last_entry())
        return
    readings = [
        entry
        for entry in turn.state.entries.values()
        if isinstance(entry.event, ReadingLogged) and entry.event.characteristic == intent.characteristic
    ]
    _tell_history(turn, readings[-1] if readings else None)


def _tell_history(turn: Turn, entry: Entry | None) -> None:
    if entry is None:
        turn.say("Nothing is logged for that.")
        return
    told = corrections.history_of_entry(turn.state, entry, corrections.value_words)
    turn.say(sentences([entry_words(entry), *told]) if told else "As it was first written.")


def _written(state: JobState, point: Point) -> str:
    """The words of a point for the log; what is personal is named only."""
    entry = state.entry(point.entry)
    fact = FACTS[entry.event.about] if entry is not None and isinstance(entry.event, FactNoted) else None
    return fact.said if fact is not None and fact.personal else point.text
