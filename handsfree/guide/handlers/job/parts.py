"""The parts tally aloud: counting out, back and replaced, and asking before a cover is closed."""

from __future__ import annotations

from fractions import Fraction

from handsfree.guide.session import Turn
from handsfree.job.events import PartsCounted
from handsfree.job.tally import tally
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import confusable_digits
from handsfree.phrases.intents import Intent
from handsfree.text.prose import sentences
from handsfree.wording.tally import balance, counted_parts, in_few_words, of_the_step


def count_parts(turn: Turn, intent: Intent) -> None:
    """Write a count down and say what it leaves out."""
    assert intent.count is not None
    write_count(turn, intent.name or "part", intent.count, intent.way or "out")


def write_count(turn: Turn, part: str, count: int, way: str, corrects: str | None = None) -> None:
    turn.record(
        PartsCounted, id=turn.state.next_id, part=part, count=count, way=way, corrects=corrects, sounds=turn.sound()
    )
    digits = confusable_digits(Figure(Fraction(count), 0, None))
    said = f"{counted_parts(count, part)}{f', {digits},' if digits else ''} {way}"
    now = next((tallied for tallied in tally(turn.state) if tallied.part == part), None)
    rest = "" if now is None or (way == "out" and now.still_out == count) else balance(now)
    turn.lead = "Corrected." if corrects else turn.lead
    other = of_the_step(turn.current_step, turn.state, part, way)
    turn.say(sentences((said, other, rest)), must_hear=True)


def what_is_out(turn: Turn, _: Intent) -> None:
    """The tally, the parts that do not come out even only."""
    counts = tally(turn.state)
    open_ = [tallied for tallied in counts if tallied.still_out]
    turn.say(sentences(in_few_words(open_)) or ("All parts accounted for." if counts else "No parts were counted."))
