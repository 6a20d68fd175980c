"""Writing figures down: what is doubtful in them is asked back first."""

from __future__ import annotations

from dataclasses import replace

from handsfree.guide.figures.plausibility import far_outside, not_shown, refused, with_point
from handsfree.guide.figures.proposed import Proposed, kept_text
from handsfree.guide.figures.sound_alikes import sound_alikes
from handsfree.guide.figures.times import of_a_time
from handsfree.guide.handlers.figures import outcomes
from handsfree.guide.session import Handler, Question, Turn
from handsfree.job.events import (
    ReadingLogged,
)
from handsfree.job.state import Entry, every_entry
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

NOT_WRITTEN = "The figure was not written."
_TRIES = 2
_MOST_LETTERS = 6
"""Signs of a figure, up to which a choice between two can be heard."""


def log(turn: Turn, intent: Intent) -> None:
    """A figure is to be written down."""
    measured = _measured_here(turn, intent)
    if measured is None or intent.figure is None:
        return
    proposed = Proposed(turn.current_step, measured, intent.figure, intent.occasion or measured.occasion)
    propose(turn, as_said(turn, proposed, intent), other_figures(turn, intent))


def as_said(turn: Turn, proposed: Proposed, said: Intent) -> Proposed:
    """``proposed`` with what was said of the reading, and with the tool that was named."""
    known = turn.session.at_hand_for(proposed.home or turn.state.working)
    tools = known[1] if known is not None else turn.session.tools
    return replace(proposed, measured=equipped(proposed.measured, tools, said.tool)).saying(said)


def _measured_here(turn: Turn, intent: Intent) -> Characteristic | None:
    """The characteristic that is meant; where none can be, says why."""
    measured_here, name = turn.current_step.characteristics, intent.characteristic
    if name is not None:
        named = next((measured for measured in measured_here if measured.name == name), None)
        if named is None:
            steps = [
                whole_words(number)
                for number, step in enumerate(turn.procedure.steps, 1)
                if any(measured.name == name for measured in step.characteristics)
            ]
            turn.say(f"{sentence(f'{name} is measured at {numbered(steps)}')} Not logged.")
        return named
    if not measured_here:
        turn.say("Nothing is measured at this step. Not logged.")
        return None
    if len(measured_here) == 1:
        return measured_here[0]
    open_ = [m for m in measured_here if not turn.state.readings(turn.current_step.id, m.name)]
    if len(open_) == 1:
        return open_[0]
    _ask_which(turn, intent, measured_here)
    return None


def _ask_which(turn: Turn, intent: Intent, measured_here: tuple[Characteristic, ...]) -> None:
    def answer(turn: Turn, said: Intent) -> None:
        turn.settle()
        reading = said if said.figure is not None else intent
        log(turn, replace(reading, characteristic=said.characteristic, occasion=intent.occasion, tool=intent.tool))

    names = listed([measured.name for measured in measured_here], "or")
    turn.ask(_question(f"Which, {names}? Say it with its figure.", {Kind.FIGURE: answer}))


def other_figures(turn: Turn, intent: Intent) -> list[Figure]:
    """What else the figure may have been: other meanings of the words, of the sound, and sound-alikes."""
    said = turn.utterance
    if said is None:
        return []
    others = [other.figure for other in said.intents if other.figure is not None]
    if said.typed:
        # What is typed is not misheard.
        return [other for other in others if other != intent.figure]
    if said.hearing is Hearing.DOUBTFUL:
        others += [other.figure for other in said.alternatives if other.kind.takes_figure and other.figure is not None]
    if intent.figure is None or intent.figure.larger is None:
        # One in two units can't be said digit by digit: it is read back with its figures.
        others += sound_alikes(said.words, turn.session.language.interpret)
    return [other for other in others if other != intent.figure]


def propose(turn: Turn, proposed: Proposed, others: list[Figure]) -> None:
    """Write the figure, or ask back what is doubtful in it, or say why it cannot be written."""
    measured, stated = proposed.measured, proposed.figure
    if stated.ambiguous_unit is not None:
        _ask_unit(turn, proposed, stated.ambiguous_unit.removesuffix("s"))
        return
    if not proposed.fits:
        said = one_and_many(stated.unit or measured.unit)[1] or "a count"
        turn.say(f"{sentence(f'{measured.name} is not measured in {said}')} Not logged.")
        return
    refusal = refused(proposed)
    if refusal:
        turn.say(f"{sentence(refusal)} Not logged.")
        return
    if turn.utterance is not None:
        meanings = [said.figure for said in turn.utterance.intents if said.figure is not None]
        proposed, others = of_a_time(proposed, meanings, others, turn.utterance.words)
    candidates = _candidates(proposed, others) if proposed.single else [stated]
    heard_doubtfully = turn.utterance is not None and turn.utterance.hearing is Hearing.DOUBTFUL
    values = [value for value in proposed.values if value is not None]
    strange = not_shown(proposed)
    if len(candidates) > 1 and all(len(figure.text) <= _MOST_LETTERS for figure in candidates):
        _ask_between(turn, proposed, candidates)
    elif len(candidates) > 1 or heard_doubtfully or (others and not proposed.single):
        _ask_again(turn, proposed, "")
    elif all(far_outside(value, measured.limits) for value in values):
        _ask_again(turn, proposed, f"{sentence(proposed.spoken + ' is far out of limits')} ")
    elif strange:
        _ask_again(turn, proposed, f"{sentence(strange)} ")
    else:
        write(turn, proposed)


def _candidates(proposed: Proposed, others: list[Figure]) -> list[Figure]:
    """The stated figure first, then one other that it may be mistaken for and that can be meant here: of a fitting
    unit, shown by the tool, not far out of limits. Where the stated figure is in limits and the other is not, there is
    no doubt about it."""
    stated, measured = proposed.figure, proposed.measured
    candidates = [stated]
    if not_shown(proposed) is None:
        certain = proposed.verdict.decision is Decision.IN
        far = far_outside(proposed.values[0], measured.limits)
        for other in others:
            candidate = in_use(other, measured.unit)
            if candidate.unit is None or unit(candidate.unit).kind != unit(measured.unit).kind:
                continue
            instead = replace(proposed, figure=candidate)
            passes = instead.verdict.decision is not Decision.OUT
            likely = passes or (not certain and (far or not far_outside(instead.values[0], measured.limits)))
            if likely and not_shown(instead) is None and instead.values != proposed.values:
                candidates.append(candidate)
    pointed = with_point(stated, measured)
    if pointed is not None:
        candidates.append(pointed)
    return candidates[:2]


def _question(prompt: str, answers: dict[Kind, Handler]) -> Question:
    """A question about a figure that is not written before it is answered."""
    return Question(prompt, answers, on_drop=NOT_WRITTEN, unwritten=True)


def _figure_answers(answer: Handler) -> dict[Kind, Handler]:
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
    choice = f"{readings.digit_by_digit(one)} or {readings.digit_by_digit(other)}"
    prompt = f"{sentence(f'{choice}, {one_and_many(one.unit or proposed.measured.unit)[1]}').rstrip('.')}?"

    def answer(turn: Turn, said: Intent) -> None:
        if _of_another(turn, said, proposed):
            return
        figure = _with_unit(said, proposed)
        words = turn.utterance.words if turn.utterance else ()
        alike = sound_alikes(words, turn.session.language.interpret)
        if figure is not None and not alike and any(_same(figure, candidate) for candidate in candidates):
            turn.settle()
            meant = replace(said, figure=next(c for c in candidates if _same(figure, c)))
            _write_if_it_can_be(turn, as_said(turn, proposed, meant))
        elif _is_new(turn, said, proposed) and not alike:
            turn.settle()
            _take_anew(turn, said, proposed)
        elif proposed.tries < _TRIES:
            turn.lead = "Digit by digit, please."
            _ask_between(turn, replace(proposed, tries=proposed.tries + 1), candidates)
        else:
            turn.settle()
            turn.say(f"{NOT_WRITTEN} Log it again.")

    turn.ask(_question(prompt, _figure_answers(answer)))


def _of_another(turn: Turn, said: Intent, proposed: Proposed) -> bool:
    """Whether an answer names something else than what was asked about: it is a reading of that, and no answer."""
    if said.characteristic in (None, proposed.measured.name):
        return False
    turn.settle()
    if proposed.step.characteristics:
        turn.lead = NOT_WRITTEN
        log(turn, said)
    else:  # taken apart: no step measures anything
        turn.say(f"{NOT_WRITTEN} Say what you measured, and its figure.")
    return True


def _is_new(turn: Turn, said: Intent, proposed: Proposed) -> bool:
    """Whether an answer is a whole reading of its own, plainly heard: said with its command, while a figure stood in
    question."""
    clear = turn.utterance is not None and turn.utterance.hearing is Hearing.CLEAR
    return said.kind is Kind.LOG and clear and proposed.tries <= _TRIES


def _take_anew(turn: Turn, said: Intent, proposed: Proposed) -> None:
    """A new reading in place of the one that stood in question, which is not written."""
    anew = replace(as_said(turn, proposed, said), tries=proposed.tries + 1)
    propose(turn, replace(anew, occasion=said.occasion or proposed.occasion), other_figures(turn, said))


def _ask_again(turn: Turn, proposed: Proposed, why: str) -> None:
    """The figure once more; it is written when the same is said twice."""

    def answer(turn: Turn, said: Intent) -> None:
        if _of_another(turn, said, proposed):
            return
        turn.settle()
        again = as_said(turn, proposed, said)
        if again.fits and again.same_as(proposed):
            _write_if_it_can_be(turn, again)
        elif _is_new(turn, said, proposed):
            _take_anew(turn, said, proposed)
        elif not again.fits or proposed.tries >= _TRIES:
            turn.say(f"{NOT_WRITTEN} Log it again.")
        elif again.single and proposed.single:
            _ask_between(turn, replace(proposed, tries=proposed.tries + 1), [again.figure, proposed.figure])
        else:
            _ask_again(turn, replace(again, tries=proposed.tries + 1), "Not the same as before. ")

    turn.ask(_question(f"{why}Say the figure again.", _figure_answers(answer)))


def _ask_unit(turn: Turn, proposed: Proposed, one: str) -> None:
    """The unit word, in the singular, means different things to different people."""
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
        if _of_another(turn, said, proposed):
            return
        turn.settle()
        if said.figure is not None and said.figure.unit is not None:
            propose(turn, as_said(turn, proposed, said), other_figures(turn, said))
        else:
            turn.say(f"{NOT_WRITTEN} Log it with its unit.")

    turn.ask(_question(f"{prompt} Say the figure with its unit.", _figure_answers(answer)))


def _write_if_it_can_be(turn: Turn, proposed: Proposed) -> None:
    """Write what was confirmed; another tool may have been named with it."""
    refusal = refused(proposed)
    if refusal:
        turn.say(f"{sentence(refusal)} Not logged.")
    else:
        write(turn, proposed)


def _taken_overdue(entry: Entry, tool: str) -> bool:
    event = entry.event
    return isinstance(event, ReadingLogged) and event.tool_overdue is not None and event.tool == tool


def write(turn: Turn, proposed: Proposed) -> None:
    """Write the figure down and read it back."""
    measured, step = proposed.measured, proposed.step
    value, upper = proposed.values
    verdict = proposed.verdict
    own = turn.session.workshop.own(measured.tool.name) if measured.tool else None
    overdue = own is not None and own.overdue(turn.now.date())
    told_before = own is not None and any(_taken_overdue(entry, own.name) for entry in every_entry(turn.state))
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
            beyond=written(proposed.beyond) if proposed.beyond is not None else None,
            side=verdict.side,
            limits=range_written(measured.low, measured.high),
            tool=measured.tool.name if measured.tool else None,
            tool_identity=own.identity if own else None,
            tool_calibrated=own.calibrated.isoformat() if own and own.calibrated else None,
            tool_overdue=own.due.isoformat() if own and own.due and overdue else None,
            uncertainty=written(measured.uncertainty_shown) if measured.uncertainty else None,
            uncertainty_assumed=measured.uncertainty_assumed,
            corrects=proposed.corrects,
            sounds=turn.sound(),
        )
    assert isinstance(entry, ReadingLogged)
    words = readings.verdict_words(verdict, proposed.beyond, briefly=turn.session.briefly)
    digits = readings.with_digits(proposed.spoken, proposed.figure) if proposed.upper is None else proposed.spoken
    said = readings.read_back(readings.figure_name(measured.name, step.place), digits, proposed.occasion, words)
    if own is not None and own.due is not None and overdue and not told_before:
        said = f"{said} {sentence(readings.was_due(own.name, own.due, turn.now.date()))}"
    turn.lead = "Corrected." if proposed.corrects else turn.lead
    if verdict.decision is Decision.OUT and not entry.is_finding:
        outcomes.ask_outcome(turn, entry.id, said)
    else:
        turn.say(said, must_hear=True, settles=entry.id)
