"""A technician who works a whole job by a script: says each line, answers what is asked, and counts what it took.

A script is lines as they are said. Lines with a figure are known by their first word; a question about a figure is
answered with the same reading again, or with its figures one by one where two are offered.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import Mode, typed_utterance
from handsfree.bench.setting_up import ReadyJob
from handsfree.guide.session import Question
from handsfree.job.log.store import Store
from handsfree.phrases.utterance import Utterance
from handsfree.speaking.print_speaker import PrintSpeaker
from handsfree.wording.readings import digit_by_digit

Say = Callable[[str, Mode, float], Utterance]
"""What is heard of words that are said, at a time in seconds."""

MOST_TRIES = 4
LONG = 15
"""Words in a sentence, beyond which it is long for the ear."""


@dataclass
class Account:
    """What a job took."""

    lines: int = 0
    figures: int = 0
    said_again: int = 0
    """Lines that were not caught, or asked for once more."""
    figure_questions: list[str] = field(default_factory=list)
    """Questions about a figure, each with what was said."""
    dead_ends: list[str] = field(default_factory=list)
    """Lines that led nowhere, however often they were said."""
    long_sentences: list[str] = field(default_factory=list)
    sentences: int = 0


def by_keyboard(job: ReadyJob) -> Say:
    """Lines as they would be typed."""
    return lambda text, mode, at: typed_utterance(text, job.guide.session.language, mode, at)


@dataclass
class _Turn:
    """One thing said."""

    text: str
    say: Say
    start: float
    end: float

    def hear(self, mode: Mode) -> Utterance:
        return self.say(self.text, mode, self.start)


class Technician:
    """Works a job that is ready by a script."""

    def __init__(self, job: ReadyJob, store: Store, say: Say, at: datetime) -> None:
        self.account = Account()
        self._shown: list[str] = []
        self._told = ""
        self._say = say
        self.bench = Bench(job.guide, store, PrintSpeaker(lambda _: None, guessing=True), self._show, job.log)
        self._clock = PlayedBench(self.bench, at)
        self._session = job.guide.session
        if job.opened is not None:
            self.bench.open(job.opened)
        else:
            self.bench.resume(at)

    def _show(self, kind: str, text: str) -> None:
        self._shown.append(kind)
        if kind != "says":
            return
        self._told = text
        for said in re.findall(r"[^.?!]+(?:\.(?=\d)[^.?!]+)*[.?!]?", text):
            self.account.sentences += 1
            if len(said.split()) > LONG:
                self.account.long_sentences.append(said.strip())

    def work(self, script: Sequence[str]) -> Account:
        """Say the lines, one after the other, and answer what they lead to."""
        self._clock.play(self._turns(script))
        self.bench.close()
        return self.account

    def _turns(self, script: Sequence[str]) -> Iterator[_Turn]:
        start = 1.0
        for line in script:
            if line.startswith("("):
                start += float(line[1:].split()[0])
                continue
            self.account.lines += 1
            self.account.figures += line.startswith("log ")
            words = line
            for _ in range(MOST_TRIES):
                before, events, self._told = len(self._shown), self._session.state.count, ""
                yield _Turn(words, self._say, start, start + 1)
                start += 3
                question = self._session.question
                if self._told.startswith("Not sure."):
                    self.account.said_again += 1
                    words = line
                elif question is not None and question.unwritten:
                    self.account.figure_questions.append(f"{line}: {question.prompt}")
                    words = self._answer(question, line)
                elif self._led_on(line, before, events):
                    break
                else:
                    self.account.said_again += 1
                    words = line
            else:
                self.account.dead_ends.append(line)

    def _led_on(self, line: str, before: int, events: int) -> bool:
        """Whether something followed from a line; from a figure, that it was written."""
        shown = self._shown[before:]
        if self.bench.mode == "dictation" or self._session.state.count > events:
            return True
        return not line.startswith("log ") and "says" in shown and "not caught" not in shown

    def _answer(self, question: Question, line: str) -> str:
        """What a person says to a question about a figure: the line again, or digit by digit where two are offered."""
        meant = self._session.language.interpret(tuple(line.split()))[0].figure
        if meant is None or "Say the figure again" in question.prompt or " or " not in question.prompt:
            return line
        return digit_by_digit(meant)
