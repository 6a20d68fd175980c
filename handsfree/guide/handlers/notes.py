"""Notes in free speech, and timers."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from handsfree.guide.handlers.facts import note_fact
from handsfree.guide.turn import Turn
from handsfree.job.events import NoteKept, TimerAcknowledged, TimerRang, TimerStarted, TimerStopped
from handsfree.job.state import Timer
from handsfree.measure.units import convert
from handsfree.phrases.intents import Intent, Kind
from handsfree.text.prose import duration, listed, sentence, sentences, time_left
from handsfree.wording import gaps
from handsfree.wording.facts import NAMES

NOTE_SILENCE = timedelta(seconds=8)
"""So long a silence ends a note."""
RING_AGAIN = (timedelta(seconds=30), timedelta(minutes=1), timedelta(minutes=2), timedelta(minutes=5))
"""After what time a timer that nobody acknowledged is told again; the last of them from then on."""


@dataclass
class Note:
    """A note while it is being spoken."""

    began: datetime
    last: datetime
    texts: list[str] = field(default_factory=list)
    sounds: list[Any] = field(default_factory=list)
    seconds: float = 0.0
    about: str | None = None
    """The fact about the job that it tells; None: a plain note."""
    severity: str | None = None


def begin_note(turn: Turn, _: Intent) -> None:
    """From now on everything said belongs to the note."""
    _begin(turn, Note(turn.now, turn.now), "Noting.")


def begin_fact(turn: Turn, intent: Intent) -> None:
    """As a note, for a fact about the job."""
    note = Note(turn.now, turn.now, about=intent.name, severity=intent.text)
    name = NAMES.get(intent.name or "", "fact")
    _begin(turn, note, sentence(f"{intent.text} {name}" if intent.text else name))


def _begin(turn: Turn, note: Note, lead: str) -> None:
    turn.guide.machine.move("take_note")
    turn.guide.note = note
    turn.say(f"{lead} Say end of note.")
    turn.listen("dictation")


def no_note(turn: Turn, _: Intent) -> None:
    turn.say("No note is being taken.")


def hear_note(turn: Turn, note: Note) -> None:
    """One more stretch of the note, or its end."""
    said = turn.utterance
    if said is None:
        return
    if any(intent.kind is Kind.END_NOTE for intent in said.intents):
        end_note(turn, note)
        return
    note.last = turn.now
    note.texts.append((said.free_text or said.text).strip())
    note.seconds += max(0.0, said.end - said.start)
    note.sounds += turn.sound()


def end_note(turn: Turn, note: Note) -> None:
    """Keep the note as sound, and as text as far as it was understood."""
    turn.guide.machine.move("end_note")
    turn.guide.note = None
    turn.listen("commands")
    text = " ".join(filter(None, note.texts))
    if not text and not note.sounds:
        turn.say("Nothing noted.")
        return
    kept: dict[str, Any] = {"seconds": round(note.seconds, 2), "heard": text or None, "sounds": tuple(note.sounds)}
    if note.about is None:
        turn.record(NoteKept, id=turn.state.next_id, text=text, **kept)
    else:
        note_fact(turn, note.about, text, to_type=True, severity=note.severity, **kept)
    what = "Note" if note.about is None else NAMES[note.about].capitalize()
    words = text if len(text.split()) <= 12 else f"{' '.join(text.split()[:12])}, and so on"
    turn.say(f"{what} kept: {sentence(words)}" if text else f"{what} kept as sound.")


def start_timer(turn: Turn, intent: Intent) -> None:
    """Start a timer; without a time, the waiting time of the step in view."""
    wait, name = turn.step.wait, intent.name
    if intent.figure is not None:
        seconds = float(convert(intent.figure.value, intent.figure.unit or "min", "s"))
        name = name or (gaps.wait_name(turn.step) if wait else "timer")
    elif wait is not None and name in (None, gaps.wait_name(turn.step)):
        seconds, name = float(wait.seconds), gaps.wait_name(turn.step)
    else:
        turn.say("For how long? Say timer, its name, and the time.")
        return
    again = name in turn.state.timers
    turn.record(TimerStarted, name=name, seconds=seconds)
    turn.say(f"{_called(name)}, {duration(seconds)}{', started anew' if again else ''}.")


def _called(name: str) -> str:
    return "Timer" if name == "timer" else f"Timer {name}"


def _which(turn: Turn, name: str | None) -> Timer | None:
    """The timer that is meant; where none can be, says why."""
    timers = turn.state.timers
    if not timers:
        turn.say("No timer is running.")
    elif name is not None and name not in timers:
        turn.say(f"No timer {name}. Running: {listed(list(timers))}.")
    elif name is None and len(timers) > 1:
        turn.say(f"Which: {listed(list(timers), 'or')}?")
    else:
        return timers[name] if name is not None else next(iter(timers.values()))
    return None


def stop_timer(turn: Turn, intent: Intent) -> None:
    ringing = turn.state.ringing
    if ringing and (intent.name in ringing or (intent.name is None and not turn.state.timers)):
        acknowledge(turn, intent)
        return
    timer = _which(turn, intent.name)
    if timer is not None:
        turn.record(TimerStopped, name=timer.name)
        turn.say(f"{_called(timer.name)} stopped.")


def tell_time_left(turn: Turn, intent: Intent) -> None:
    if intent.name is None and len(turn.state.timers) > 1:
        timers = list(turn.state.timers.values())
        turn.say(sentences(f"{t.name}, {time_left(t.ends - turn.now)}" for t in timers))
        return
    timer = _which(turn, intent.name)
    if timer is not None:
        turn.say(f"{_called(timer.name)}: {time_left(timer.ends - turn.now)}.")


def ring(turn: Turn) -> None:
    """Say which timers have run out."""
    for timer in list(turn.state.timers.values()):
        if timer.ends <= turn.now:
            late = turn.now - timer.ends
            turn.record(TimerRang, name=timer.name)
            turn.say(f"{_called(timer.name)}: time is up{_ago(late)}.")
            turn.guide.rings[timer.name] = (turn.now + RING_AGAIN[0], 1)
    for rung in list(turn.state.ringing.values()):
        due, times = turn.guide.rings.setdefault(rung.name, (turn.now, 0))
        if due <= turn.now:
            turn.say(f"{_called(rung.name)}: time is up{_ago(turn.now - rung.since)}. Say got it.")
            turn.guide.rings[rung.name] = (turn.now + RING_AGAIN[min(times, len(RING_AGAIN) - 1)], times + 1)


def _ago(late: timedelta) -> str:
    return f", {time_left(late)} ago" if late >= timedelta(seconds=15) else ""


def acknowledge(turn: Turn, intent: Intent) -> None:
    """The bell was heard: it is not told again."""
    names = [name for name in turn.state.ringing if intent.name in (None, name)]
    if not names:
        turn.say("No timer is ringing.")
        return
    for name in names:
        turn.record(TimerAcknowledged, name=name)
        turn.guide.rings.pop(name, None)
    turn.say("Good.")
