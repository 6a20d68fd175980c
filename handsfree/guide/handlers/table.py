"""Which handler answers to what was meant."""

from __future__ import annotations

from collections.abc import Mapping

from handsfree.guide.handlers import asking, attendance, session_control
from handsfree.guide.handlers.figures import checks, corrections, last_time, outcomes, readings, repeated, sums
from handsfree.guide.handlers.job import facts, notes, parts, review, timers
from handsfree.guide.handlers.steps import moving, ordering, procedures, variants
from handsfree.guide.session import Handler
from handsfree.phrases.intents import Kind

HANDLERS: Mapping[Kind, Handler] = {
    Kind.NEXT: moving.next_step,
    Kind.DONE: moving.done,
    Kind.LOOK_AHEAD: moving.look_ahead,
    Kind.LOOK_BACK: moving.look_back,
    Kind.GO_TO: moving.go_to,
    Kind.REDO: moving.redo,
    Kind.SKIP: moving.skip,
    Kind.WHERE: asking.tell_place,
    Kind.LEFT: asking.tell_what_is_left,
    Kind.CAN_DO: ordering.tell_what_can_be_done,
    Kind.LEFT_OUT: ordering.tell_what_was_left_out,
    Kind.CHANGE_PROCEDURE: procedures.change,
    Kind.PROCEDURES: procedures.tell_procedures,
    Kind.REPEAT: asking.say_again,
    Kind.DETAILS: asking.tell_details,
    Kind.FASTENERS: asking.tell_fasteners,
    Kind.LUBRICANT: asking.tell_lubricants,
    Kind.CAUTIONS: asking.tell_cautions,
    Kind.WHY: asking.tell_why,
    Kind.TRAY: asking.tell_tray,
    Kind.TOOLS: asking.tell_tools,
    Kind.MARKS: asking.tell_marks,
    Kind.VARIANT: variants.tell_variants,
    Kind.ASK_AGAIN: moving.ask_again,
    Kind.HELP: asking.tell_phrases,
    Kind.LAST_HEARD: asking.tell_last_heard,
    Kind.LOG: readings.log,
    Kind.CORRECT: corrections.correct,
    Kind.TAKE_BACK: corrections.take_back,
    Kind.READ_BACK: corrections.tell_entry,
    Kind.READINGS: repeated.tell_readings,
    Kind.SUM: sums.tell_sum,
    Kind.LAST_TIME: last_time.tell_last_time,
    Kind.NOTE: notes.begin_note,
    Kind.END_NOTE: notes.no_note,
    Kind.SET_AGAIN: outcomes.decide_outcome,
    Kind.ACCEPT: outcomes.decide_outcome,
    Kind.LEAVE_OPEN: outcomes.decide_outcome,
    Kind.YES: checks.answer,
    Kind.NO: checks.answer,
    Kind.TIMER_START: timers.start_timer,
    Kind.TIMER_STOP: timers.stop_timer,
    Kind.TIMER_LEFT: timers.tell_time_left,
    Kind.ACKNOWLEDGE: timers.acknowledge,
    Kind.CODE: facts.write_code,
    Kind.MORE_CODE: facts.go_on_with_code,
    Kind.FACT: notes.begin_fact,
    Kind.LUBRICANT_USED: facts.lubricant_used,
    Kind.SIGN_OFF: facts.sign_off,
    Kind.WORKER: attendance.change_worker,
    Kind.TELL_FACT: facts.tell_fact,
    Kind.COUNT_PARTS: parts.count_parts,
    Kind.TALLY: parts.what_is_out,
    Kind.REVIEW: review.begin_review,
    Kind.PLAY: review.play_last,
    Kind.HISTORY: review.tell_history,
    Kind.STAND_BY: session_control.stand_by,
    Kind.COME_BACK: session_control.already_here,
    Kind.PAUSE: session_control.pause,
    Kind.FINISH: session_control.finish_job,
    Kind.SLOWER: session_control.adjust,
    Kind.FASTER: session_control.adjust,
    Kind.LOUDER: session_control.adjust,
    Kind.QUIETER: session_control.adjust,
}
