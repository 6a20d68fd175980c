"""All commands of the language, in the order of the cheat sheet; a command is added in the module of its subject."""

from __future__ import annotations

from handsfree.phrases.commands import asking, counter, figures, notes_and_timers, session, whole_job
from handsfree.phrases.commands.command import Command
from handsfree.phrases.commands.moving import moving
from handsfree.phrases.commands.vocabulary import Vocabulary


def commands(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """All commands of the language of one procedure."""
    return (
        *moving(vocabulary),
        *asking.asking(),
        *figures.writing(vocabulary),
        *notes_and_timers.notes(),
        *figures.outcomes(),
        *figures.answers(vocabulary),
        *notes_and_timers.timers(vocabulary),
        *asking.bench_sums(vocabulary),
        *whole_job.whole_job(vocabulary),
        *counter.counter(vocabulary),
        *whole_job.reviewing(vocabulary),
        *session.session(),
    )
