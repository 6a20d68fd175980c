"""Entries of the log in one sentence each: figures, checks, notes, facts, counts of parts, what came off."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from handsfree.job.events import (
    CheckAnswered,
    FactNoted,
    FileAttached,
    MarkMade,
    NoteKept,
    PartsCounted,
    PartsRemoved,
    PartWanted,
    ReadingLogged,
)
from handsfree.job.facts import FACTS
from handsfree.job.state import OF_THE_JOB, Entry, EntryEvent, JobState
from handsfree.measure.limits import Decision
from handsfree.procedure.model import Procedure
from handsfree.text.numerals import whole_words
from handsfree.text.prose import sentence, sentences
from handsfree.wording import tally
from handsfree.wording.disassembly import mark_words, removed_words
from handsfree.wording.facts import fact_words, fact_written, with_what_was_said
from handsfree.wording.readings import measured_words, outcome_words, reading_words, reading_written
from handsfree.wording.tally import wanted_words


def entry_words(entry: Entry) -> str:  # noqa: PLR0911 - a line for each kind of entry
    """An entry in one sentence."""
    event = entry.event
    if isinstance(event, ReadingLogged):
        verdict = "" if event.decision == Decision.NO_LIMITS.value else event.decision
        if event.decision == Decision.OUT.value and entry.outcome is not None:
            verdict = f"{verdict}, {entry.outcome}"
        said = f"{measured_words(event)}, {reading_words(event)}"
        return sentences((said, verdict))
    if isinstance(event, CheckAnswered):
        return f"the check, {'passed' if event.passed else 'failed'}."
    if isinstance(event, FactNoted):
        return fact_words(entry)
    if isinstance(event, PartsCounted):
        return sentence(f"{tally.counted_parts(event.count, event.part)} {event.way}")
    if isinstance(event, FileAttached):
        return sentence(f"the file, {event.text or event.name}")
    if isinstance(event, PartWanted):
        return sentence(wanted_words(event, entry.stage))
    if isinstance(event, PartsRemoved):
        return sentence(removed_words(event))
    if isinstance(event, MarkMade):
        return sentence(mark_words(event))
    return sentence(with_what_was_said("the note", entry.text) if entry.text else "a note, kept as sound")


def entry_written(entry: Entry) -> str:
    """An entry for the eye: figures and codes as they were stated, and not as they are said."""
    event = entry.event
    if isinstance(event, ReadingLogged):
        return sentence(reading_written(event))
    return sentence(fact_written(event, entry.text) if isinstance(event, FactNoted) else entry_words(entry))


def entry_named(event: EntryEvent) -> str:  # noqa: PLR0911 - a line for each kind of entry
    """What an entry is, where something else is told of it: "end float, as set, 9 thou", "the check"."""
    match event:
        case ReadingLogged():
            return f"{measured_words(event)}, {event.shown}"
        case CheckAnswered():
            return "the check"
        case FactNoted():
            return f"{FACTS[event.about].said}, {event.text}"
        case PartsCounted():
            return f"{tally.counted_parts(event.count, event.part)} {event.way}"
        case PartsRemoved():
            return removed_words(event)
        case MarkMade():
            return mark_words(event)
        case PartWanted():
            return wanted_words(event)
        case FileAttached():
            return f"the file, {event.text or event.name}"
        case NoteKept():
            return with_what_was_said("the note", event.text) if event.text else "the note"


def at_step(procedure: Procedure, entry: Entry, number: Callable[[int], str] = whole_words) -> str:
    """ "Step four: ", or nothing for what belongs to no step of this procedure."""
    of_the_job = isinstance(entry.event, OF_THE_JOB)
    ids = [step.id for step in procedure.steps]
    if of_the_job or entry.event.step not in ids:
        return ""
    return f"Step {number(ids.index(entry.event.step) + 1)}: "


def entry_sentences(procedures: Mapping[str, Procedure], state: JobState) -> dict[str, str]:
    """Each entry of a job in a sentence by its identifier, with its procedure where there are several; for the ear."""
    return _each_in_place(procedures, state, entry_words, whole_words, titles_told(procedures, state))


def titles_told(procedures: Mapping[str, Procedure], state: JobState) -> dict[str, str]:
    """The titles that tell the procedures of a job apart for the ear: none where there is one, and none of the only one
    beside the taking apart."""
    worked = [name for name in procedures if not state.takes_apart(name)]
    told = procedures if len(worked) > 1 else [name for name in procedures if name not in worked]
    return {name: procedures[name].title for name in told} if len(procedures) > 1 else {}


def entries_written(procedures: Mapping[str, Procedure], state: JobState) -> dict[str, str]:
    """The same for the eye, with what was decided about a figure."""

    def words(entry: Entry) -> str:
        said = reading_written(entry.event) if isinstance(entry.event, ReadingLogged) else entry_written(entry)
        return "; ".join(filter(None, (said, outcome_words(entry))))

    titles = {name: each.title for name, each in procedures.items()} if len(procedures) > 1 else {}
    return _each_in_place(procedures, state, words, str, titles)


def _each_in_place(
    procedures: Mapping[str, Procedure],
    state: JobState,
    words: Callable[[Entry], str],
    number: Callable[[int], str],
    titles: Mapping[str, str],
) -> dict[str, str]:
    said: dict[str, str] = {}
    for name, procedure in procedures.items():
        for id_, entry in state.of(name).entries.items():
            place = at_step(procedure, entry, number)
            if name in titles and not isinstance(entry.event, OF_THE_JOB):
                place = f"{titles[name]}, {place[:1].lower()}{place[1:]}" if place else f"{titles[name]}: "
            said[id_] = sentence(place + words(entry))
    return said
