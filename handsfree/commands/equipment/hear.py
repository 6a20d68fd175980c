"""``handsfree hear``: what recordings are taken for."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any

from handsfree.audio import files
from handsfree.audio.errors import SoundError
from handsfree.audio.samples import Samples
from handsfree.bench.ears import open_hearing
from handsfree.bench.setting_up import language_of, load_named
from handsfree.commands.output import data
from handsfree.hearing.ensemble import OneEar
from handsfree.hearing.listening.endpoints import EndpointSettings, segments
from handsfree.measure.formatting import figure_shown
from handsfree.measure.units import in_use
from handsfree.phrases.intents import Intent
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.model import Procedure

ONE_UTTERANCE = EndpointSettings(closing_silence=1.0)
"""A file usually holds one utterance, read out slowly perhaps: pauses below a second do not part it."""


def run_hear(args: argparse.Namespace) -> int:
    """Tell what each file is taken for; 2 when a file could not be read."""
    procedure = load_named(args.procedure).procedure
    language = language_of(procedure)
    ear: OneEar | None = None
    code = 0
    for name in args.files:
        try:
            recording = files.load_recording(name)
        except SoundError as error:
            print(f"handsfree hear: {error}", file=sys.stderr)
            code = 2
            continue
        # Opening takes seconds: not before there is something to hear.
        ear = ear or open_hearing(args.recogniser, args.vosk_model, language).ear
        for utterance in utterances(recording, ear):
            if args.json:
                with data():
                    print(json.dumps(as_json(name, utterance, procedure), ensure_ascii=False), flush=True)
            else:
                print(f"{name}: {as_text(utterance, procedure)}", flush=True)
    return code


def utterances(recording: Samples, ear: OneEar) -> list[Utterance]:
    """The utterances of a recording; one without words where nothing was said."""
    parts = segments(recording, ONE_UTTERANCE)
    nothing = Utterance((), Hearing.NONE, recogniser=ear.recogniser.name)
    return [ear.hear(segment) for segment in parts] or [nothing]


def as_json(name: str, utterance: Utterance, procedure: Procedure) -> dict[str, Any]:
    """One utterance as a flat record."""
    usable = utterance.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL)
    meaning = _fields(utterance.intents[0], procedure) if usable and utterance.intents else _fields(None, procedure)
    others = [*utterance.intents[1:], *utterance.alternatives] if usable else []
    return {
        "file": name,
        "heard": utterance.text if usable else "",
        "hearing": utterance.hearing.value if usable else Hearing.NONE.value,
        **meaning,
        "alternatives": [_fields(other, procedure) for other in others],
        "near": utterance.hearing is Hearing.NEAR,
        "free": utterance.free_text,
        "recogniser": utterance.recogniser,
        "start": round(utterance.start, 2),
        "end": round(utterance.end, 2),
        "seconds": round(utterance.seconds, 3),
    }


def _fields(intent: Intent | None, procedure: Procedure) -> dict[str, Any]:
    if intent is None:
        return {"intent": None, "characteristic": None, "value": None, "unit": None}
    figure = intent.figure
    if figure is not None and intent.characteristic:
        # The unit that a characteristic is measured in goes without saying.
        measured_in = next(each.unit for each in procedure.characteristics if each.name == intent.characteristic)
        figure = in_use(figure, measured_in)
    unit = figure.unit if figure else None
    fields: dict[str, Any] = {
        "intent": intent.kind.value,
        "characteristic": intent.characteristic,
        "value": figure.text if figure else None,
        "unit": unit,
    }
    extra = {
        "ambiguous unit": figure.ambiguous_unit if figure else None,
        "occasion": intent.occasion,
        "step": intent.step,
        "reason": intent.reason,
        "name": intent.name,
        "upper": intent.upper.text if intent.upper else None,
        "feel": intent.feel,
        "tool": intent.tool,
    }
    return fields | {name: value for name, value in extra.items() if value is not None}


def as_text(utterance: Utterance, procedure: Procedure) -> str:
    """One utterance in a line for people."""
    if utterance.hearing not in (Hearing.CLEAR, Hearing.DOUBTFUL):
        near = " (nearly a command)" if utterance.hearing is Hearing.NEAR else ""
        free = f"; it sounds like “{utterance.free_text.strip()}”" if utterance.free_text.strip() else ""
        return f"no command{near}{free}"
    intent = utterance.intents[0]
    slots = [intent.characteristic, intent.occasion, figure_shown(intent.figure) if intent.figure else None]
    slots += [intent.reason, intent.name, f"step {intent.step}" if intent.step else None]
    meaning = ", ".join([intent.kind.value, *(slot for slot in slots if slot)])
    others = [figure_shown(other.figure) for other in utterance.alternatives if other.figure]
    doubt = f" or {' or '.join(others)}" if others and utterance.hearing is Hearing.DOUBTFUL else ""
    return f"{utterance.hearing.value}: “{utterance.text}” [{meaning}{doubt}] in {utterance.seconds:.2f} s"
