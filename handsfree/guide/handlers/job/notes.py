"""Notes in free speech."""

from __future__ import annotations

from typing import Any

from handsfree.guide.handlers.job.facts import note_fact
from handsfree.guide.note import Note
from handsfree.guide.session import Turn
from handsfree.job.events import NoteKept, NoteStretch
from handsfree.job.facts import FACTS
from handsfree.phrases.intents import Intent, Kind
from handsfree.text.prose import sentence


def begin_note(turn: Turn, _: Intent) -> None:
    """From now on everything said belongs to the note."""
    take_down(turn, Note(turn.now), "Noting.")


def begin_fact(turn: Turn, intent: Intent) -> None:
    """As a note, for a fact about the job."""
    note = Note(turn.now, about=intent.name, severity=intent.text)
    take_down(turn, note, sentence(_named(note)))


def _named(note: Note) -> str:
    """ "complaint", "serious finding"."""
    return " ".join(filter(None, (note.severity, FACTS[note.about].said if note.about else "fact")))


def begin_naming(turn: Turn, numbered: str, lead: str) -> None:
    """As a note, that tells what a part or a place is that has a number in place of a name."""
    take_down(turn, Note(turn.now, names=numbered), f"{lead} Say what it is.")


def take_down(turn: Turn, note: Note, lead: str) -> None:
    """From now on everything said belongs to ``note``."""
    turn.session.machine.move("take_note")
    turn.session.note = note
    turn.say(f"{lead} Say end of note.")
    turn.listen("dictation")


def no_note(turn: Turn, _: Intent) -> None:
    turn.say("No note is being taken.")


def hear_note(turn: Turn, note: Note) -> None:
    """One more stretch of the note, or its end."""
    said = turn.utterance
    assert said is not None
    if any(intent.kind is Kind.END_NOTE for intent in said.intents):
        end_note(turn, note)
        return
    note.last = turn.now
    text, seconds = (said.free_text or said.text).strip(), max(0.0, said.end - said.start)
    note.texts.append(text)
    note.seconds += seconds
    note.sounds += turn.sound()
    told: dict[str, Any] = {"about": note.about, "severity": note.severity, "names": note.names}
    turn.record(NoteStretch, text=text, seconds=round(seconds, 2), heard=text or None, sounds=turn.sound(), **told)


def end_note(turn: Turn, note: Note) -> None:
    """Keep the note as sound, and as text as far as it was understood."""
    turn.session.machine.move("end_note")
    turn.session.note = None
    turn.listen("commands")
    text = " ".join(filter(None, note.texts))
    if not text and not note.sounds:
        turn.say("Nothing noted.")
        return
    _keep(turn, note, text, sounds=tuple(note.sounds))
    words = text if len(text.split()) <= 12 else f"{' '.join(text.split()[:12])}, and so on"
    if note.about is None:
        turn.say(f"Note kept: {sentence(words)}" if text else "Note kept as sound.")
    else:
        kept = "Kept." if text else "Kept as sound."
        turn.say(f"{kept} {sentence(': '.join(filter(None, (_named(note), words))))}")


def _keep(turn: Turn, note: Note, text: str, **more: Any) -> None:
    kept: dict[str, Any] = {"seconds": round(note.seconds, 2), "heard": text or None, **more}
    if note.about is None:
        turn.record(NoteKept, id=turn.state.next_id, text=text, names=note.names, **kept)
    else:
        note_fact(turn, note.about, text, to_type=True, severity=note.severity, **kept)


def keep_what_was_cut_off(turn: Turn) -> str:
    """A note in which the program was ended is kept as far as it was heard; the sentence that says so, or nothing."""
    stretches = list(turn.state.note_begun)
    if not stretches:
        return ""
    first = stretches[0]
    seconds = sum(each.seconds for each in stretches)
    note = Note(turn.now, about=first.about, severity=first.severity, names=first.names, seconds=seconds)
    text = " ".join(each.text for each in stretches if each.text)
    _keep(turn, note, text, step=first.step, clips=tuple(each.clip for each in stretches if each.clip))
    what = "note" if first.about is None else FACTS[first.about].said
    return f"A {what} was cut off: what was heard of it is kept."
