"""Writing figures down: log, correct, take back, read back, and what is done about a figure out of limits."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from handsfree.guide.handlers import parts
from handsfree.guide.handlers.moving import with_reason
from handsfree.guide.plausibility import far_outside, not_shown, refused, with_point
from handsfree.guide.proposed import Proposed, kept_text
from handsfree.guide.session import Answer, Question, Turn
from handsfree.guide.sound_alikes import sound_alikes
from handsfree.job.events import (
    CheckAnswered,
    EntryWithdrawn,
    OutcomeGiven,
    PartsCounted,
    ReadingLogged,
)
from handsfree.job.state import Entry
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import TENTHS, one_and_many, range_written, written
from handsfree.measure.limits import Decision
from handsfree.measure.units import convert, in_use, meanings, unit
from handsfree.phrases.intents import WITH_FIGURE, Intent, Kind
from handsfree.phrases.utterance import Hearing
from handsfree.procedure.model import Characteristic
from handsfree.procedure.workshop import equipped
from handsfree.text.numerals import whole_words
from handsfree.text.prose import listed, numbered, sentence
from handsfree.wording import readings
from handsfree.wording.entries import at_step, entry_words

OUTCOMES = "Set again, accept, or leave open?"
NOT_WRITTEN = "The figure was not written."
_TRIES = 2


def log(turn: Turn, intent: Intent) -> None:
    """A figure is to be written down."""
    found = _measured_here(turn, intent)
    if found is None or intent.figure is None:
        return
    proposed = Proposed(turn.current_step, found, intent.figure, intent.occasion or found.occasion)
    propose(turn, _taken(turn, proposed, intent), other_figures(turn, intent))


def _taken(turn: Turn, proposed: Proposed, said: Intent) -> Proposed:
    """``proposed`` with what was said of the reading, and with the tool that was named."""
    known = turn.session.at_hand_for(proposed.home or turn.state.working)
    tools = known[1] if known is not None else turn.session.tools
    return replace(proposed, measured=equipped(proposed.measured, tools, said.tool)).saying(said)


def _measured_here(turn: Turn, intent: Intent) -> Characteristic | None:
    """The characteristic that is meant; where none can be, says why."""
    here, name = turn.current_step.characteristics, intent.characteristic
    if name is not None:
        found = next((measured for measured in here if measured.name == name), None)
        if found is None:
            steps = [
                whole_words(number)
                for number, step in enumerate(turn.procedure.steps, 1)
                if any(measured.name == name for measured in step.characteristics)
            ]
            turn.say(f"{sentence(f'{name} is measured at {numbered(steps)}')} Not logged.")
        return found
    if not here:
        turn.say("Nothing is measured at this step. Not logged.")
        return None
    if len(here) == 1:
        return here[0]
    open_ = [m for m in here if not turn.state.readings(turn.current_step.id, m.name)]
    if len(open_) == 1:
        return open_[0]
    _ask_which(turn, intent, here)
    return None


def _ask_which(turn: Turn, intent: Intent, here: tuple[Characteristic, ...]) -> None:
    def answer(turn: Turn, said: Intent) -> None:
        turn.settle()
        reading = said if said.figure is not None else intent
        log(turn, replace(reading, characteristic=said.characteristic, occasion=intent.occasion, tool=intent.tool))

    names = listed([measured.name for measured in here], "or")
    turn.ask(Question(f"Which, {names}? Say it with its figure.", {Kind.FIGURE: answer}, on_drop=NOT_WRITTEN))


def other_figures(turn: Turn, intent: Intent) -> list[Figure]:
    """What else the figure may have been: other meanings of the words, of the sound, and sound-alikes."""
    said = turn.utterance
    if said is None:
        return []
    others = [other.figure for other in said.intents if other.figure is not None]
    if said.hearing is Hearing.DOUBTFUL:
        others += [other.figure for other in said.alternatives if other.kind.takes_figure and other.figure is not None]
    others += sound_alikes(said.words, turn.session.language.interpret)
    return [other for other in others if other != intent.figure]


def propose(turn: Turn, proposed: Proposed, others: list[Figure]) -> None:
    """Write the figure, or ask back what is doubtful in it, or say why it cannot be written."""
    measured, stated = proposed.measured, proposed.figure
    if stated.ambiguous_unit is not None:
        _ask_unit(turn, proposed)
        return
    if not proposed.fits:
        # "eleven thirty seconds" is a length or a time: the step knows which was meant.
        wanted = unit(measured.unit).kind
        fitting = [other for other in others if other.unit is None or unit(other.unit).kind == wanted]
        if fitting and turn.utterance is not None and len(turn.utterance.intents) > 1:
            meant = replace(proposed, figure=in_use(fitting[0], measured.unit))
            propose(turn, meant, [other for other in fitting[1:] if other != fitting[0]])
            return
        said = one_and_many(stated.unit or measured.unit)[1] or "a count"
        turn.say(f"{sentence(f'{measured.name} is not measured in {said}')} Not logged.")
        return
    refusal = refused(proposed)
    if refusal:
        turn.say(f"{sentence(refusal)} Not logged.")
        return
    candidates = _candidates(stated, others, measured) if proposed.single else [stated]
    heard_doubtfully = turn.utterance is not None and turn.utterance.hearing is Hearing.DOUBTFUL
    values = [value for value in proposed.values if value is not None]
    strange = not_shown(proposed)
    if len(candidates) > 1:
        _ask_between(turn, proposed, candidates)
    elif heard_doubtfully or (others and not proposed.single):
        _ask_again(turn, proposed, "")
    elif all(far_outside(value, measured.limits) for value in values):
        _ask_again(turn, proposed, f"{sentence(proposed.spoken + ' is far out of limits')} ")
    elif strange:
        _ask_again(turn, proposed, f"{sentence(strange)} ")
    else:
        write(turn, proposed)


def _candidates(stated: Figure, others: list[Figure], measured: Characteristic) -> list[Figure]:
    """The stated figure first, then one other that it may be mistaken for, of a fitting unit."""
    found = [stated]
    for other in others:
        candidate = in_use(other, measured.unit)
        fits = candidate.unit is not None and unit(candidate.unit).kind == unit(measured.unit).kind
        if fits and all(candidate.value != f.value for f in found):
            found.append(candidate)
    pointed = with_point(stated, measured)
    if pointed is not None:
        found.append(pointed)
    return found[:2]


def _figure_answers(answer: Answer) -> dict[Kind, Answer]:
    return dict.fromkeys(WITH_FIGURE, answer)


def _same(a: Figure, b: Figure) -> bool:
    return a.unit is not None and b.unit is not None and convert(a.value, a.unit, b.unit) == b.value


def _with_unit(said: Intent, proposed: Proposed) -> Figure | None:
    if said.figure is None or said.upper is not None or said.deviation:
        return None
    stated = in_use(said.figure, proposed.figure.unit or proposed.measured.unit)
    fits = stated.unit is not None and unit(stated.unit).kind == unit(proposed.measured.unit).kind
    return stated if fits else None


def _ask_between(turn: Turn, proposed: Proposed, candidates: list[Figure]) -> None:
    """A choice of two figures, digit by digit."""
    one, other = candidates
    choice = f"{readings.spelled(one)} or {readings.spelled(other)}"
    prompt = f"{sentence(f'{choice}, {one_and_many(one.unit or proposed.measured.unit)[1]}').rstrip('.')}?"

    def answer(turn: Turn, said: Intent) -> None:
        figure = _with_unit(said, proposed)
        words = turn.utterance.words if turn.utterance else ()
        alike = sound_alikes(words, turn.session.language.interpret)
        if figure is not None and not alike and any(_same(figure, candidate) for candidate in candidates):
            turn.settle()
            meant = replace(said, figure=next(c for c in candidates if _same(figure, c)))
            _write_if_it_can_be(turn, _taken(turn, proposed, meant))
        elif proposed.tries < _TRIES:
            turn.lead = "Digit by digit, please."
            _ask_between(turn, replace(proposed, tries=proposed.tries + 1), candidates)
        else:
            turn.settle()
            turn.say(f"{NOT_WRITTEN} Log it again.")

    turn.ask(Question(prompt, _figure_answers(answer), on_drop=NOT_WRITTEN))


def _ask_again(turn: Turn, proposed: Proposed, why: str) -> None:
    """The figure once more; it is written when the same is said twice."""

    def answer(turn: Turn, said: Intent) -> None:
        turn.settle()
        again = _taken(turn, proposed, said)
        if again.fits and again.same_as(proposed):
            _write_if_it_can_be(turn, again)
        elif not again.fits or proposed.tries >= _TRIES:
            turn.say(f"{NOT_WRITTEN} Log it again.")
        elif again.single and proposed.single:
            _ask_between(turn, replace(proposed, tries=proposed.tries + 1), [again.figure, proposed.figure])
        else:
            _ask_again(turn, replace(again, tries=proposed.tries + 1), "Not the same as before. ")

    turn.ask(Question(f"{why}Say the figure again.", _figure_answers(answer), on_drop=NOT_WRITTEN))


def _ask_unit(turn: Turn, proposed: Proposed) -> None:
    """The unit word means different things to different people."""
    one = (proposed.figure.ambiguous_unit or "").removesuffix("s")
    word = f"{one}s"
    wanted = unit(proposed.measured.unit).kind
    names = [one_and_many(key)[1] for key in meanings(word) if unit(key).kind == wanted]
    if not names and one in TENTHS.values():
        prompt = f"{word.capitalize()} of what?"
    elif names:
        prompt = f"{sentence(f'{word} can mean two things')} {listed(names, 'or').capitalize()}?"
    else:
        turn.say(f"{sentence(f'{proposed.measured.name} is not measured in {word}')} Not logged.")
        return

    def answer(turn: Turn, said: Intent) -> None:
        turn.settle()
        if said.figure is not None and said.figure.unit is not None:
            propose(turn, _taken(turn, proposed, said), other_figures(turn, said))
        else:
            turn.say(f"{NOT_WRITTEN} Log it with its unit.")

    turn.ask(Question(f"{prompt} Say the figure with its unit.", _figure_answers(answer), on_drop=NOT_WRITTEN))


def _write_if_it_can_be(turn: Turn, proposed: Proposed) -> None:
    """Write what was confirmed; another tool may have been named with it."""
    refusal = refused(proposed)
    if refusal:
        turn.say(f"{sentence(refusal)} Not logged.")
    else:
        write(turn, proposed)


def write(turn: Turn, proposed: Proposed) -> None:
    """Write the figure down and read it back."""
    measured, step = proposed.measured, proposed.step
    value, upper = proposed.values
    bounds, verdict = measured.limits, proposed.verdict
    with turn.belonging_to(proposed.home or turn.state.working):
        entry = turn.record(
            ReadingLogged,
            step=step.id,
            id=turn.state.next_id,
            characteristic=measured.name,
            place=step.place,
            occasion=proposed.occasion,
            value=kept_text(value, proposed.figure, measured.unit),
            upper=None if upper is None or proposed.upper is None else kept_text(upper, proposed.upper, measured.unit),
            feel=proposed.feel,
            unit=measured.unit,
            as_said=proposed.written,
            decision=verdict.decision.value,
            beyond=written(readings.tidy(verdict.beyond, measured.unit)) if verdict.beyond is not None else None,
            side=verdict.side,
            limits=range_written(measured.low, measured.high),
            tool=measured.tool.name if measured.tool else None,
            uncertainty=written(readings.tidy(bounds.uncertainty, measured.unit)) if bounds.uncertainty else None,
            corrects=proposed.corrects,
            sounds=turn.sound(),
        )
    assert isinstance(entry, ReadingLogged)
    words = readings.verdict_words(verdict, measured.unit)
    digits = readings.with_digits(proposed.spoken, proposed.figure) if proposed.upper is None else proposed.spoken
    said = readings.read_back(measured.name, digits, proposed.occasion, words)
    turn.lead = "Corrected." if proposed.corrects else turn.lead
    if verdict.decision is Decision.OUT:
        expiry = "No answer. The figure stands, with nothing decided."
        turn.ask(Question(OUTCOMES, _outcome_answers(entry.id), on_expiry=expiry), lead=said, settles=entry.id)
    else:
        turn.say(said, must_hear=True, settles=entry.id)


def _decide(turn: Turn, id_: str, **decided: Any) -> None:
    """Write what is done about a figure, where the figure belongs."""
    entry = turn.state.entry(id_)
    assert entry is not None
    with turn.belonging_to(turn.state.home_of(id_)):
        turn.record(OutcomeGiven, id=id_, step=entry.event.step, **decided)


def _outcome_answers(entry: str) -> dict[Kind, Answer]:
    """What can be done about a figure out of limits."""

    def again(turn: Turn, _: Intent) -> None:
        turn.settle()
        home = turn.state.home_of(entry)
        _decide(turn, entry, outcome="set again")
        there = "" if home == turn.state.working else f" in {turn.state.procedures[home].title}"
        turn.say(f"Set it again, then log it{there}.")

    def accept(turn: Turn, intent: Intent) -> None:
        turn.settle()

        def accepted(turn: Turn, reason: str, sounds: bool) -> None:
            turn.settle()
            kept = turn.sound() if sounds else ()
            _decide(turn, entry, outcome="accepted", reason=reason, sounds=kept)
            turn.say(f"Accepted out of limits, {reason}.")

        with_reason(turn, intent, "Accepted for what reason?", accepted)

    def leave(turn: Turn, _: Intent) -> None:
        turn.settle()
        _decide(turn, entry, outcome="left open")
        turn.say("Left open. It will be in the review.")

    return {Kind.SET_AGAIN: again, Kind.ACCEPT: accept, Kind.LEAVE_OPEN: leave}


def outcome(turn: Turn, intent: Intent) -> None:
    """An outcome without its question: it is for the newest figure out of limits of this step."""
    for entry in reversed(list(turn.state.entries.values())):
        event = entry.event
        if isinstance(event, ReadingLogged) and event.step == turn.current_step.id and entry.stands:
            if event.decision == Decision.OUT.value and entry.outcome in (None, "left open"):
                _outcome_answers(event.id)[intent.kind](turn, intent)
                return
            break
    turn.say("No figure of this step is out of limits.")


def correct(turn: Turn, intent: Intent, id_: str | None = None) -> None:
    """The last figure (or that of an entry) was wrong; this is the right one.

    The limits and the tool that count are those of the procedure that the figure belongs to.
    """
    entry = turn.state.last_entry() if id_ is None else turn.state.entry(id_)
    if entry is not None and isinstance(entry.event, PartsCounted):
        figure = intent.figure
        if figure is None or figure.unit is not None or figure.value.denominator != 1 or figure.value < 0:
            turn.say("The last entry is a count of parts. Nothing changed.")
            return
        count = entry.event
        parts.write_count(turn, count.part, int(figure.value), count.way, corrects=count.id)
        return
    if entry is None or not isinstance(entry.event, ReadingLogged) or intent.figure is None:
        turn.say("The last entry is not a figure. Nothing changed." if entry else "Nothing is logged yet.")
        return
    old = entry.event
    home = turn.state.home_of(old.id)
    known = turn.session.at_hand_for(home)
    if known is None:
        turn.say("This figure belongs to another procedure of the job. Take that up to correct it.")
        return
    procedure, tools = known
    step = next(step for step in procedure.steps if step.id == old.step)
    measured = next((m for m in step.characteristics if m.name == old.characteristic), None)
    measured = equipped(measured or as_found(old.characteristic, old.unit), tools, old.tool)
    proposed = Proposed(step, measured, intent.figure, old.occasion, corrects=old.id, home=home)
    propose(turn, _taken(turn, proposed, intent), other_figures(turn, intent))


def as_found(name: str, unit_key: str) -> Characteristic:
    """A characteristic that no procedure knows: measured while taking apart, without limits."""
    return Characteristic.model_validate({"name": name, "unit": unit_key, "when": "as found"})


def take_back(turn: Turn, _: Intent) -> None:
    """Withdraw the newest entry that stands."""
    entry = turn.state.last_entry()
    if entry is None:
        turn.say("Nothing to take back.")
        return
    turn.record(EntryWithdrawn, id=entry.event.id, step=entry.event.step)
    turn.say(f"Taken back: {entry_words(entry)}")


def read_back(turn: Turn, intent: Intent) -> None:
    """The newest entry, or the newest figure of a characteristic."""
    if intent.characteristic is None:
        entry = turn.state.last_entry()
    else:
        entry = next(
            (
                entry
                for entry in reversed(list(turn.state.entries.values()))
                if isinstance(entry.event, ReadingLogged)
                and entry.event.characteristic == intent.characteristic
                and entry.stands
            ),
            None,
        )
    if entry is None:
        turn.say(f"Nothing is logged{f' for {intent.characteristic}' if intent.characteristic else ' yet'}.")
        return
    turn.say(f"{at_step(turn.procedure, entry)}{entry_words(entry)}")


def answer_check(turn: Turn, intent: Intent) -> None:
    """Yes or no without a question: the answer to the check of this step."""
    step = turn.current_step
    if step.check is None or isinstance(turn.state.check(step.id), Entry):
        return
    passed = intent.kind is Kind.YES
    turn.record(
        CheckAnswered,
        step=step.id,
        id=turn.state.next_id,
        question=step.check,
        passed=passed,
    )
    turn.say("Check passed." if passed else "Check failed. It is in the log.")
