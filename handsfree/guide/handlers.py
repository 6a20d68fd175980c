"""Which handler answers to what was meant, and what may be taken even when it was heard doubtfully."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from handsfree.guide import (
    asking,
    bench_talk,
    changing,
    earlier,
    keeping,
    moving,
    ordering,
    recording,
    reviewing,
    spread,
    sums,
    tallying,
    variants,
    writing,
)
from handsfree.guide.turn import Turn
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
    Kind.CHANGE_PROCEDURE: changing.change,
    Kind.PROCEDURES: changing.which,
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
    Kind.LOG: writing.log,
    Kind.CORRECT: writing.correct,
    Kind.TAKE_BACK: writing.take_back,
    Kind.READ_BACK: writing.read_back,
    Kind.READINGS: spread.readings,
    Kind.SUM: sums.sum_,
    Kind.LAST_TIME: earlier.last_time,
    Kind.NOTE: keeping.begin_note,
    Kind.END_NOTE: keeping.no_note,
    Kind.SET_AGAIN: writing.outcome,
    Kind.ACCEPT: writing.outcome,
    Kind.LEAVE_OPEN: writing.outcome,
    Kind.YES: writing.answer_check,
    Kind.NO: writing.answer_check,
    Kind.TIMER_START: keeping.start_timer,
    Kind.TIMER_STOP: keeping.stop_timer,
    Kind.TIMER_LEFT: keeping.tell_time_left,
    Kind.ACKNOWLEDGE: keeping.acknowledge,
    Kind.CODE: recording.code,
    Kind.MORE_CODE: recording.more_code,
    Kind.FACT: keeping.begin_fact,
    Kind.LUBRICANT_USED: recording.lubricant_used,
    Kind.SIGN_OFF: recording.sign_off,
    Kind.COUNT_PARTS: tallying.count_parts,
    Kind.TALLY: tallying.what_is_out,
    Kind.REVIEW: reviewing.review,
    Kind.PLAY: reviewing.play_last,
    Kind.HISTORY: reviewing.tell_history,
    Kind.STAND_BY: bench_talk.stand_by,
    Kind.COME_BACK: bench_talk.already_here,
    Kind.PAUSE: bench_talk.pause,
    Kind.FINISH: bench_talk.finish,
    Kind.SLOWER: bench_talk.adjust,
    Kind.FASTER: bench_talk.adjust,
    Kind.LOUDER: bench_talk.adjust,
    Kind.QUIETER: bench_talk.adjust,
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
