"""What a whole job asks of the person who works it: ``python -m tests.benchmarks.dialogue [--voice NAME]``.

Two balances of two owners are worked by a script (``tests/support/balance_job.py``), typed, and with ``--voice`` said
by a synthetic voice in quiet, through the real recogniser. Prints how many figures there were, how many questions about
figures were asked, which lines led nowhere, and which sentences are long for the ear.
"""

from __future__ import annotations

import argparse
import tempfile
from datetime import datetime, timezone
from pathlib import Path

import numpy as np

from handsfree.audio.samples import silence
from handsfree.bench.ears import open_hearing
from handsfree.bench.loops.sources import Mode
from handsfree.bench.setting_up import ReadyJob, ready
from handsfree.hearing.listening.endpoints import segments
from handsfree.job.log.store import Store
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import load_procedure
from tests.support.balance_job import FIRST, SECOND
from tests.support.hearing_sounds import voices
from tests.support.places import DATA
from tests.support.technician import Account, Say, Technician, by_keyboard

MORNING = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)
JOBS = (("5100", "Mrs Tarn", FIRST), ("310", "Mr Oake", SECOND))


def by_voice(job: ReadyJob, name: str) -> Say:
    """Lines as the built-in recogniser hears them from a voice."""
    voice = voices()[name]
    ear = open_hearing("builtin", None, job.guide.session.language, job.guide.expects).ear

    def say(text: str, mode: Mode, at: float) -> Utterance:
        sound = np.concatenate((silence(0.5), voice(text), silence(1.0)))
        heard = [ear.hear(segment, mode) for segment in segments(sound)]
        return max(heard, key=lambda one: len(one.words), default=Utterance((), Hearing.NONE))

    return say


def worked(serial: str, owner: str, script: tuple[str, ...], logs: Path, voice: str | None = None) -> Account:
    """A job worked to the end of its script."""
    store = Store(logs)
    loaded = load_procedure(DATA / "beam-balance.yaml")
    job = ready(loaded, store, MORNING, item=f"Balance {serial}", owner=owner, new=True, worker="Jo")
    say = by_keyboard(job) if voice is None else by_voice(job, voice)
    return Technician(job, store, say, MORNING).work(script)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.dialogue", description=__doc__)
    parser.add_argument("--voice", action="append", default=[], choices=sorted(voices()), help="say it with this voice")
    args = parser.parse_args()
    print(f"{'how':<24}{'lines':>6}{'figures':>9}{'asked':>7}{'again':>7}{'nowhere':>9}{'sentences':>11}{'long':>6}")
    for voice in (None, *args.voice):
        details: list[str] = []
        for serial, owner, script in JOBS:
            with tempfile.TemporaryDirectory() as folder:
                account = worked(serial, owner, script, Path(folder), voice)
            how = f"{voice or 'typed'}, {serial}"
            print(
                f"{how:<24}{account.lines:>6}{account.figures:>9}{len(account.figure_questions):>7}"
                f"{account.said_again:>7}{len(account.dead_ends):>9}{account.sentences:>11}"
                f"{len(account.long_sentences):>6}"
            )
            details += [f"  asked: {asked}" for asked in account.figure_questions]
            details += [f"  led nowhere: {line}" for line in account.dead_ends]
            details += [f"  long: {said}" for said in account.long_sentences]
        print("\n".join(details))


if __name__ == "__main__":
    main()
