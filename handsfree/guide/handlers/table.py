"""Which handler answers to what was meant, and what may be taken even when it was heard doubtfully."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from handsfree.guide.handlers import (
    asking,
    facts,
    last_time,
    moving,
    notes,
    ordering,
    parts,
    procedures,
    readings,
    repeated,
    review,
    session_control,
    sums,
    timers,
    variants,
)
from handsfree.guide.session import Turn
from handsfree.phrases.intents import Intent, Kind

Handler = Callable[[Turn, Intent], None]

HANDLERS: Mapping[Kind, Handler] = {
    Kind.NEXT: moving.next_step,
    Kind.DONE: moving.done,
    Kind.LOOK_AHEAD: moving.look_ahead,
    Kind.LOOK_BACK: moving.look_back,
    Kind.GO_TO: moving.go_to,
    Kind.REDO: moving.redo,
    Kind.SKIP: moving.skip,
    Kind.WHERE: asking.where,
    Kind.LEFT: asking.left,
    Kind.CAN_DO: ordering.can_do,
    Kind.LEFT_OUT: ordering.left_out,
    Kind.CHANGE_PROCEDURE: procedures.change,
    Kind.PROCEDURES: procedures.which,
    Kind.REPEAT: asking.repeat,
    Kind.DETAILS: asking.details,
    Kind.FASTENERS: asking.fasteners,
    Kind.LUBRICANT: asking.lubricant,
    Kind.CAUTIONS: asking.cautions,
    Kind.WHY: asking.why,
    Kind.TRAY: asking.tray,
    Kind.TOOLS: asking.tools,
    Kind.MARKS: asking.marks,
    Kind.VARIANT: variants.tell,
    Kind.ASK_AGAIN: moving.ask_again,
    Kind.HELP: asking.help_,
    Kind.LAST_HEARD: asking.last_heard,
    Kind.LOG: readings.log,
    Kind.CORRECT: readings.correct,
    Kind.TAKE_BACK: readings.take_back,
    Kind.READ_BACK: readings.read_back,
    Kind.READINGS: repeated.readings,
    Kind.SUM: sums.sum_,
    Kind.LAST_TIME: last_time.last_time,
    Kind.NOTE: notes.begin_note,
    Kind.END_NOTE: notes.no_note,
    Kind.SET_AGAIN: readings.outcome,
    Kind.ACCEPT: readings.outcome,
    Kind.LEAVE_OPEN: readings.outcome,
    Kind.YES: readings.answer_check,
    Kind.NO: readings.answer_check,
    Kind.TIMER_START: timers.start_timer,
    Kind.TIMER_STOP: timers.stop_timer,
    Kind.TIMER_LEFT: timers.tell_time_left,
    Kind.ACKNOWLEDGE: timers.acknowledge,
    Kind.CODE: facts.code,
    Kind.MORE_CODE: facts.more_code,
    Kind.FACT: notes.begin_fact,
    Kind.LUBRICANT_USED: facts.lubricant_used,
    Kind.SIGN_OFF: facts.sign_off,
    Kind.COUNT_PARTS: parts.count_parts,
    Kind.TALLY: parts.what_is_out,
    Kind.REVIEW: review.review,
    Kind.PLAY: review.play_last,
    Kind.HISTORY: review.tell_history,
    Kind.STAND_BY: session_control.stand_by,
    Kind.COME_BACK: session_control.already_here,
    Kind.PAUSE: session_control.pause,
    Kind.FINISH: session_control.finish,
    Kind.SLOWER: session_control.adjust,
    Kind.FASTER: session_control.adjust,
    Kind.LOUDER: session_control.adjust,
    Kind.QUIETER: session_control.adjust,
}

HARMLESS = frozenset(
    {
        Kind.LOOK_AHEAD, Kind.LOOK_BACK, Kind.WHERE, Kind.LEFT, Kind.REPEAT, Kind.DETAILS, Kind.FASTENERS,
        Kind.LUBRICANT, Kind.CAUTIONS, Kind.WHY, Kind.HELP, Kind.LAST_HEARD, Kind.READ_BACK, Kind.TIMER_LEFT,
        Kind.READINGS, Kind.SUM, Kind.LAST_TIME, Kind.IN_TRAY,
        Kind.CAN_DO, Kind.LEFT_OUT, Kind.TRAY, Kind.TOOLS, Kind.MARKS, Kind.VARIANT,
        Kind.TALLY, Kind.PLAY, Kind.HISTORY, Kind.PROCEDURES,
        Kind.SLOWER, Kind.FASTER, Kind.LOUDER, Kind.QUIETER, Kind.COME_BACK, Kind.CANCEL,
    }
)  # fmt: skip
"""Intents that change neither the log nor the place: taken even when they were heard doubtfully."""

FIGURE_ASKS_ITSELF = frozenset({Kind.LOG, Kind.CORRECT, Kind.FIGURE})
"""Intents whose doubt is settled over the figure."""
