"""Timers: started, stopped, asked for, told when they have run out, and acknowledged."""

from __future__ import annotations

from datetime import timedelta

from handsfree.guide.session import Turn
from handsfree.job.events import TimerAcknowledged, TimerRang, TimerStarted, TimerStopped
from handsfree.job.progress import Timer
from handsfree.measure.units import convert
from handsfree.phrases.intents import Intent
from handsfree.text.prose import duration, listed, sentences, time_left
from handsfree.wording import gaps

RING_AGAIN = (timedelta(seconds=30), *(timedelta(minutes=minutes) for minutes in (2, 5, 15, 30, 60)))
"""After what time a timer that nobody acknowledged is told again; the last of them from then on."""


def start_timer(turn: Turn, intent: Intent) -> None:
    """Start a timer; without a time, the waiting time of the step in view."""
    wait, name = turn.step.wait, intent.name
    if intent.figure is not None:
        seconds = float(convert(intent.figure.value, intent.figure.unit or "min", "s"))
        name = name or (gaps.wait_name(turn.step) if wait else "timer")
    elif wait is not None and name in (None, gaps.wait_name(turn.step)):
        # After a timer that was too short, the rest of the waiting time.
        left = gaps.still_to_wait(turn.step, turn.state).total_seconds()
        seconds, name = left or float(wait.seconds), gaps.wait_name(turn.step)
    else:
        turn.say("For how long? Say timer, its name, and the time.")
        return
    again = name in turn.state.timers
    turn.record(TimerStarted, name=name, seconds=seconds, of_step=_waiting_step(turn, name))
    turn.say(f"{_called(name)}, {duration(seconds)}{', started anew' if again else ''}.")


def _waiting_step(turn: Turn, name: str) -> str | None:
    """The step whose waiting time a timer of this name is for: the one in view, else the nearest one before the present
    one, first of those that still have to wait (it is made up for); None where there is none."""
    if turn.step.wait is not None and gaps.wait_name(turn.step) == name:
        return turn.step.id
    upto = turn.session.current + 1
    waits = [each for each in turn.procedure.steps[:upto] if each.wait is not None and gaps.wait_name(each) == name]
    unwaited = [each for each in waits if gaps.still_to_wait(each, turn.state)]
    return next((each.id for each in reversed(unwaited or waits)), None)


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
            turn.session.rings[timer.name] = (turn.now + RING_AGAIN[0], 1)
    for rung in list(turn.state.ringing.values()):
        due, times = turn.session.rings.setdefault(rung.name, (turn.now, 0))
        if due <= turn.now:
            turn.say(f"{_called(rung.name)}: time is up{_ago(turn.now - rung.since)}. Say got it.")
            turn.session.rings[rung.name] = (turn.now + RING_AGAIN[min(times, len(RING_AGAIN) - 1)], times + 1)


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
        turn.session.rings.pop(name, None)
    turn.say("Good.")
