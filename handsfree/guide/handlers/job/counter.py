"""What is arranged with the owner: accessories, the promised day, what it may cost, and handing the item over."""

from __future__ import annotations

from fractions import Fraction

from handsfree.guide.handlers.job.facts import note_fact
from handsfree.guide.session import Turn
from handsfree.job.counter.orders import waited_for
from handsfree.job.events import HandedOver, PartFollowed, PartWanted
from handsfree.job.facts import FACTS
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import confusable_digits
from handsfree.phrases.intents import Intent
from handsfree.text.calendar import day_words
from handsfree.text.money import amount_words
from handsfree.text.prose import listed, sentence, sentences
from handsfree.wording.tally import part_words


def left_with_it(turn: Turn, intent: Intent) -> None:
    """Something that has to go back with the item."""
    note_fact(turn, "accessory", intent.text or "")
    turn.say(sentence(f"left with it: {intent.text or ''}"), must_hear=True)


def promise(turn: Turn, intent: Intent) -> None:
    """The day for which the item is promised."""
    day = intent.day.after(turn.now.date()) if intent.day is not None else None
    if day is None:
        turn.say("There is no such day within a year.")
        return
    note_fact(turn, "promised", day.isoformat())
    turn.say(f"Promised for {day_words(day)}.", must_hear=True)


def agree_amount(turn: Turn, intent: Intent) -> None:
    """What it may cost, as it was agreed at the counter or approved later."""
    about, amount = intent.name or "", intent.text or "0"
    text = ", ".join(filter(None, (amount, intent.way)))
    note_fact(turn, about, text, amount=amount)
    digits = [confusable_digits(Figure(Fraction(part))) for part in amount.split(".")]
    words = amount_words(amount, turn.session.workshop.terms.currency)
    said = ", ".join(filter(None, (words, *digits, intent.way)))
    turn.say(sentence(f"{FACTS[about].phrases[0]} {said}"), must_hear=True)


def hand_over(turn: Turn, _: Intent) -> None:
    """The owner has it again; what was left with it is asked for first."""
    if turn.state.handed_over is not None:
        turn.say("It was handed over already.")
        return
    accessories = turn.state.facts("accessory")

    def over(turn: Turn) -> None:
        turn.record(HandedOver, given_back=tuple(entry.event.id for entry in accessories), step=None)
        turn.say("Handed over.", must_hear=True)

    if not accessories:
        over(turn)
        return
    left = listed([entry.text or "something kept as sound" for entry in accessories])
    prompt = sentences((f"left with it: {left}", "is all of it given back? Yes or no"))
    turn.confirm(prompt, over, "Not handed over. Give it back, and say hand it over.")


def order(turn: Turn, intent: Intent) -> None:
    """Parts that the job waits for from now on."""
    what, count, size = intent.name or "part", intent.count or 1, intent.text
    turn.record(PartWanted, id=turn.state.next_id, what=what, count=count, size=size)
    digits = confusable_digits(Figure(Fraction(count), 0, None))
    said = ", ".join(filter(None, (part_words(what, count, size), digits)))
    turn.say(sentence(f"to order: {said}"), must_hear=True)


def parts_arrived(turn: Turn, _: Intent) -> None:
    """Everything that the job waited for is here, once that is agreed to."""
    waiting = waited_for(turn.state)
    if not waiting:
        turn.say("No part is on order for this job.")
        return

    def arrived(turn: Turn) -> None:
        for each in waiting:
            turn.record(PartFollowed, id=each.id, stage="arrived", step=None)
        turn.say("Noted: arrived.")

    what = listed([part_words(each.what, each.count, each.size) for each in waiting])
    turn.confirm(sentences((f"arrived: {what}", "yes or no")), arrived, "Nothing noted.")


def tell_orders(turn: Turn, _: Intent) -> None:
    """What the job waits for, and how far it is."""
    by_stage: dict[str, list[str]] = {}
    for each in waited_for(turn.state):
        by_stage.setdefault(each.stage, []).append(part_words(each.what, each.count, each.size))
    said = [f"{stage}: {'; '.join(parts)}" for stage, parts in by_stage.items()]
    turn.say(sentences(said) or "No part is on order for this job.")
