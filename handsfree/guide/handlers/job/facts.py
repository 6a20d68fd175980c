"""What is logged about the job as a whole: codes spelled aloud, facts in free speech, materials, the sign-off."""

from __future__ import annotations

from typing import Any

from handsfree.guide.effects import LookBack
from handsfree.guide.handlers import attendance
from handsfree.guide.handlers.steps import variants
from handsfree.guide.session import Turn
from handsfree.job.attendance import SIGNED_OFF
from handsfree.job.events import FactNoted
from handsfree.job.facts import FACTS
from handsfree.job.state import JobState
from handsfree.phrases.intents import Intent
from handsfree.text.prose import listed, sentence, sentences
from handsfree.wording.facts import fact_words, told_code


def write_code(turn: Turn, intent: Intent) -> None:
    """A number or initials, spelled; a new one replaces the old."""
    if intent.name == SIGNED_OFF and attendance.sign_off_is_refused(turn):
        return
    _write_code(turn, intent.name or "", intent.text or "")


def go_on_with_code(turn: Turn, intent: Intent) -> None:
    """The rest of a code that is too long for one breath: it belongs to the code that was spelled last."""
    last = turn.state.last_entry()
    begun = last.event if last is not None and isinstance(last.event, FactNoted) else None
    if begun is None or not FACTS[begun.about].spelled:
        turn.say("Nothing was spelled just before. Say serial number, and spell it.")
        return
    _write_code(turn, begun.about, begun.text + (intent.text or ""))


def _write_code(turn: Turn, about: str, text: str) -> None:
    note_fact(turn, about, text)
    doubted = variants.contradictions(turn, text) if about == "serial" else []
    turn.say(sentence(told_code(about, text)), must_hear=True, tail=sentences(doubted))
    if about == "serial" and turn.state.purpose == "repair":
        turn.effects.append(LookBack(turn.state.fact("item"), text, turn.now))


def note_fact(turn: Turn, about: str, text: str, **more: Any) -> None:
    """Record a fact; where only one can be, it replaces the one that stands."""
    replaced = replaced_fact(turn.state, about)
    turn.record(FactNoted, id=turn.state.next_id, about=about, text=text, corrects=replaced, **more)


def replaced_fact(state: JobState, about: str) -> str | None:
    """The name of the entry that a new fact of this sort replaces; None where there is none, or several can be."""
    before = state.facts(about) if FACTS[about].only_one else []
    return before[-1].event.id if before else None


def lubricant_used(turn: Turn, _: Intent) -> None:
    """The step's own lubricant, as the procedure names it."""
    used = turn.current_step.lubricants
    if not used:
        turn.say("No lubricant belongs to this step. Say material used, and what it was.")
        return
    for lubricant in used:
        note_fact(turn, "material", ", ".join(filter(None, (lubricant.which, lubricant.where))))
    turn.say(f"Used: {sentence(listed([lubricant.which for lubricant in used]))}")


def sign_off(turn: Turn, _: Intent) -> None:
    """Sign with the name that was given when the job was taken up at the bench."""
    if attendance.sign_off_is_refused(turn):
        return
    if turn.state.worker is None:
        turn.say("No name was given. Say this is, and the name.")
        return
    note_fact(turn, SIGNED_OFF, turn.state.worker)
    turn.say(f"Signed off by {sentence(turn.state.worker)}", must_hear=True)


def tell_fact(turn: Turn, intent: Intent) -> None:
    """What was said of the job as a whole: every fact of this sort that stands; of free speech, what was understood."""
    about = intent.name or ""
    entries, known = turn.state.facts(about), turn.state.fact(about)
    if entries:
        turn.say(" ".join(map(fact_words, entries)))
    elif known:
        turn.say(sentence(told_code(about, known) if FACTS[about].spelled else f"{FACTS[about].said}, {known}"))
    else:
        turn.say(f"No {FACTS[about].said} is known.")
