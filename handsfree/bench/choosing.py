"""Which of several unfinished jobs is meant, asked and answered by voice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from handsfree.job.catalogue.summaries import JobSummary
from handsfree.phrases.commands.choices import ChoiceLanguage
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.values import spoken_name
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, sentence, sentences
from handsfree.wording.facts import codes_told

MOST_NAMED = 6
"""Jobs that are told one by one; the numbers of the others can be said as well."""


class JobChoice:
    """Which of ``jobs`` is meant; ``language`` is what can be said: the number of one ("job three"), or, where only one
    has it, the name of its item ("the lathe") or its owner's."""

    def __init__(self, jobs: Sequence[JobSummary]) -> None:
        self.jobs = tuple(jobs)
        self._doubtful: str | None = None
        names = {name: job.id for name, job in _only_one(self.jobs).items()}
        self.language = ChoiceLanguage("job", [job.id for job in self.jobs], names)

    @property
    def prompt(self) -> str:
        """The jobs, numbered, the one worked on last first, and what is asked."""
        told = [f"{whole_words(number)}, {_told(job)}" for number, job in enumerate(self.jobs[:MOST_NAMED], 1)]
        more = len(self.jobs) - MOST_NAMED
        told += [f"and {counted(more, 'more job')}"] if more > 0 else []
        begun = sentence(f"{counted(len(self.jobs), 'job')} of this procedure are not finished")
        return f"{begun} {sentences(told)} Which? Say job, and its number."

    def answered(self, heard: Utterance) -> str | None:
        """The job that was chosen by what was heard; empty: the jobs are to be told again; None: nothing was said that
        answers."""
        if heard.hearing not in (Hearing.CLEAR, Hearing.DOUBTFUL) or not heard.intents:
            return None
        answer = heard.intents[0].answer or ""
        if heard.hearing is Hearing.DOUBTFUL and answer != self._doubtful:
            # What is heard twice running was meant, however strange it sounds.
            self._doubtful = answer
            return ""
        return answer


def _told(job: JobSummary) -> str:
    return ", ".join((job.item or "item not named", *codes_told(job.serial, job.owner)))


def _only_one(jobs: Sequence[JobSummary]) -> dict[str, JobSummary]:
    """The names by which one of the jobs alone can be called."""
    called = [(name, job) for job in jobs for name in dict.fromkeys(_names(job))]
    count = Counter(name for name, _ in called)
    return {name: job for name, job in called if count[name] == 1}


def _names(job: JobSummary) -> Iterator[str]:
    kind = (job.item or "").split(",")[0].split()
    for said in (job.item, " ".join(kind), kind[-1] if kind else "", job.owner):
        try:
            yield spoken_name(said or "")
        except ValueError:
            continue
