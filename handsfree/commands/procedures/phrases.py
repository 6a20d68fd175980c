"""``handsfree phrases``: the cheat sheet of everything that can be said."""

from __future__ import annotations

import argparse
import shutil
import textwrap
from collections.abc import Iterator
from pathlib import Path

from handsfree.bench.changing import procedures_at_hand, spoken_names
from handsfree.bench.setting_up import NO_WORDS, language_of, load_named, stripping_language
from handsfree.bench.workshop import load_workshop
from handsfree.measure.units import UNITS
from handsfree.phrases.commands.reasons import REASONS
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.disassembly.words import BUILT_IN, DIRECTIONS, MARKINGS, WHICH
from handsfree.phrases.language import Language
from handsfree.procedure.words import KnownWords, read_words

TAKING_APART = "strip"
"""In place of a procedure: what can be said while something is taken apart."""


def run_phrases(args: argparse.Namespace) -> int:
    """Print the cheat sheet."""
    if args.procedure == TAKING_APART and not Path(TAKING_APART).exists():
        language = stripping_language(load_workshop(), read_words(args.words) if args.words else NO_WORDS, Path())
        title = "Everything that can be said while taking apart"
    elif args.procedure is None:
        language, title = Language(), "Everything that can be said (a procedure adds the names of what it measures)"
    else:
        loaded = load_named(args.procedure)
        procedure = loaded.procedure
        others = spoken_names(procedures_at_hand(loaded.path.parent))
        language, title = language_of(procedure, procedures=others), f"Everything that can be said: {procedure.title}"
    print("\n".join(cheat_sheet(language, title)))
    return 0


def cheat_sheet(language: Language, title: str) -> list[str]:
    """The cheat sheet's lines, from the same definition that is recognised and understood."""
    width = max(60, min(110, shutil.get_terminal_size((100, 24)).columns))
    lines = [title, ""]
    group = ""
    for command in language.commands:
        if command.group != group:
            group = command.group
            lines += [*([""] if lines[-1] else []), group]
        lines.append(f"  {command.help}")
        for wording in command.wordings:
            lines += textwrap.wrap(wording, width, initial_indent="      ", subsequent_indent="          ")
    lines += ["", "How to read this"]
    apart = _words(language.vocabulary.words) if isinstance(language, StrippingLanguage) else ()
    for line in (*_symbols(), *apart, *_names(language.vocabulary)):
        lines += textwrap.wrap(line, width, initial_indent="  ", subsequent_indent="      ")
    return lines


def _symbols() -> list[str]:
    """What stands in capitals and brackets in the wordings."""
    units = ", ".join(dict.fromkeys(unit.many for unit in UNITS.values() if unit.many))
    return [
        "[ ] may be left out; ( / ) one of these",
        "NUMBER: four; forty two; one twenty five; one two five; double four; point one zero two; four and a half;"
        " eleven thirty seconds; one over fifty; minus two",
        f"FIGURE: a number, with a unit or without ({units}); three tenths of a second",
        "READING: a figure; four thou drags (free, binds); four goes, five won't, of two blades; plus two minus one,"
        " where a figure is measured from its target",
        "THREAD: M two point five; eight B A; quarter Whitworth; quarter B S F; six thirty two",
        f"REASON: {'; '.join(REASONS)}; after because, any other in your own words, kept as sound",
        "TIME: ten minutes; half an hour; ninety seconds",
    ]


def _words(own: KnownWords) -> Iterator[str]:
    """What is known while taking apart."""
    known = BUILT_IN | own
    yield f"FASTENER, FASTENERS: {', '.join(known.fasteners)}; in the singular or the plural"
    yield f"PART, PARTS: {', '.join(known.parts)}; with {', '.join(WHICH)} before it; part one to part thirty"
    yield f"PLACE: {', '.join(known.places)}; any part; place one to place thirty"
    yield f"HEAD: {', '.join(known.heads)}"
    yield f"FINISH: {', '.join(known.finishes)}"
    yield f"SIZE: M two by five; six B A by a quarter; number six forty{''.join(f'; {size}' for size in known.sizes)}"
    yield f"WAY: {', '.join(known.ways)}; with {', '.join(DIRECTIONS)} after it"
    yield f"MEASURE: {', '.join(known.measured)}; with a part before it"
    yield f"A mark: {', '.join(MARKINGS)}"


def _names(vocabulary: Vocabulary) -> Iterator[str]:
    """The names that the procedure and the workshop add."""
    forms: dict[str, list[str]] = {}
    for form, name in vocabulary.characteristics.items():
        forms.setdefault(name, []).append(form)
    if forms:
        yield f"CHARACTERISTIC: {'; '.join(' or '.join(dict.fromkeys(each)) for each in forms.values())}"
    if vocabulary.tools:
        yield f"TOOL: {'; '.join(vocabulary.tools)}"
    if vocabulary.people:
        yield f"NAME: {'; '.join(vocabulary.people)}"
    if vocabulary.procedures:
        yield f"PROCEDURE: {'; '.join(vocabulary.procedures)}"
