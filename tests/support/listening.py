"""A process that listens in a room in which recordings are played: prints what it heard, as JSON.

``python -m tests.support.listening keep|lose [FILE...]``: each file is played, then the first once more behind a closed
gate and after it; with "lose" the sound server then ends.
"""

from __future__ import annotations

import json
import queue
import subprocess
import sys
from typing import Any

from handsfree.commands.output import libraries_bounded
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.ear import Ear
from handsfree.hearing.listening.listener import Listener
from handsfree.hearing.listening.microphone import Microphone
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Utterance


@libraries_bounded()
def main(end: str, files: list[str]) -> list[Any]:
    language = Language()
    recogniser = BuiltinRecogniser()
    recogniser.set_grammar(language.automaton)
    heard: queue.Queue[Utterance] = queue.Queue()
    trouble: queue.Queue[str] = queue.Queue()
    listener = Listener(Microphone(), Ear(recogniser, language.interpret), heard.put, trouble.put)
    listener.start()

    def play(file: str) -> None:
        subprocess.run(["paplay", "--device=room", file], check=True)

    def result(seconds: float = 5.0) -> dict[str, Any] | None:
        try:
            utterance = heard.get(timeout=seconds)
        except queue.Empty:
            return None
        meaning = [intent.kind.value for intent in utterance.intents]
        return {"meaning": meaning, "hearing": utterance.hearing.value, "start": utterance.start, "end": utterance.end}

    out: list[Any] = []
    for file in files:
        play(file)
        out.append(result())
    for file in files[:1]:
        listener.close_gate()
        play(file)
        listener.open_gate(tail=0.3)
        out.append(result(1.5))
        play(file)
        out.append(result())
    if end == "lose":
        subprocess.run(["pactl", "exit"], check=True)
        out.append(trouble.get(timeout=20))
    listener.stop()
    return out


if __name__ == "__main__":
    print(json.dumps(main(sys.argv[1], sys.argv[2:])))
